"""Pictures of what is judged, the names sheet, numbers on tape: told apart on paper that is printed in grey."""

import io
from datetime import date

import numpy as np
import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest

from rotary.job import job_from_file
from rotary.machine.papers import tapes_paper
from rotary.machine.tapes import tapes
from rotary.papers.drawing import PaperPicture
from rotary.papers.model import Keyed, Sentences, Table
from rotary.papers.pdf import picture_bytes
from rotary.pictures.looks import coating_pictures, seam_pictures, tick_picture
from rotary.plan import plan
from rotary.series.paper import names_section
from rotary.series.results import Outcome
from rotary.shipped import examples


def grey(picture: PaperPicture) -> np.ndarray:
    """The picture as a printer without colours shows it, 0 black to 255 white."""
    page = pypdfium2.PdfDocument(io.BytesIO(picture_bytes(picture, date(2026, 5, 1))))[0]
    image = np.asarray(page.render(scale=2, grayscale=True).to_numpy(), float)
    return image.reshape(*image.shape[:2], -1)[..., 0]


def test_seams_differ_where_the_slices_meet() -> None:
    """In the middle of the bar a good seam is as bright as metal, a gap as grey as coating, an overlap darker."""
    good, gap, overlap = (grey(one)[:, one_middle(one)].copy() for one in seam_pictures())
    row = len(good) // 2
    assert good[row] > 240
    assert 120 < gap[row] < 200
    assert overlap[row] < 100


def one_middle(picture: PaperPicture) -> int:
    return round(picture.wide_mm / 2 * 2 * 72 / 25.4)


@pytest.mark.slow
def test_what_is_left_of_a_coating_can_be_told_apart() -> None:
    """Five scenes, each of another brightness or grain than all others, each with a sentence of its own."""
    scenes = coating_pictures()
    looks = [(image.mean(), image.std()) for image in map(grey, scenes)]
    for at, one in enumerate(looks):
        assert all(max(abs(one[0] - other[0]), abs(one[1] - other[1])) > 3 for other in looks[:at])
    assert len({one.says for one in (*scenes, *seam_pictures(), tick_picture())}) == 9


@pytest.mark.parametrize(("starts", "columns"), [((10.0, 10.02), 3), ((10.0, 12.5), 4)])
def test_names_have_one_start_or_each_its_own(starts: tuple[float, float], columns: int) -> None:
    """The table says every file's start where they differ, else one sentence does; what does not fit comes first."""
    done = [
        Outcome(line=at, name=f"Heron {at}", state="fits", files=(f"00{at} heron.svg",), start_deg=start)
        for at, start in enumerate(starts, 1)
    ]
    mug = job_from_file(examples()["boathouse-mug"]).item
    section = names_section([Outcome(line=3, name="too long", state="misfit", why="shorten it"), *done], mug)
    warn, start, table = section.blocks
    assert "too long: shorten it" in warn.texts[0]  # type: ignore[union-attr]
    assert len(table.head) == columns  # type: ignore[union-attr]
    assert len(table.rows) == 2  # type: ignore[union-attr]
    assert ("10.0°" in start.texts[0]) == (columns == 3)  # type: ignore[union-attr]
    assert "its front (opposite its handle; " in start.texts[0]  # type: ignore[union-attr]


def test_a_name_with_a_sheet_of_its_own_is_turned_by_that_sheet() -> None:
    """No second order stands beside the names, where another front may be meant; the angle always does."""
    done = [
        Outcome(line=at, name=f"Heron {at}", state="cut", files=(f"00{at} heron.svg",), start_deg=20.0, card="a.txt")
        for at in (1, 2)
    ]
    (table,) = names_section(done, job_from_file(examples()["brass-nut"]).item).blocks
    assert isinstance(table, Table)
    assert table.rows[0] == ("1", "Heron 1", "20.0°", "a.txt", "001 heron.svg")


def test_numbers_to_type_on_tape_stand_in_frames_with_what_warns_of_them() -> None:
    """The motor test's slice and diameter are framed as on a setup sheet, and stand in no sentence besides."""
    made = plan(job_from_file(examples()["regatta-bottle"]), 0)
    motor = [one for name, one in tapes(made).items() if name.startswith("motor")]
    for section in tapes_paper(made, motor).sections[1:]:
        (typed,) = (block for block in section.blocks if isinstance(block, Keyed))
        assert {"file_slice_width", "roller_diameter"} & {entry.id for entry in typed.entries}
        assert any(entry.leave for entry in typed.entries)
        texts = " ".join(text for block in section.blocks if isinstance(block, Sentences) for text in block.texts)
        assert not any(entry.label in texts for entry in typed.entries)
