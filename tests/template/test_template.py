"""The template as a person gets it: its marks, its sheets, its files, its refusals."""

import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.rings import Rings, rings_from_list
from rotary.errors import FileTrouble, Refused
from rotary.item import fitted_shape
from rotary.job import job_from_file, job_from_text, job_text
from rotary.plan import Plan, plan
from rotary.shipped import examples
from rotary.template import TemplateWish, template, wrap_template
from rotary.template.content import cover_of, figure
from rotary.template.marks import Figure, TapeStroke, on_each_other
from rotary.template.paper import paper_round
from rotary.template.tiles import OVERLAP_MM, sheets_for

PLANS = {name: plan(job_from_file(path), 0) for name, path in examples().items()}


def drawn(made: Plan, low: float | None = None, high: float | None = None, rings: Rings | None = None) -> Figure:
    """The figure of a plan's whole wall, or of a part of it."""
    shape, lies = fitted_shape(made.job.item), made.layout
    low, high = 0.0 if low is None else low, shape.length_mm if high is None else high
    paper, _ = paper_round(shape.curve, low, high, lies.centre_mm, 0.1, shape.flats or 0)
    return figure(paper, cover_of(made.job.artwork, made.job.item, shape, low, high), made, rings)


@pytest.mark.parametrize("name", PLANS)
def test_no_label_is_small_and_none_lies_on_another(name: str) -> None:
    """6 points at least on the smallest nut; what finds no room beside its line is said below the paper."""
    for shown in (
        drawn(PLANS[name]),
        drawn(PLANS[name], PLANS[name].layout.artwork_from_mm, PLANS[name].layout.artwork_to_mm),
    ):
        assert min(label.size_mm for label in shown.labels) >= 6 * 25.4 / 72 - 1e-9
        pairs = [(one, other) for at, one in enumerate(shown.labels) for other in shown.labels[:at]]
        assert not [(one.text, other.text) for one, other in pairs if on_each_other(one, other)]
        said = " ".join(label.text for label in shown.labels)
        assert "centre line" in said
        assert "level line" in said


def test_the_artwork_lies_in_its_frame() -> None:
    """On a taper the outlines of a rectangle as large as the artwork follow the frame to a tenth."""
    made = PLANS["regatta-bottle"]
    wide, high = made.job.artwork.width_mm / 2, made.job.artwork.height_mm / 2
    shown = drawn(made, rings=rings_from_list([[(-wide, -high), (wide, -high), (wide, high), (-wide, high)]]))
    frame = next(stroke.points_mm for stroke in shown.strokes if stroke.kind == "frame")
    (art,) = shown.art_mm
    away = np.linalg.norm(art[:, None] - frame[None], axis=2).min(1)
    assert away.max() < 0.15
    assert np.ptp(art, axis=0) == pytest.approx(np.ptp(frame, axis=0), abs=0.05)


def changed(name: str, *swaps: tuple[str, str]) -> Plan:
    """A shipped job with some of its text changed, planned."""
    text = job_text(PLANS[name].job)
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    return plan(job_from_text(text), 0)


@pytest.mark.slow
@pytest.mark.parametrize("name", PLANS)
def test_every_shipped_item_has_a_template(name: str, tmp_path: Path) -> None:
    """One SVG and one PDF for each paper are written, with the marks that every template needs."""
    made, paths = wrap_template(PLANS[name], tmp_path, TemplateWish(paper="both"))
    assert [path.suffix for path in paths] == [".svg", ".pdf", ".pdf"]
    assert {path.name for path in tmp_path.iterdir()} == set(made.files)
    kinds = {stroke.kind for stroke in drawn(PLANS[name]).strokes}
    assert {"cut", "frame", "centre", "level", "tick"} <= kinds


@pytest.mark.slow
@pytest.mark.parametrize("name", ["bellied-flask", "brass-nut"])
def test_the_same_template_twice_is_the_same_bytes(name: str) -> None:
    """Nothing of the day or the machine stands in the files."""
    assert template(PLANS[name], TemplateWish())[1] == template(PLANS[name], TemplateWish())[1]


@pytest.mark.slow
def test_kinds_of_paper_follow_the_wall() -> None:
    """Straight walls give a rectangle, tapers a sector, bellies a sector that says what it can't follow."""
    assert template(PLANS["pommel-nut"], TemplateWish())[0].kind == "rectangle"
    sector = template(PLANS["regatta-bottle"], TemplateWish())[0]
    assert (sector.kind, sector.stands_off_mm) == ("sector", 0.0)
    belly = template(PLANS["bellied-flask"], TemplateWish())[0]
    assert belly.stands_off_mm > 0.5
    assert any("can't lie flat" in note for note in belly.notes)


@pytest.mark.slow
def test_a_narrower_band_fits_a_belly_better() -> None:
    """The less of a bellied wall is covered, the closer paper lies to it."""
    band, whole = (template(PLANS["bellied-flask"], TemplateWish(reach=r))[0] for r in ("artwork", "whole"))  # type: ignore[arg-type]
    assert band.stands_off_mm < whole.stands_off_mm


def test_the_paper_leaves_the_handle_free() -> None:
    """With a handle between its heights the paper ends at the handle's sides; below it, it closes."""
    handle = PLANS["boathouse-mug"].job.item.handle
    assert handle is not None
    assert "handle" in {stroke.kind for stroke in drawn(PLANS["boathouse-mug"]).strokes}
    assert "flap" not in {stroke.kind for stroke in drawn(PLANS["boathouse-mug"]).strokes}


def test_the_frame_is_the_artwork_on_the_wall() -> None:
    """On a straight wall the frame measures what the artwork measures, with the paper's half thickness across."""
    made = PLANS["pommel-nut"]
    frame = next(stroke for stroke in drawn(made).strokes if stroke.kind == "frame")
    wide, high = np.ptp(frame.points_mm, axis=0).tolist()
    assert high == pytest.approx(made.job.artwork.height_mm, abs=1e-9)
    assert wide == pytest.approx(made.job.artwork.width_mm * (1 + 0.05 / made.layout.reference_radius_mm), abs=1e-9)


def test_a_weld_line_is_drawn_as_wide_as_it_is() -> None:
    """Two lines as far apart as the weld line is wide, at its angle."""
    made = changed("pommel-nut", ("[turning]", '[item.weld_line]\nangle = "90 deg"\nwidth = "3 mm"\n\n[turning]'))
    left, right = (stroke.points_mm for stroke in drawn(made).strokes if stroke.kind == "weld")
    radius = made.layout.reference_radius_mm + 0.05
    assert (right - left)[:, 0] == pytest.approx(3 * radius / (radius - 0.05))
    assert (right + left)[:, 0] / 2 == pytest.approx(math.pi / 2 * radius)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", ["regatta-bottle", "bellied-flask"])
def test_every_mark_is_on_a_sheet_and_neighbours_overlap(name: str, paper: str) -> None:
    """The sheets' windows hold every point of the template, and lie on each other by the overlap."""
    shown = drawn(PLANS[name])
    sheets = sheets_for(shown, paper, (1.0, 1.0))
    wide, high = sheets.window_mm
    points = np.concatenate([stroke.points_mm for stroke in shown.strokes])
    inside = [((points >= corner) & (points <= corner + np.array([wide, high]))).all(1) for corner in sheets.corners_mm]
    assert np.any(inside, axis=0).all()
    steps = np.unique(np.diff(np.unique(sheets.corners_mm[:, 0].round(6))).round(6))
    assert all(step == pytest.approx(wide - OVERLAP_MM) for step in steps)


@pytest.mark.slow
@pytest.mark.parametrize(("across", "width", "sheets"), [("3 mm", "6 mm", 1), ("400 mm", "30 mm", 5)])
def test_a_pin_and_a_drum_both_have_templates(across: str, width: str, sheets: int) -> None:
    """From a 3 mm pin to a 400 mm drum, 1257 mm round: as many A4 sheets lying as the turn needs."""
    made = changed(
        "pommel-nut",
        ('across = "22 mm"', f'across = "{across}"'),
        ('width = "30 mm"', f'width = "{width}"'),
        ('axis_height = "60 mm"', 'axis_height = "260 mm"'),
    )
    assert template(made, TemplateWish())[0].sheets["a4"] == sheets
    lower = next(stroke.points_mm for stroke in drawn(made).strokes if stroke.kind == "cut")
    assert np.hypot(*np.diff(lower, axis=0).T).sum() == pytest.approx(math.pi * float(across.split()[0]), rel=0.04)


def test_a_bar_that_was_fitted_to_the_page_is_refused() -> None:
    """A bar 15 % short was not printed at true size, and both bars are spoken of at once."""
    with pytest.raises(Refused) as refused:
        template(PLANS["pommel-nut"], TemplateWish(bar_short_mm=85.0, bar_long_mm=3.94))
    assert [fault.where for fault in refused.value.faults] == ["bar_short", "bar_long"]
    assert all("99.6 mm" in fault.says for fault in refused.value.faults)


@pytest.mark.slow
def test_a_small_error_of_the_printer_is_corrected_and_a_larger_one_spoken_of() -> None:
    """1 % is a printer's own; 4 % is a page fitted to the paper, and the person hears of it."""
    assert not any(
        "fitted the page" in n for n in template(PLANS["pommel-nut"], TemplateWish(bar_long_mm=99.0))[0].notes
    )
    assert any("fitted the page" in n for n in template(PLANS["pommel-nut"], TemplateWish(bar_long_mm=96.0))[0].notes)


@pytest.mark.slow
def test_a_file_of_somebody_else_is_not_replaced(tmp_path: Path) -> None:
    """Where a file of the same name lies that was not made here, nothing at all is written."""
    name = template(PLANS["pommel-nut"], TemplateWish())[0].files[-1]
    (tmp_path / name).write_bytes(b"somebody's own")
    with pytest.raises(FileTrouble, match="may be your own"):
        wrap_template(PLANS["pommel-nut"], tmp_path)
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"somebody's own"]


def test_its_own_files_are_replaced(tmp_path: Path) -> None:
    """A template printed again takes the place of the last one."""
    wrap_template(PLANS["pommel-nut"], tmp_path)
    _, paths = wrap_template(PLANS["pommel-nut"], tmp_path, TemplateWish(bar_long_mm=99.0))
    assert all(path.is_file() for path in paths)
    assert len(list(tmp_path.iterdir())) == len(paths)


def test_a_name_in_any_script_can_be_printed() -> None:
    """Letters that the built-in face lacks come from the font that ships with the program."""
    name = PLANS["pommel-nut"].job.item.name
    made = changed("pommel-nut", (name, "Ωρύγιον, Жук, Łódź"))
    files = template(made, TemplateWish())[1]
    assert any(b"FontFile2" in data for file, data in files.items() if file.endswith(".pdf"))


@pytest.mark.slow
def test_importing_the_template_loads_no_writer_of_pdf() -> None:
    """The writer of PDF and the geometry library are loaded when a template is drawn, not before."""
    late = ("reportlab", "shapely", "fontpkg_noto_sans")
    code = f"import rotary.template, sys; print([m for m in {late} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=200)
    assert done.stdout.strip() == "[]"


def test_a_lying_sheet_grows_along_its_long_side_as_an_upright_one_does() -> None:
    """A printer that prints 2 % longer along the paper does so whichever way the template lies on it."""
    bars = (np.array([(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]) for w, h in ((150.0, 250.0), (250.0, 150.0)))
    sheets = [
        sheets_for(Figure((TapeStroke("cut", bar),), (), bar), "a4", (1.01, 1.02))
        for bar in bars
    ]  # fmt: skip
    assert [(one.width_mm, one.height_mm, one.grows) for one in sheets] == [
        (210.0, 297.0, (1.01, 1.02)), (297.0, 210.0, (1.02, 1.01)),
    ]  # fmt: skip
