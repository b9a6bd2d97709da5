"""Every setting that a reading is kept with stands on every form of a patch's paper, with its unit."""

import json
import re
from datetime import date
from functools import cache
from html.parser import HTMLParser
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from rotary.card.patch_paper import patch_paper
from rotary.job import job_from_file
from rotary.model import quantity_of, types_behind
from rotary.papers.formats import document
from rotary.papers.text import plain_lines
from rotary.passes.learning.reading import ABOUT_THE_LOOK, Reading
from rotary.passes.learning.reading_text import CONTROLS, SETTINGS, head_of, name_of, settings_text
from rotary.passes.patch.cells import PatchRecord, PatchToMark
from rotary.passes.patch.drawing import patch_svg
from rotary.plan import plan
from rotary.shipped import examples

MADE = plan(job_from_file(examples()["boathouse-mug"]), 0)
CHANGING = (
    "defocus_mm",
    "frequency_khz",
    "pulse_width_ns",
    "speed_mm_s",
    "line_spacing_mm",
    "power_share",
    "energy_mj",
    "pause_s",
)


def value_for(field: str, place: int) -> Any:
    """A value that no other field has, of the field's own type; a field of a new type has to be thought of here."""
    info = Reading.model_fields[field]
    kinds = list(types_behind(info))
    quantity = quantity_of(info)
    if quantity is not None and quantity.unit == "":
        return (10 + place) / 1000 + 0.5
    if quantity is not None:
        return 3 + place + 0.37
    if int in kinds:
        return 2 + place
    chosen = [choice for kind in kinds for choice in getattr(kind, "__args__", ()) if choice]
    return chosen[0] if chosen else f"{field} {'xyz'[place % 3]}{place}"


def look(cell: int, passes: int, cell_by_cell: bool) -> Reading:
    fields = {field: value_for(field, place) for place, field in enumerate(SETTINGS)}
    if cell_by_cell:
        fields |= {field: value_for(field, place + 40 * cell) for place, field in enumerate(CHANGING)}
        fields["power_share"] = 0.1 + cell / 1000
    fields |= {"row": cell, "column": 1, "passes": passes, "energy_mj": 0.1234 + cell, "surface": "scrap"}
    about = {"number": 10 * cell + passes, "day": "2026-05-01", "source": "patch", "patch": "patch 7", "cell": cell}
    return Reading(**about, outcome="not read", **fields)  # type: ignore[arg-type]


def to_mark(cell_by_cell: bool = True) -> PatchToMark:
    looks = tuple(look(cell, passes, cell_by_cell) for cell in (1, 2, 3, 4) for passes in (1, 6))
    return PatchToMark(PatchRecord("patch 7", looks), True, (), 0.5, 400)


def words(field: str, value: Any) -> str:
    """What must stand on a paper, worked out apart from the code: the number in the unit of the field's name."""
    if isinstance(value, float):
        shown = 100 * value if field.endswith("_share") else value
        # What is only computed stands with fewer digits than what is typed.
        digits = {"spot_um": 3, "rayleigh_mm": 3, "energy_mj": 4}.get(field, 6)
        return f"{shown:.{digits}g}"
    return {"scrap": "a flat scrap of the same batch"}.get(value, str(value)) if isinstance(value, str) else str(value)


class _Rows(HTMLParser):
    """The text of the page, and of each row of its tables."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.text = ""

    def handle_starttag(self, tag: str, _attrs: Any) -> None:
        if tag == "tr":
            self.rows.append([])

    def handle_data(self, data: str) -> None:
        self.text += data + " "
        if self.rows:
            self.rows[-1].append(data)


@cache
def forms() -> dict[str, str]:
    """Every form of the paper as text."""
    found = to_mark()

    def make(_: float) -> Any:
        return patch_paper(found, MADE, "mm", date(2026, 5, 1))

    pdf = PdfReader(BytesIO(document(make, ".pdf", "A4").data))
    html = _Rows()
    html.feed(document(make, ".html", "A4").data.decode())
    drawing = ElementTree.fromstring(patch_svg(found.record))
    return {
        "text": document(make, ".txt", "A4").data.decode(),
        "plain": "\n".join(plain_lines(make(0.0))),
        "pdf": "\n".join(page.extract_text() for page in pdf.pages),
        "html": html.text,
        "json": json.dumps(json.loads(document(make, ".json", "A4").data), ensure_ascii=False),
        "drawing": " ".join("".join(node.itertext()) for node in drawing.iter()),
        "screen": " ".join(settings_text(one, "mm") for one in found.record.looks),
    }


FORMS = ("text", "plain", "pdf", "html", "json", "drawing", "screen")


def stands(text: str, wanted: str) -> bool:
    """Whether it stands there by itself, wherever lines are broken."""
    squeezed, inner = re.sub(r"\s+", " ", text), r"\s*".join(re.escape(part) for part in wanted.split())
    return re.search(rf"(?<![\d.]){inner}(?![\d.]\d|\d)", squeezed) is not None


def test_what_is_no_setting_is_counted_up() -> None:
    """A new field of a reading is a setting, and printed, unless it is put among these on purpose."""
    assert {"number", "day", "source", "patch", "cell", "outcome", "note", "ignored"} == ABOUT_THE_LOOK
    assert set(SETTINGS) == set(Reading.model_fields) - ABOUT_THE_LOOK
    assert set(CONTROLS) <= set(SETTINGS)


@pytest.mark.parametrize("form", FORMS)
def test_every_setting_of_every_cell_stands_on_every_form(form: str) -> None:
    """Field by field and cell by cell: the value as it is kept; a row and a column may be one word."""
    for one in to_mark().record.looks:
        for field in SETTINGS:
            if field in ("row", "column"):
                continue
            wanted = words(field, getattr(one, field))
            assert stands(forms()[form], wanted), (form, one.cell, field, wanted)


@pytest.mark.parametrize("form", ["text", "html", "json", "pdf"])
def test_every_setting_has_its_name_and_its_unit(form: str) -> None:
    """A number without a unit can be typed into the wrong field: each has a name, or a head."""
    for field in SETTINGS:
        if field in CONTROLS:
            assert stands(forms()[form], head_of(field)), field
        elif field not in ("row", "column", "passes"):
            assert stands(forms()[form], name_of(field)), field
            quantity = quantity_of(Reading.model_fields[field])
            if quantity is not None:
                value = words(field, getattr(look(1, 1, True), field))
                assert stands(forms()[form], f"{value} {quantity.unit.replace('um', 'µm')}"), field


def test_each_cell_has_its_own_settings_in_its_own_row() -> None:
    """In text and HTML a row holds all that is set for its cell, in the drawing the group of that cell does."""
    found = to_mark()
    rows = {n: line for line in forms()["text"].splitlines() for n in range(1, 5) if line.startswith(f"  [ ] {n} ")}
    html = _Rows()
    html.feed(document(lambda _: patch_paper(found, MADE), ".html", "A4").data.decode())
    cells = {row[0]: " ".join(row) for row in html.rows if row and row[0] in "1234"}
    groups = {
        node.attrib["id"]: "".join(node.itertext())
        for node in ElementTree.fromstring(patch_svg(found.record)).iter()
        if node.attrib.get("id", "").startswith("cell-")
    }
    for number, looks in found.record.cells.items():
        for field in CONTROLS:
            wanted = words(field, getattr(looks[-1], field))
            for text in (rows[number], cells[f"{number}"], groups[f"cell-{number}"]):
                assert stands(text, wanted), (number, field, text)


def test_what_changes_from_cell_to_cell_gets_a_column_whatever_it_is() -> None:
    """A setting that is no control and yet differs is not said once for all."""
    found = to_mark()
    looks = [one.model_copy(update={"metal": f"metal-{one.cell}"}) for one in found.record.looks]
    text = "\n".join(plain_lines(patch_paper(found._replace(record=PatchRecord("patch 7", tuple(looks))), MADE)))
    for number in range(1, 5):
        assert re.search(rf"cell: {number},.*metal: metal-{number}", text)


def test_what_must_hold_for_a_reading_to_be_true_is_said() -> None:
    """Focus on the surface, everything set as listed, how a cell is filled, passes on one spot."""
    for form in ("text", "html", "pdf", "json"):
        for says in ("Focus on the surface first", "set everything in the table",
                     "Fill each cell with lines one way", "pass after pass on the same spot", "print a new patch",
                     "You can't set the pulse width"):  # fmt: skip
            assert stands(forms()[form], says), (form, says)


def test_in_inches_only_what_is_set_by_hand_is_in_inches() -> None:
    """The lens is moved by hand; line spacing and speed are typed into a program that takes millimetres."""
    text = "\n".join(plain_lines(patch_paper(to_mark(), MADE, "in")))
    assert "lens in" in text
    assert "line mm" in text
    assert re.search(r"wall thickness: [\d.]+ in\.", text)
    assert f"{value_for('wall_mm', SETTINGS.index('wall_mm')) / 25.4:.4g} in" in text


def test_json_has_every_field_of_every_look() -> None:
    """Not a word is lost on the way through JSON."""
    told = json.loads(json.dumps(to_mark().data))
    assert tuple(Reading.model_validate(one) for one in told["readings"]) == to_mark().record.looks


def test_a_patch_says_whether_its_cells_are_unread_or_need_another_look() -> None:
    """Nobody looks another time at what nobody has looked at."""
    looks = to_mark().record.looks
    assert str(PatchRecord("patch 7", looks)).endswith("4 of 4 cells not read yet)")
    first = tuple(one.but(outcome="covered") if one.passes == 1 else one for one in looks)
    assert str(PatchRecord("patch 7", first)).endswith("4 of 4 cells need another look)")
    assert str(PatchRecord("patch 7", tuple(one.but(outcome="clear") for one in looks))).endswith("all cells read)")
