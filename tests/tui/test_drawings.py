"""Pictures: to scale, at any size, in braille and in plain characters."""

import re
from itertools import pairwise
from math import cos, hypot, pi, tan
from pathlib import Path

import numpy as np
import pytest

from rotary.files import toml_tables
from rotary.item import Measurement
from rotary.job import job_from_data, job_from_file
from rotary.plan import Plan, plan
from rotary.scenes import around_mm, axis_over_rollers_mm, radius_at
from rotary.sentences.short_rows import short_text
from rotary.shipped import examples
from tui.drawings.actions import SHORT, WITH_THE_FILE, action_lines, number_of, rows_needed
from tui.drawings.bars import bar
from tui.drawings.canvas import Canvas, plain, ticks
from tui.drawings.figures import large, large_width
from tui.drawings.heat import heat
from tui.drawings.pictures import PICTURES, tabs
from tui.drawings.pictures import picture as draw
from tui.drawings.unrolled_wall import unrolled
from tui.drawings.words import sentences
from tui.form.desk_lines import desk_keys
from tui.planner.repeat import quick_actions
from tui.widgets.bar import key_line
from tui.widgets.inks import INKS

PROFILES = sorted((Path(__file__).resolve().parents[2] / "profiles").glob("*.toml"))


@pytest.fixture(scope="module", params=PROFILES, ids=lambda path: path.stem)
def any_plan(request: pytest.FixtureRequest) -> Plan:
    """The plan of each shipped item."""
    return plan(job_from_file(request.param), draws=50)


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("ascii_only", [False, True])
def test_every_picture_of_every_item_fits_every_size(any_plan: Plan, name: str, ascii_only: bool) -> None:
    """No size, no item, no unit system makes a picture fail or run over its width."""
    for width, height in ((0, 0), (1, 1), (7, 3), (18, 4), (31, 6), (60, 10), (69, 18), (130, 40)):
        for system in ("mm", "in"):
            lines = draw(name, any_plan, system, width, height, ascii_only)
            assert all(run.ink in INKS for line in lines for run in line)
            assert max((sum(len(run.text) for run in line) for line in lines), default=0) <= width


def test_ends_have_one_name_on_all_pictures(any_plan: Plan) -> None:
    """Base and rim of what stands, end 1 and end 2 of a solid part, as in the rows beside."""
    names = ("end 1", "end 2") if any_plan.job.item.solid else ("base", "rim")
    side, wall = (plain(draw(name, any_plan, "mm", 80, 24)).splitlines() for name in ("side", "unrolled"))
    assert tuple(side[-2].split("  ")[place].strip() for place in (0, -1)) == names
    assert (wall[-1].startswith(names[0]), wall[0].startswith(names[1])) == (True, True)
    points = f"{any_plan.job.item.end_words('rim')} points "
    assert any(line.casefold().startswith(points) for line in any_plan.split.must_show)


def test_notes_give_a_file_no_size_that_its_drawing_may_change(any_plan: Plan) -> None:
    """A size stands once, with the file: what the plan alone expects may differ from what the program shows."""
    text = " ".join(plain(draw("notes", any_plan, "mm", 90, 60)).split())
    rim, *sizes, extra = any_plan.split.must_show[:4]
    assert (rim in text, extra in text) == (True, True)
    assert all(line.startswith("The program must show ") and line not in text for line in sizes)


def test_passes_of_two_fills_are_counted_in_all(any_plan: Plan) -> None:
    """Nobody types the passes of both fills at each of them."""
    done = quick_actions(any_plan, None, "mm")
    shared = any(row.value == "both ways" for row in done.type)
    passes = next(row for row in done.type if row.id == "passes")
    text = " ".join(plain(action_lines(done, "mm", 130, 20)).split())
    assert (f"passes {passes.figure} in all" in text) == (shared and passes.value != 1)


@pytest.mark.parametrize("name", ["end", "side", "unrolled"])
def test_plain_characters_are_plain(any_plan: Plan, name: str) -> None:
    """The fallback for terminals without braille draws with nothing that such a terminal lacks."""
    text = plain(draw(name, any_plan, "mm", 80, 24, True))
    assert all(sign.isascii() or sign in "°µ±…" for sign in text)


@pytest.mark.parametrize("width", [80, 120])
def test_the_passes_say_each_step_once_and_nothing_of_clean_on_bare_metal(any_plan: Plan, width: int) -> None:
    """No step stands twice, no sentence is cut, a power stands only with the passes that have it."""
    text = plain(draw("passes", any_plan, "mm", width, 60))
    said = " ".join(text.split())
    is_coated, words = any_plan.removal.removes_coating, sentences(any_plan)
    assert ("The metal stays unmarked on " in said) == is_coated
    assert all(said.count(step) == 1 for step in {*words.before, *words.after})
    assert "…" not in text
    assert width == 80 or words.looks[0] in said
    if is_coated:
        first = next(line for line in text.splitlines() if re.match(r" +(first|each) .*%", line))
        assert f"{any_plan.removal.rows[0].power_share:.0%}" in first


def test_the_passes_of_a_film_that_is_bleached_speak_of_its_colour() -> None:
    """It stays on the metal: nothing says that it comes off, or that coating is left."""
    text = " ".join(plain(draw("passes", coated("anodised-film", "aluminium-6061"), "mm", 120, 60)).split())
    assert "The film loses its colour on " in text
    assert "Colour left: one more pass" in text
    assert "oating left" not in text
    assert "comes off" not in text


def test_what_must_not_be_marked_has_its_reason_once_and_no_odds() -> None:
    """A coating that must not be marked has no odds that could be better."""
    text = " ".join(plain(draw("passes", coated("vinyl", "stainless-304"), "mm", 120, 60)).split())
    assert text.count("Never mark vinyl") == 1
    assert "what helps: use an item with another coating" in text
    assert "odds" not in text


def coated(coating: str, metal: str) -> Plan:
    """The plan of the shipped bottle with another coating."""
    data = toml_tables(PROFILES[-1].read_text("utf-8"))
    data["item"] |= {"coating": coating, "metal": metal}
    return plan(job_from_data(data), draws=50)


@pytest.mark.parametrize("name", ["focus", "seams", "notes", "passes"])
def test_what_is_shown_in_inches_has_no_sentence_in_millimetres(any_plan: Plan, name: str) -> None:
    """A person who measures in inches is not given the same length in both; what a marking program shows stays "
    "in mm."""
    lines = plain(draw(name, any_plan, "in", 2000, 60)).splitlines()
    stays = ("kind", "Below ", *(("[ ]",) if name == "notes" or any_plan.removal.removes_coating else ()))
    found = [line for line in lines if re.search(r"\d (mm|µm)\b(?!/)", line) and not line.strip().startswith(stays)]
    assert found == []
    assert not any(re.search(r"thou deep \(.*\d to [\d.]+\)", line) for line in lines)


@pytest.mark.parametrize("system", ["mm", "in"])
def test_a_move_of_the_lens_says_which_way_at_every_width(any_plan: Plan, system: str) -> None:
    """A length to move by without AWAY or CLOSER behind it would be set the wrong way half the time."""
    for width, height in ((30, 8), (40, 8), (50, 10), (58, 10), (62, 12), (66, 12), (76, 12), (100, 20)):
        text = plain(draw("end", any_plan, system, width, height, True))
        assert width < 62 or re.search(r"slice on wall \d", text), (width, height)
        assert re.search(r"move lens +(not at all|[\d.]+ (mm|in) (AWAY|CLOSER))", text), (width, height)


def test_a_circle_is_as_high_as_it_is_wide() -> None:
    """A round thing looks round where a cell is twice as high as wide."""
    canvas = Canvas(40, 20)
    canvas.arc(40, 40, 30, "a")
    rows = [place for place, line in enumerate(canvas.lines()) if any(run.text.strip() for run in line)]
    text = plain(canvas.lines()).splitlines()
    columns = [place for line in text for place, sign in enumerate(line) if sign != " "]
    high, wide = 4 * (rows[-1] - rows[0] + 1), 2 * (max(columns) - min(columns) + 1)
    assert abs(high - wide) <= 4
    assert abs(high - 61) <= 4


def test_the_unrolled_artwork_is_to_scale(any_plan: Plan) -> None:
    """In the unrolled view the wall is 2 pi r wide, so no picture is wider than its canvas, and none is empty."""
    lines = unrolled(any_plan, "mm", 100, 30)
    drawn = [line for line in plain(lines[1:-1]).splitlines() if line.strip()]
    wide = max(map(len, drawn)) - min(len(line) - len(line.lstrip()) for line in drawn)
    tall = len(drawn)
    item = any_plan.job.item
    widest = 2 * max(row.radius_mm for row in any_plan.layout.rows)
    length = item.length_mm or max(station.at_mm for station in item.measurements)
    assert wide / (2 * tall) == pytest.approx(pi * widest / length, rel=0.25)


@pytest.mark.parametrize(("low", "high"), [(-1.0, 2.0), (0.0, 0.0), (-2.0, -1.0), (2.0, 2.0), (-9.0, 9.0)])
def test_a_bar_covers_what_it_says(low: float, high: float) -> None:
    """From low to high on the scale, no more and no less, and never out of the picture."""
    drawn = bar(low, high, 2.0, 41, ascii_only=True)
    assert len(drawn) == 41
    full = [place for place, sign in enumerate(drawn) if sign == "="] or [20]
    assert min(full) >= round((max(low, -2.0) / 2 + 1) * 20) - 0
    assert max(full) <= round((min(high, 2.0) / 2 + 1) * 20)


@pytest.mark.parametrize(("low", "high"), [(0.0, 150.0), (-3.2, 7.7), (0.001, 0.002), (5.0, 5.0), (float("nan"), 1.0)])
def test_ticks_are_round_and_inside(low: float, high: float) -> None:
    """Marks on a scale lie between its ends."""
    found = ticks(low, high, 5)
    assert found
    if high > low:
        assert all(low - 1e-9 <= tick <= high + 1e-9 for tick in found)
        assert len(found) <= 7


def test_large_figures_are_three_lines_of_one_width() -> None:
    """A number keeps its shape: three lines, all as wide as said."""
    for text in ("0123456789", "-1.5", "+12,07", "98 %"):
        lines = large(text)
        assert {len(line) for line in lines} == {large_width(text)}
        assert len(lines) == 3


def test_every_action_is_shown_at_every_width(any_plan: Plan) -> None:
    """Whatever is imported, typed, set or checked stands in the panel: numbers in keying order, counted from 1."""
    done = quick_actions(any_plan, None, "mm")
    typed = [row for row in done.type if row.id not in WITH_THE_FILE]
    for width in (43, 60, 79, 130):
        text = plain(action_lines(done, "mm", width, 80, True))
        words = " ".join(text.split())
        assert f"{done.to_import[0].value}"[: width - 26] in words
        for place, row in enumerate(typed, 1):
            assert re.search(rf" {place} {SHORT[row.id]} +{re.escape(row.figure or str(row.value))}", text), row.id
        for row in done.by_hand:
            assert short_text(row, "mm").split(" · ")[0] in words
        for row in done.type[:2]:
            assert f"{row.figure}" in words


def test_figures_are_large_where_all_have_room_or_none_is(any_plan: Plan) -> None:
    """The largest type is that of numbers to type; half of them large would lead astray."""
    done = quick_actions(any_plan, None, "mm")
    low, high = (plain(action_lines(done, "mm", 100, height)) for height in (rows_needed(done, 100), 90))
    assert "|_|" not in low
    assert large(done.type[2].figure or "0")[2].strip() in high


def test_the_item_rests_on_its_rollers(any_plan: Plan) -> None:
    """Axis, roller and contact make a right-angled triangle where the item touches; elsewhere it clears the rollers."""
    drive, cradle = any_plan.job.turning, any_plan.turning.cradle
    if drive.kind != "rollers" or cradle is None or any_plan.turning.contact_radius_mm is None:
        assert drive.kind == "chuck"
        return
    apart = hypot(axis_over_rollers_mm(any_plan), drive.centres_mm / 2)
    touching = any_plan.layout.reference_radius_mm + drive.roller_diameter_mm / 2
    assert apart >= touching - 0.2
    assert apart <= touching + abs(any_plan.turning.contact_radius_mm - any_plan.layout.reference_radius_mm) * 2 + 0.5


@pytest.mark.parametrize("name", ["side", "unrolled"])
def test_the_screen_draws_the_item_that_was_computed(name: str) -> None:
    """Told from the rim and longer than where it was measured, a cone is drawn like the same told by its two ends."""
    job = job_from_file(examples()["regatta-bottle"])
    told = (
        {"heights_from": "rim", "measurements": ((0, 88.0), (100, 76.0)), "length_mm": 150.0},
        {"measurements": ((0, 70.0), (150, 88.0))},
    )
    drawn = []
    for changed in told:
        measurements = tuple(Measurement(at_mm=at, across_mm=across) for at, across in changed.pop("measurements"))
        item = job.item.model_copy(
            update={"heights_from": "base", "length_mm": None} | changed | {"measurements": measurements}
        )
        made = plan(job.model_copy(update={"item": item}), 0)
        assert np.array(made.outline) == pytest.approx(np.array([(0.0, 35.0), (150.0, 44.0)]))
        drawn.append(draw(name, made, "mm", 80, 24))
    assert drawn[0] == drawn[1]


def test_a_bent_wall_is_drawn_as_it_bends() -> None:
    """Between the heights of the outline the wall is straight to a tenth of a millimetre."""
    made = plan(job_from_file(examples()["bellied-flask"]), 0)
    for s in np.linspace(0.0, made.shape.length_mm, 200):
        assert radius_at(made.outline, float(s)) == pytest.approx(float(made.shape.radius_mm(s)), abs=0.1)


@pytest.mark.parametrize("flats", [3, 4, 5, 6, 12, 48])
def test_flats_unrolled_are_as_wide_as_a_polygon(flats: int) -> None:
    """Once round the flats is the polygon's girth, without a jump at an edge."""
    flat = 2 * 20.0 * tan(pi / flats)
    turns = [-pi + 2 * pi * place / 5000 for place in range(5001)]
    along = [around_mm(angle, 20.0, flats) for angle in turns]
    assert along[-1] - along[0] == pytest.approx(flats * flat, rel=1e-9)
    most = 20 * 2 * pi / 5000 / cos(pi / flats) ** 2 * 1.01
    assert all(0 < after - before < most for before, after in pairwise(along))
    assert around_mm(pi / flats, 20.0, flats) == pytest.approx(flat / 2)


def test_the_heat_picture_rises_with_the_wall(any_plan: Plan) -> None:
    """The warmest pass stands highest, and its temperature is written out."""
    rows = any_plan.removal.rows
    if not rows:
        return
    text = plain(heat(any_plan, "mm", 90, 24))
    assert f"{max(row.wall_peak_c for row in rows):.0f}" in text
    assert "°C" in text


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_what_warns_of_a_number_is_never_parted_from_it(any_plan: Plan, system: str, ascii_only: bool) -> None:
    """However little of the panel is seen, in any figures: after the number or right below it, and always in sight."""
    done = quick_actions(any_plan, None, system)
    done = done.with_each(
        lambda row: row.model_copy(update={"leave": "type this, not 3200"}) if row.id == "typed_steps_per_turn" else row
    )
    warned = [number_of(row, 0, system) for row in done.type if row.leave]
    assert len(warned) >= 1
    for width, height in ((40, 60), (47, 70), (72, 20), (80, 90), (120, 30), (200, 90)):
        lines = action_lines(done, system, width, height, ascii_only)
        painted = [plain([line]) for line in lines]
        for number in warned:
            at = next(place for place, line in enumerate(painted) if number.leave in line)
            beside = [line.replace(number.leave, "") for line in painted[max(at - 1, 0) : at + 1]]
            figure = large(number.text)[2].strip()
            assert any(number.text in line or figure in line for line in beside)
            assert any(run.ink == "warn" for run in lines[at])
        assert all(sum(len(run.text) for run in line) <= width for line in lines)


def test_the_warning_stays_where_it_takes_two_lines(any_plan: Plan) -> None:
    """In a panel too narrow for its words they go on below, and none is left out."""
    done = quick_actions(any_plan, None, "in")
    text = " ".join(plain(action_lines(done, "in", 24, 8, True, True)).split())
    assert all(number_of(row, 0, "in").leave in text for row in done.type)


def test_keys_that_lead_out_and_whole_names_stay_however_narrow_it_is() -> None:
    """Leave, print and saved are never left out of the keys, and no name of a picture or a page is cut."""
    for width in range(34, 240):
        keys = plain([key_line(desk_keys("numbers"), width)])
        assert len(keys) <= width
        assert all(key in keys for key in ("Q leave", "K print", "O saved"))
        assert width < 80 or all(key in keys for key in ("F1 help", "F6 numbers", "F8 log run", "Ctrl+S save"))
        for shown in range(len(PICTURES)):
            line = plain([tabs(shown, width)]).strip()
            assert len(line) <= width
            assert set(re.findall(r"[a-z]{2,}", line.partition("  (")[0])) <= {*PICTURES}
