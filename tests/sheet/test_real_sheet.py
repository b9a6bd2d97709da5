"""The card's figures of the sheet are those of the sheet that is really drawn, where the artwork is at hand."""

from pathlib import Path

import pytest

from rotary.artwork.outfiles import Mark, file_stem, marked
from rotary.artwork.pieces import ink_of
from rotary.plan import Plan
from rotary.services.actions import drawn_files
from rotary.services.files import flat_file, real_files, slice_sheet
from tests.sheet.test_sheet import planned

OFF_MIDDLE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">'
    '<path d="M1 0h1v50h-1zM7 3h3v44h-3zM16 0h2v50h-2zM33 5h11v40h-11zM55 0h1v50h-1z"/></svg>'
)
PIECES = {
    "width_mm": 60.0, "height_mm": 50.0, "centre_mm": 75.0, "pieces": [{"file": "bars.svg", "width_mm": 55.0}],
}  # fmt: skip


@pytest.fixture
def beside(tmp_path: Path) -> Path:
    (tmp_path / "bars.svg").write_text(OFF_MIDDLE, "utf-8")
    return tmp_path


def keyed(made: Plan) -> dict[str, str]:
    return {key.label: key.text for key in made.split.key_in}


@pytest.mark.parametrize("axis", ["y", "x"])
def test_the_card_names_the_angle_and_size_of_the_sheet_that_is_drawn(axis: str, beside: Path) -> None:
    """Every line that the sheet says must be seen stands on the card, and the page's size and columns are keyed."""
    made = planned(artwork=PIECES, laser={"field_axis": axis})
    shown = real_files(made, beside)[0]
    ink = ink_of(made.ground, beside).composition.ink
    drawn, _ = slice_sheet(made, ink, beside / "out")
    assert abs(drawn.shift_rad) > 1e-3
    assert shown.split.must_show == (made.split.must_show[0], *drawn.must_show)
    keys = keyed(shown)
    assert float(keys["File width"]) == pytest.approx(drawn.wide_mm, abs=5e-4)
    assert float(keys["File height"]) == pytest.approx(drawn.high_mm, abs=5e-4)
    assert int(keys["Slices shown"]) == drawn.columns
    # What is typed into the program does not hang on the artwork.
    for label in keys.keys() - {"File width", "File height", "Slices shown"}:
        assert keys[label] == keyed(made)[label]


def test_flat_artwork_is_laid_out_for_the_card_as_well(beside: Path) -> None:
    """With plain columns the lines are those of the flat drawing."""
    made = planned(artwork=PIECES, tolerances={"method": "flat"})
    shown = real_files(made, beside)[0]
    ink = ink_of(made.ground, beside).composition.ink
    flat, _ = flat_file(made, ink, beside / "out")
    assert shown.split.must_show[1:] == flat.split.must_show[1:]


def test_where_the_artwork_is_not_at_hand_the_card_says_so(beside: Path) -> None:
    """A missing drawing, a damaged one, or none named: the plan's figures, and that the sheet's will hold."""
    made = planned(artwork=PIECES)
    (beside / "bars.svg").write_text("no drawing", "utf-8")
    for one, folder in ((made, beside), (made, beside / "nowhere"), (planned(), beside)):
        shown = real_files(one, folder)[0]
        assert shown.split.must_show[:-1] == one.split.must_show
        assert "rotary art slice" in shown.split.must_show[-1]
        assert shown.split.key_in == one.split.key_in
        assert str(beside) not in shown.split.must_show[-1]


def test_files_of_single_slices_are_written_once_all_of_them_are(beside: Path) -> None:
    """A program that turns after every pass gets a file a slice: with one of them missing there is work left."""
    made = planned(artwork=PIECES, program={"can_repeat_slice": False}, turning={"kind": "rollers"})
    assert made.removal.file_per_slice
    of, item = file_stem(made.job.artwork.name), file_stem(made.job.item.name)
    _, texts = real_files(made, beside)
    assert len(texts) > 2
    for name, text in texts.items():
        assert not drawn_files(made, beside)[1].is_written
        (beside / name).write_bytes(marked(text.encode(), Mark(of, item, name)))
    assert drawn_files(made, beside)[1].is_written
