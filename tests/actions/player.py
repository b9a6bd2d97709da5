"""Does literally what the actions of a job say, and looks where the marks land.

Every number that a person types or sets comes from a row; the item, the motor and the lens are the bench's. The rows
that were read are recorded, so that a row which nobody needs, or a need that no row meets, shows.

::

      rows -> the page in the program -> columns -> motor steps -> the item turned -> rays onto the wall
"""

import math
from collections import Counter
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.actions.models import ActionRow, Actions
from rotary.artwork.rings import NO_INK, Rings, area_mm2, joined
from rotary.sheet.reread import SheetDrawing, drawing_from_file
from rotary.simulate.controller import SimulatedColumn, columns, steps_asked
from rotary.simulate.description import description
from rotary.simulate.rays import RayStand
from tests.actions.bench import Bench, Lie, as_it_lies
from tests.actions.landed import Landed, landed, worst

Floats = NDArray[np.float64]

WAYS = {"up": (0, 1), "down": (0, -1), "right": (1, 0), "left": (-1, 0), "back": (0, 1), "front": (0, -1)}
"""Directions in the field, as the program shows it: X to the right, Y up, which is to the back of the machine."""

LEAST_INK_MM2 = 1e-6
COUNTED = 3  # passes after which the slice of the play comes clean


class Rows:
    """The rows of the actions, which of them were read, and which of those to check are `off`."""

    def __init__(self, actions: Actions) -> None:
        self.actions = actions
        self.by_id = dict(actions.rows)
        self.read: set[str] = set()
        self.off: set[str] = set()

    def __getitem__(self, name: str) -> ActionRow:
        self.read.add(name)
        return self.by_id[name]

    def get(self, name: str) -> ActionRow | None:
        return self[name] if name in self.by_id else None

    def number(self, name: str) -> float:
        """The value of a row; of one that is typed by the digits that are typed."""
        row = self[name]
        if row.figure is not None:
            assert float(row.figure) == float(row.value), f"{name}: {row.figure} typed, {row.value} meant"
        return float(row.figure if row.figure is not None else row.value)

    def check(self, name: str, is_so: bool) -> None:
        """A row that a person checks; those that don't agree stop the work."""
        self.read.add(name)
        if not is_so:
            self.off.add(name)

    @property
    def unread(self) -> set[str]:
        return set(self.by_id) - self.read


class Marked(NamedTuple):
    """What the play left: how far its marks lie from their place, passes of each slice, ink of each file, and the
    slices that two files marked."""

    places: Landed
    passes: list[Counter[str]]
    ink_mm2: dict[str, float]
    twice: set[int]


def play(actions: Actions, bench: Bench, folder: Path, ink: Rings) -> tuple[Marked, Rows]:
    """Mount, focus, import, type, run: what the rows say, with the files that they name."""
    rows = Rows(actions)
    lie = _mounted(rows, bench)
    _typed_laser(rows, bench)
    marked = _run(rows, bench, lie, folder, ink)
    return marked, rows


# --- by hand -------------------------------------------------------------------------------------------------------


def _mounted(rows: Rows, bench: Bench) -> Lie:
    """The item on its drive, with what is put under it; facts that move no mark are held against the job."""
    item = bench.job.item
    vessel = rows.get("vessel")
    assert (vessel is None) == item.solid
    ends = ("end 1", "end 2") if item.solid else ("base", "rim")
    low_end = ends[0] if item.heights_from == "base" else ends[1]
    half = bench.job.artwork.height_mm / 2
    free = {ends[0]: bench.artwork_s_mm - half, ends[1]: bench.length_mm - bench.artwork_s_mm - half}
    rollers = bench.job.turning.kind == "rollers"
    if rollers:
        assert rows["end_stop"].end == low_end
    else:
        jaws = f"{rows['jaw_end'].end}"
        assert free[jaws] >= min(20.0, *free.values()), "the jaws hold where the artwork goes"
    ticks = rows["witness_marks"]
    low, high = sorted(bench.s_mm(at, f"{ticks.end}") for at in (float(ticks.value), ticks.rim_at or 0.0))
    assert 0 <= low < bench.artwork_s_mm < high <= bench.length_mm
    assert "tape" in f"{rows['corner_ticks'].value}"
    lie = as_it_lies(bench)
    shim = rows.get("shim")
    if shim is None:
        return lie
    assert shim.of == ("rotary" if rollers else "chuck")
    return lie.lifted(f"{shim.end}", float(shim.value), shim.base or 0.0, bench.length_mm, rollers)


def _typed_laser(rows: Rows, bench: Bench) -> None:
    """Laser rows move no mark: each has to be what this laser can do, and what the run says."""
    run, head = rows.actions.run, bench.job.laser
    first = run.passes[0]
    assert rows.number("power") == first.power == run.rungs[0].power <= 100
    assert head.lowest_frequency_khz <= rows.number("frequency") <= head.highest_frequency_khz
    if pulse := rows.get("pulse_width"):
        assert pulse.value in head.pulse_widths_ns
    assert rows.number("speed") == first.speed <= head.top_speed_mm_s
    assert rows.number("line_spacing") == first.line_spacing
    ways = {one.fill_direction for one in run.passes if one.kind != "last"}
    assert f"{rows['fill_direction'].value}" == ("both ways" if len(ways) > 1 else ways.pop())
    if bench.job.program.can_pause is not False and not run.file_per_slice:
        assert rows.number("pause") == max(one.pause for one in run.passes)
    at_once = run.order == "slice by slice" and not run.file_per_slice
    is_known = run.counted is not None or run.depth_check_after is not None
    assert rows.number("passes") == (run.rungs[0].passes if is_known and at_once else 1)


def _stand(rows: Rows, bench: Bench, lie: Lie, focus: str) -> RayStand:
    """The item under the lens: the named height under the field's middle, the lens so far from focus on its apex."""
    middle, lens = rows["field_middle"], rows[focus]
    s_mm = bench.s_mm(float(middle.value), f"{middle.end}")
    apex_mm, head = lie.apex_mm(s_mm, float(bench.radius_mm(s_mm))), bench.job.laser
    assert lens.apex_over_bed is not None
    assert lens.focus_over_bed is not None
    rows.check(focus, abs(apex_mm - lens.apex_over_bed) < 0.15)
    assert math.isclose(lens.focus_over_bed - lens.apex_over_bed, float(lens.value), abs_tol=0.01)
    return RayStand(
        bench.curve,
        s_mm,
        lie.tilt_rad,
        float(lens.value),
        *bench.pupils_mm,
        scale_x=1 / head.slice_wide_share,
        scale_y=1 / head.slice_high_share,
        skew_rad=head.slice_turn_rad,
        flats=bench.flats,
    )


# --- the program ----------------------------------------------------------------------------------------------------


class _Frame(NamedTuple):
    """How the item lies in the field: what turns a page so that it is divided from left to right, what turns it so that
    the rim is away, and the side of the item, seen so, that comes up next: + right."""

    divided: Floats
    rim_away: Floats
    comes_up: float


def _frame(rows: Rows) -> _Frame:
    rim_x, rim_y = WAYS[f"{rows['rim_edge'].value}"]
    across = np.array([1, 0]) if rim_y else np.array([0, 1])
    to_program = np.array([across, [-across[1], across[0]]], float)
    rim_away = np.array([[rim_y, -rim_x], [rim_x, rim_y]], float)
    turn_way = rows.get("turn_way")
    # A single slice turns no way.
    side = rim_away @ np.array(WAYS[f"{turn_way.value}" if turn_way else "right"], float)
    return _Frame(to_program, rim_away, float(side[0]))


def _turned(drawing: SheetDrawing, by: Floats) -> SheetDrawing:
    parts = {name: _by(by, one) for name, one in drawing.parts.items()}
    corners = np.array([[drawing.left_mm, drawing.bottom_mm], [drawing.right_mm, drawing.top_mm]]) @ by.T
    (left, bottom), (right, top) = corners.min(0).tolist(), corners.max(0).tolist()
    wide, high = np.abs(by @ [drawing.width_mm, drawing.height_mm]).tolist()
    return SheetDrawing(wide, high, parts, left, bottom, right, top, drawing.about)


def _imported(rows: Rows, path: Path) -> SheetDrawing:
    """The page as the program shows it: of the stated size, and never scaled."""
    drawing = drawing_from_file(path)
    for name in ("page_size", "size_shown"):
        row = rows[name]
        rows.check(name, (row.value, row.high) == (drawing.width_mm, drawing.height_mm))
    assert rows.number("scale") == 100
    return drawing


def _asked_steps(rows: Rows) -> float:
    """Steps that the program asks of its motor for one slice, from what is typed."""
    turn_steps, extra = rows.number("typed_steps_per_turn"), rows.number("extra_per_slice")
    if rows.get("angle_per_slice"):
        assert extra == 0, "an angle is turned whatever the slice"
        return round(rows.number("angle_per_slice") / 360 * turn_steps, 9)
    diameter = rows.number("typed_diameter" if "typed_diameter" in rows.by_id else "roller_diameter")
    return steps_asked(rows.number("file_slice_width") + extra, turn_steps, diameter)


def _divided(rows: Rows, bench: Bench, path: Path) -> list[SimulatedColumn]:
    """What the program makes of a file, in the order of the item's angles."""
    frame, drive = _frame(rows), bench.job.turning
    page = _turned(_imported(rows, path), frame.divided)
    width = rows.number("file_slice_width")
    if rows.actions.run.file_per_slice:
        return _alone(rows, bench, path, page)
    cut = columns(page, width, _asked_steps(rows), drive.rounding, "left", bench.rad_per_step)
    shown = rows["slices_shown"]
    rows.check("slices_shown", (len(cut), width) == (shown.value, float(shown.of or 0)))
    if len(cut) > 1:
        rows.check("first_cut", math.isclose(page.left_mm, rows.number("first_cut"), abs_tol=0.0011))
        middle = rows["page_middle"]
        turned = [abs(one.turned_rad) for one in cut]
        under = turned.index(min(turned)) + 1
        rows.check("page_middle", middle.of == f"{len(cut)}" and under - int(middle.value) in (0, 1 - len(cut) % 2))
    to_item = frame.rim_away @ frame.divided.T
    turned = [SimulatedColumn(_by(to_item, one.rings), frame.comes_up * one.turned_rad) for one in cut]
    return turned[::-1] if to_item[0, 0] < 0 else turned


def _alone(rows: Rows, bench: Bench, path: Path, page: SheetDrawing) -> list[SimulatedColumn]:
    """The one slice of a file of its own, turned to by hand, among all others, which stay blank here."""
    frame, shown = _frame(rows), rows["slices_shown"]
    number, count = map(int, path.stem.rpartition("-slice-")[2].split("-of-"))
    across = rows.number("file_slice_width")
    rows.check("slices_shown", shown.value == 1 and math.isclose(page.right_mm - page.left_mm, across, abs_tol=0.0011))
    # The program turns nothing here; what is typed for it is for the way by hand.
    steps = rows["slice_turns"].steps or 0
    assert math.isclose(_asked_steps(rows), steps, abs_tol=0.5), "typed for other steps than are turned"
    ink = joined(_by(frame.rim_away @ frame.divided.T, one) for one in page.parts.values())
    turns = (np.arange(count) - (count - 1) / 2) * steps * bench.rad_per_step * frame.comes_up
    return [SimulatedColumn(ink if k + 1 == number else NO_INK, turn) for k, turn in enumerate(turns.tolist())]


def _by(turn: Floats, rings: Rings) -> Rings:
    return Rings(rings.points_mm @ turn.T + 0.0, rings.offsets)


# --- the run --------------------------------------------------------------------------------------------------------


def _files(rows: Rows, folder: Path) -> dict[str, list[str]]:
    """The files that are imported with the lens as each row of focus says, in their order."""
    files, named = rows.actions.run.files, rows["file"].value
    tried = [name for name in (files.first, files.second, files.rest) if name]
    if rows.actions.run.file_per_slice:
        # All that are not named are imported by their numbers.
        every = sorted(path.name for path in folder.glob("*-slice-*.svg"))
        assert named in (tried[:1] or every)
        return {"focus": [*tried, *(one for one in every if one not in tried)]}
    tried = tried or [files.whole]
    assert named == tried[0], "another file is named under import than is run first"
    if not files.zones:
        return {"focus": tried}
    parts = {name: f"-{rows[name].about}-" for name in rows.by_id if name.startswith("focus")}
    out = {name: [file for file in (*tried, *files.zones) if part in file] for name, part in parts.items()}
    # Where a part is tried slice by slice its whole is for the next items.
    return {
        name: list(dict.fromkeys(one for one in found if found[0] != files.first or one != files.whole))
        for name, found in out.items()
    }


def _passes(rows: Rows) -> Counter[str]:
    """What one slice gets of a file that is run as the actions say."""
    run = rows.actions.run
    if run.depth_check_after is not None:
        each = sum(one.last - one.first + 1 for one in run.passes)
        assert each == run.rungs[0].passes
        assert 1 <= run.depth_check_after <= each
        return Counter(cut=each)
    return Counter(removal=run.counted or min(COUNTED, run.rungs[0].passes)) + Counter(
        last=int(run.last_pass is not None)
    )


def _run(rows: Rows, bench: Bench, lie: Lie, folder: Path, ink: Rings) -> Marked:
    """Run every file, one after the other, all round or slice by slice: both leave the same passes on a slice."""
    passes: dict[tuple[str, int], Counter[str]] = {}
    inks: dict[str, float] = {}
    twice: set[int] = set()
    places: list[Landed] = []
    for focus, names in _files(rows, folder).items():
        cut = {name: _divided(rows, bench, folder / name) for name in names}
        for name, slices in cut.items():
            inked = {(focus, k) for k, one in enumerate(slices) if area_mm2(one.rings) > LEAST_INK_MM2}
            twice |= {k for _, k in inked & set(passes)}
            passes |= {place: passes.get(place, Counter()) + _passes(rows) for place in inked}
            inks[name] = sum(area_mm2(one.rings) for one in slices)
        merged = [
            slices[0]._replace(rings=joined(one.rings for one in slices)) for slices in zip(*cut.values(), strict=True)
        ]
        _looked_at(rows, bench, merged, sum(part == focus for part, _ in passes))
        about = description(drawing_from_file(folder / names[0]), 0.0)
        stand = _stand(rows, bench, lie, focus)
        places.append(landed(bench, stand, merged, about, ink, _start_rad(rows, bench, merged, about.middle_rad)))
    return Marked(worst(places), list(passes.values()), inks, twice)


def _start_rad(rows: Rows, bench: Bench, cut: list[SimulatedColumn], drawn_rad: float) -> float:
    """The item's angle under the field's middle; where nothing on it says which angle is which any will do, and the
    one is taken that has the middle slice where the job wants it."""
    start = rows.get("start_angle")
    if start is None:
        return drawn_rad - cut[len(cut) // 2].turned_rad
    assert start.unit == "°"
    assert f"{start.sense}".startswith("+ to the right")
    item = bench.job.item
    if start.of not in ("flat", "mark"):
        is_at = item.handle.angle_rad if item.handle else item.weld_line.angle_rad if item.weld_line else None
        assert is_at is not None
        assert start.about == ("handle" if item.handle else "weld line")
        assert math.isclose(math.remainder(math.radians(start.about_at or 0) - is_at, 2 * math.pi), 0, abs_tol=1e-4)
    return math.radians(float(start.value))


def _looked_at(rows: Rows, bench: Bench, cut: list[SimulatedColumn], inked: int) -> None:
    """What is checked in the program and on the trial turn."""
    turned = np.degrees([one.turned_rad for one in cut])
    whole = abs(float(turned[-1] - turned[0]))
    if len(cut) > 1:
        each, step = whole / (len(cut) - 1), math.degrees(bench.rad_per_step)
        turns = rows["slice_turns"]
        rows.check("slice_turns", math.isclose(float(turns.value), each, abs_tol=1e-4))
        rows.check("slice_turns", math.isclose(turns.steps or 0, each / step, abs_tol=1e-6))
        rows.check("whole_turn", math.isclose(rows.number("whole_turn"), whole, abs_tol=1e-3))
    if blank := rows.get("blank_slices"):
        rows.check("blank_slices", blank.value == len(cut) - inked)
