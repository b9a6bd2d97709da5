"""Files of inscriptions: what the simulation, which knows no inverse formula, finds of them."""

from collections.abc import Callable
from math import pi, radians
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from rotary.actions.by_hand import by_hand_rows
from rotary.actions.models import Files
from rotary.artwork import letters
from rotary.artwork.rings import area_mm2, bounds_mm
from rotary.cli import main
from rotary.inscription.actions import drawn_marks, plan_of_marks
from rotary.inscription.card import inscription_lines
from rotary.inscription.paper import part_sheet
from rotary.inscription.work import forecast, inscribe, part_plan, size, stand_in
from rotary.item import Item
from rotary.job import Job, job_from_file
from rotary.laser import optics
from rotary.papers.text import text_lines
from rotary.plan import plan
from rotary.sentences.cautions import cautions
from rotary.sentences.plan import actions_in_words
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.wording import InscriptionWish

NUTS = {name: job_from_file(examples()[name]) for name in ("brass-nut", "domed-nut")}
TWO_LINES = InscriptionWish(text="Heron & Otter\nRegatta 2026", around="arc", arc_rad=2.4)
RING = InscriptionWish(text="BOATHOUSE REGATTA 2026", start_rad=0.3)


@pytest.mark.parametrize("name", NUTS)
@pytest.mark.parametrize("asked", [TWO_LINES, RING], ids=["two lines", "ring"])
def test_the_simulation_finds_the_file_right(name: str, asked: InscriptionWish, tmp_path: Path) -> None:
    """On both invented nuts marks lie within 3 µm of where they belong, nothing is missing, seams hold 3 µm; within a
    flat slice of 6 mm on a nut of 22 mm they lie up to x³/(6 r²) less half of that at its edge off, 15 µm."""
    done = inscribe(NUTS[name], asked, tmp_path)
    found = forecast(done, draws=20)
    assert found.placement_mm is not None
    assert found.missing_mm is not None
    flat = done.made is not None and done.made.split.method == "flat"
    assert max(found.placement_mm, found.missing_mm) < (0.018 if flat else 0.003)
    assert max(found.seam_open_mm, found.seam_double_mm) < 0.003
    assert found.missed_points == 0
    assert all(check.state != "fails" for check in done.facts.checks)
    assert 0.9 < found.fluence_low <= found.fluence_high < 1.1


def test_a_ring_begins_at_its_start_angle() -> None:
    """The pen's first place lies at the start angle from the item's front, whatever the ink's own middle."""
    made, whole, rings = part_plan(NUTS["brass-nut"], RING)
    height, fact = made.facts.letter_height_mm, made.facts.lines[0]
    left = bounds_mm(rings)[0]
    first = made.texts[0][0].letters[0].bounds[0] * height
    at = whole.job.artwork.centre_angle_rad + (left - first) / made.room.radius_mm
    assert (at - 0.3 + pi) % (2 * pi) - pi == pytest.approx(0.0, abs=1e-6)
    assert fact.arc_rad == pytest.approx(2 * pi, rel=1e-12)


@pytest.mark.parametrize("around", ["ring", "arc"])
def test_the_setup_sheet_of_words_says_where_they_start(around: Any, tmp_path: Path) -> None:
    """The angle under the beam at the start, and the first letter's: on the wall its ink lies there."""
    wish = InscriptionWish(text="HERON", around=around)
    job = NUTS["brass-nut"].model_copy(update={"inscription": wish})
    made = plan_of_marks(job, lambda job: plan(job, draws=0), tmp_path)
    shown, drawn = drawn_marks(made, tmp_path)
    row = next(row for row in by_hand_rows(shown, drawn) if row.id == "start_angle")
    _, whole, rings = part_plan(job, wish, lambda job: plan(job, draws=0))
    sized = size(job, wish)
    left = bounds_mm(rings)[0] / sized.room.radius_mm + whole.job.artwork.centre_angle_rad
    bearing = sized.texts[0][0].letters[0].bounds[0] * sized.facts.letter_height_mm / sized.room.radius_mm
    assert row.first_letter is not None
    assert (left - bearing - radians(row.first_letter) + pi) % (2 * pi) - pi == pytest.approx(0.0, abs=2e-3)
    text = actions_in_words(shown, drawn).rows["start_angle"].text
    assert "pen mark" in text
    assert "The first letter begins" in text


def test_a_small_radius_makes_slices_narrow() -> None:
    """The same words on the thinner nut are cut in narrower slices, and the check says so."""
    widths = {}
    for name, job in NUTS.items():
        made, whole, _ = part_plan(job, RING)
        widths[name] = whole.split.slice_width_mm
        says = next(check.says for check in made.facts.checks if check.name == "beam's angle")
        assert f"slices is {whole.split.slice_width_mm:.2f} mm wide" in says
    assert widths["domed-nut"] < widths["brass-nut"]


def faceted() -> Job:
    job = NUTS["brass-nut"]
    table = {"name": "hexagon", "flats": 6, "across_flats": "16 mm", "length": "18 mm", "metal": "brass-c26000",
             "coating": None, "solid": True}  # fmt: skip
    return job.model_copy(update={"item": Item.model_validate(table)})


@pytest.mark.parametrize("plane", [0.0, 2.0])
@pytest.mark.parametrize(
    ("around", "more"), [("flats", {"more": ("Otter",)}), ("flats", {"lengthwise": True}), ("end", {})]
)
def test_rays_bring_faces_to_where_they_were_drawn(
    around: Any, more: dict[str, Any], plane: float, tmp_path: Path
) -> None:
    """Each point of a written face, followed from its pupil to the level face, lands where the ink belongs."""
    job = faceted()
    job = job.model_copy(update={"passes": job.passes.model_copy(update={"defocus_mm": plane})})
    asked = InscriptionWish(text="HERON", around=around, **more)
    done = inscribe(job, asked, tmp_path)
    lens = optics(job.laser)
    assert len(done.paths) == len(done.rings) == 1 + len(asked.more)
    for path, rings in zip(done.paths, done.rings, strict=True):
        drawn = drawing_from_file(path)
        points = drawn.parts["face"].points_mm
        landed = np.empty_like(points)
        for axis, pupil in ((0, lens.pupil_x_mm), (1, lens.pupil_y_mm)):
            far = np.inf if pupil is None else pupil
            # A ray from the pupil through the focal plane goes on for `plane` more until it meets the face.
            landed[:, axis] = points[:, axis] * (1 + plane / far)
        assert landed.min(axis=0) == pytest.approx(bounds_mm(rings)[:2], abs=0.0015)
        assert landed.max(axis=0) == pytest.approx(bounds_mm(rings)[2:], abs=0.0015)
        share = (1 + plane / (lens.pupil_x_mm or np.inf)) * (1 + plane / (lens.pupil_y_mm or np.inf))
        assert area_mm2(drawn.parts["face"]) * share == pytest.approx(area_mm2(rings), rel=0.01)


def test_the_card_can_be_followed(tmp_path: Path) -> None:
    """It names height, radius, every check and every file, in lines that fit the paper."""
    done = inscribe(NUTS["domed-nut"], RING, tmp_path)
    files = [path.name for path in done.paths]
    lines = inscription_lines(RING, done.facts, files, forecast(done, 5).says)
    text = "\n".join(lines)
    assert max(map(len, lines)) <= 100
    for words in (f"{done.facts.letter_height_mm:.2f} mm high", "holes", done.paths[0].name, "Marks"):
        assert words.lower() in text.lower()


@pytest.mark.parametrize("job", [NUTS["domed-nut"], faceted()], ids=["end", "flats"])
def test_a_face_that_is_not_turned_has_its_setting_and_cautions(job: Job) -> None:
    """Eyes, enclosure and fumes are told for flats and end faces too, with the setting of every pass."""
    whole = stand_in(job)
    text = "\n".join(text_lines(part_sheet(None, whole, (), Files(whole="a.svg"))(0.0)))
    for words in ("STOP", "Wear eyewear for", "interlocked enclosure", "kHz", "Passes", "xtract fumes at the mark"):
        assert words in text
    # In whole, too: no caution and no laser in the room is told in short alone.
    flat = " ".join(text.split())
    for caution in cautions(whole.safety):
        assert caution.text in flat
    for eye in whole.safety.eyes:
        assert eye.source in flat


def test_a_wish_that_does_not_fit_writes_nothing(tmp_path: Path) -> None:
    """Refused, the folder stays as it was."""
    from rotary.errors import Refused

    with pytest.raises(Refused):
        inscribe(NUTS["domed-nut"], InscriptionWish(text="HERON " * 60), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_the_command_sizes_and_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a folder the size is told, with one file and card are written; faults end with their own code."""
    assert main(["inscribe", "brass-nut", "--text", "HERON", "--height", "3 mm"]) == 0
    assert "3.00 mm high" in capsys.readouterr().out
    folder = tmp_path / "out"
    assert main(["inscribe", "brass-nut", "--text", "HERON", "--around", "axis", "--to", str(folder)]) == 0
    assert {path.suffix for path in folder.iterdir()} == {".svg", ".txt"}
    assert main(["inscribe", "brass-nut", "--text", "HERON", "--height", "3 kg"]) == 2
    assert "--height" in capsys.readouterr().err


@pytest.mark.parametrize(("text", "unseen"), [("HERON ROWING CLUB", "ŵ"), ("Björn & Ødegård\nfrom 1892 to 2026", "ŷ")])
def test_a_keystroke_is_answered_at_once(text: str, unseen: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once its letters have been seen a text of any order is sized without outlining or widening a single one,
    which is what takes long."""
    again = text.replace("O", "O" + text[0]) + text[1:4]
    size(NUTS["brass-nut"], RING.model_copy(update={"text": text}))
    done: list[str] = []
    for module, name in ((letters, "ink_region"), (shapely, "buffer")):
        monkeypatch.setattr(module, name, counted(getattr(module, name), done, name))
    size(NUTS["brass-nut"], RING.model_copy(update={"text": again}))
    assert done == []
    size(NUTS["brass-nut"], RING.model_copy(update={"text": again + unseen}))
    assert set(done) == {"ink_region", "buffer"}, "a letter that was never seen is outlined and measured"


def counted(function: Callable[..., Any], done: list[str], name: str) -> Callable[..., Any]:
    """The function, which notes its name each time it is called."""

    def noted(*arguments: Any, **how: Any) -> Any:
        done.append(name)
        return function(*arguments, **how)

    return noted


@pytest.mark.parametrize("around", ["arc", "end"])
def test_on_a_coated_part_files_and_card_are_planned_as_the_setup_card_is(around: Any, tmp_path: Path) -> None:
    """The setting decides the focal plane: files drawn for another one than the card says would spoil the part."""
    job = NUTS["domed-nut"]
    item = job.item.model_copy(update={"coating": "polyester-powder-dark", "solid": False, "wall_mm": 0.5})
    coated = job.model_copy(update={"item": item})
    asked = InscriptionWish(text="Heron", around=around)
    done = inscribe(coated, asked, tmp_path)
    if done.made is None:
        setting = plan(stand_in(coated).job).choice.setting
        plane = 0.0 if setting is None else setting.defocus_mm
        assert f"{plane:+.4f} mm" in done.paths[0].read_text("utf-8")
        return
    again = plan(done.made.job)
    assert done.made.choice == again.choice
    assert done.made.choice.samples == 1000
    assert (done.made.split.file_slice_mm, done.made.focus.focal_plane_mm) == (
        again.split.file_slice_mm,
        again.focus.focal_plane_mm,
    )
