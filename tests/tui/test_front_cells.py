"""The picture from the front in a terminal: dots of the paper's own picture, in cells of two colours, live."""

import re
from typing import Any

import pytest

from rotary.item import fitted_shape
from rotary.job import job_from_data
from rotary.pictures.scene import AWAY_MM
from rotary.sentences.front import DRAWING
from tests.tui.conftest import Desk
from tui.background.process import done
from tui.background.tasks import Errand
from tui.drawings.canvas import Run, greyed, plain
from tui.drawings.front import BRIGHT, QUARTERS, front
from tui.drawings.panel_content import Content

WIDE, HIGH = 50, 26
WORDS = 2
"""Lines that the words take: that it is a drawing, and that there is no artwork yet."""


def asked(bottle: dict[str, Any], wide: int = WIDE, high: int = HIGH, aspect: float = 2.0) -> Any:
    said = done(Errand("front", "k", bottle, "mm", "", (f"{wide}", f"{high + WORDS}", f"{aspect}")), lambda _: None)
    assert said.faults == ()
    return said.answer


def is_green(dot: bytes) -> bool:
    return dot[1] > 1.25 * dot[0] + 4


def test_the_dots_show_the_item_at_its_proportions(bottle: dict[str, Any]) -> None:
    """Green as far round and as high as the bottle is, within a dot, whatever the shape of a cell."""
    shape = fitted_shape(job_from_data(bottle, units="mm").item)
    for aspect in (2.0, 1.6):
        rows = asked(bottle, aspect=aspect).rows
        assert (len(rows), len(rows[0])) == (2 * HIGH, 3 * 2 * WIDE)
        green = [[is_green(row[at : at + 3]) for at in range(0, len(row), 3)] for row in rows]
        # Light ground to the very edge: dots that are covered in part don't come out dark.
        assert min(min(row[-3:]) for row in rows) > 200
        columns = [any(row[at] for row in green) for at in range(2 * WIDE)]
        across, up = sum(columns), sum(any(row) for row in green) * aspect
        # The front of foot and rim, nearer to the eye than the axis, stands below and above their middles.
        foot, rim, half = float(shape.radius_mm(0.0)), float(shape.radius_mm(shape.length_mm)), shape.length_mm / 2
        eye = AWAY_MM + foot
        high = half * eye * (1 / (eye - foot) + 1 / (eye - rim))
        assert across / up == pytest.approx(2 * foot / high, rel=0.05)


def test_where_there_is_room_the_artwork_stands_close_up_beside_it(bottle: dict[str, Any]) -> None:
    """The item as in fewer columns, and right of it the frame of its artwork, larger."""
    rows = asked(bottle, 100).rows
    left, right = 2 * 45, 2 * 55
    # The words take a line less there.
    alone = asked(bottle, 45, HIGH + 1).rows
    assert [row[: 3 * left] for row in rows] == list(alone)
    assert all(len(row) == 3 * (left + right) for row in rows)
    bright = [[row[at] > 80 for at in range(0, len(row), 3)] for row in rows]
    middle = bright[len(rows) // 2]
    # A line of the frame at either side: in the close-up they stand farther apart.
    near = [at for at in range(left + 4, left + right - 4) if middle[at]]
    assert near[-1] - near[0] > 0.7 * right


def test_cells_have_two_colours_and_never_more_columns(bottle: dict[str, Any]) -> None:
    """Every run is of quarters, in two colours as an ink; the words that it is a drawing stand below."""
    found = Content(asked(bottle), True)
    lines = front(None, "mm", WIDE, HIGH + 1, False, found)  # type: ignore[arg-type]
    cells = lines[:HIGH]
    assert all(sum(len(run.text) for run in line) == WIDE for line in cells)
    assert all(set(run.text) <= set(QUARTERS) for line in cells for run in line)
    assert all(re.fullmatch("(#[0-9a-f]{6}){2}", run.ink) for line in cells for run in line)
    assert DRAWING in plain(lines)
    # Not of what stands now: the colours stay, the words say so.
    assert greyed(cells) == cells
    assert greyed([[Run("words", "good")]]) == [[Run("words", "muted")]]


def test_what_is_off_stands_below_and_never_moves_the_picture(bottle: dict[str, Any]) -> None:
    """What passes by itself takes no row of it where it has room beside the first words; a fault stands in full."""
    value = asked(bottle, 120, 25)
    fresh = front(None, "mm", 120, 26, False, Content(value, True))  # type: ignore[arg-type]
    busy = front(None, "mm", 120, 26, False, Content(value, False, "being worked out"))  # type: ignore[arg-type]
    fault = front(None, "mm", 120, 26, False, Content(value, False, "no such drawing", True))  # type: ignore[arg-type]
    assert (len(fresh), len(busy), len(fault)) == (26, 26, 26)
    assert busy[:25] == fresh[:25]
    says = plain(fresh[25:])
    assert DRAWING in says
    assert plain(busy[25:]) == f"{says}  picture: being worked out"
    assert fault[:24] == fresh[:24]
    assert [plain([line]).strip() for line in fault[24:]] == [says.strip(), "! picture: no such drawing"]


def test_plain_signs_show_dark_and_bright(bottle: dict[str, Any]) -> None:
    """Without colours and without quarters: the ground is blank, the bottle is not."""
    lines = front(None, "mm", WIDE, HIGH + 1, True, Content(asked(bottle), True))[:HIGH]  # type: ignore[arg-type]
    text = plain(lines)
    assert set(text) <= {*BRIGHT, "\n"}
    middle = text.splitlines()[HIGH // 2]
    assert middle[:5].strip(" .") == ""
    assert "#" in middle or "%" in middle


@pytest.mark.slow
async def test_the_desk_draws_it_and_follows_the_fields(desk: Desk) -> None:
    """At its key the picture comes; another colour in the field is another picture."""
    async with desk(120, 44) as person:
        person.app.desk.action_page()
        await person.press("equals_sign", "space")
        await person.see(DRAWING)
        green = person.app.desk.work.shown("front").value.rows
        person.app.desk.action_large()
        person.go("item.colour")
        person.session.edit("item.colour", "#b3262a")
        person.app.desk.refresh_all()
        await person.until(lambda: person.app.desk.work.shown("front").fresh)
        await person.until(lambda: person.app.desk.work.shown("front").value.rows != green)
        red = person.app.desk.work.shown("front").value.rows
        middle = red[len(red) // 2]
        assert any(middle[at] > 1.5 * middle[at + 1] for at in range(0, len(middle), 3))
