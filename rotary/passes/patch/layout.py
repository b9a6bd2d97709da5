"""The proof patch: a small grid of cells, each a whole setting, chosen for what it finds and what it teaches.

Cells are taken one after the other: each is the one whose reading lets the plan that follows be
right most often. Such cells tell draws apart that want different settings, and most are good bets
themselves. After readings a cell is judged at its own place, not at the worst of a slice: what is in doubt then is
whether coating is left or the metal engraved, and where both edges lie near each other no cell is sure for a slice.
A new focal plane or a new lattice costs a change of the controls, so it has to bring more.
"""

from itertools import pairwise
from typing import Final, Literal, NamedTuple

import numpy as np
from pydantic import Field

from rotary.errors import Fault, Predicate, Refused, no_plan
from rotary.formulas.arrays import Floats
from rotary.laser import LaserAndLens
from rotary.model import Model
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Coating, Draws, material_for, substances
from rotary.passes.patch.cells import GAP_MM
from rotary.passes.plan.grid import LEAST_POWER_SHARE, Grid, Light, grid, worst_places
from rotary.passes.plan.looks import MOST_LOOKED, stop_shares
from rotary.passes.plan.pauses import pauses_of
from rotary.passes.plan.prospects import durations_of
from rotary.passes.plan.removal import TRUSTED, removal_plan
from rotary.passes.plan.setting import Removal, Setting
from rotary.passes.plan.typed_settings import grid_from, setting_from
from rotary.passes.plan.window import PASSES, passes
from rotary.setup import Setup
from rotary.wishes import Wishes, feasible

FEWEST: Final = 4
MOST: Final = 16
LEAST_CELL_MM: Final = 4.0
"""What an eye reads without a lens."""
WIDEST_CELL_MM: Final = 8.0

_DRAWS: Final = 400
# Looks at one spot: after these passes, and where few and most of the draws have it clear.
_LOOK_SHARES: Final = (0.3, 0.8)
_LOOKS_AT_LEAST: Final = (1, 2, 4, 8, 16)
_LOOKS_UNSURE: Final = (1, 4, 16)
# What a change of the controls must bring, as a share of the best cell's gain: estimates of the person's trouble.
_NEW_PLANE: Final = 0.5
_NEW_LATTICE: Final = 0.3
# So far may a step of the power move a pulse before the cell is another one.
_SAME_PULSE: Final = 0.08
_PAUSE_S: Final = 1.0


class Cell(Model):
    """One cell: its place in the grid (row 1 at the top, column 1 at the left), its setting, its own chance."""

    number: int
    row: int
    column: int
    setting: Setting
    chance: float
    looks: tuple[int, ...]


class Patch(Model):
    """A proof patch in the order in which it is marked. Sizes in [mm], `changes` counts the controls to change.

    `chance_now` is the plan's before it is marked, `chance` that after it is read: of at least one cell being right for
    the whole job, over so many `draws`.
    """

    cells: tuple[Cell, ...] = Field(min_length=1)
    rows: int
    columns: int
    cell_width_mm: float
    cell_height_mm: float
    gap_mm: float
    surface: Literal["scrap", "item"]
    changes: int
    chance: float = 0.0
    chance_now: float = 0.0
    draws: int = 0

    @property
    def width_mm(self) -> float:
        """Across the cells, without labels."""
        return self.columns * self.cell_width_mm + (self.columns - 1) * self.gap_mm

    @property
    def height_mm(self) -> float:
        """Along the cells, without labels."""
        return self.rows * self.cell_height_mm + (self.rows - 1) * self.gap_mm


class CellRoom(NamedTuple):
    """The width that cells on the item must lie within, None where that is open, and the length along it [mm].

    `around_mm` is the way round it, None where that is open; `flats` are its flats, each of which takes a column.
    """

    slice_mm: float | None = None
    along_mm: float = 60.0
    around_mm: float | None = None
    flats: int = 0


ANY_ROOM: Final = CellRoom()


def patch(
    setup: Setup,
    believed: Draws | None = None,
    draws: int = 1000,
    cells: int = 9,
    surface: Literal["scrap", "item"] = "scrap",
    room: CellRoom = ANY_ROOM,
) -> Patch:
    """The cells that most probably hold a right setting and teach most; raises NoPlan where none has a chance.

    The first are a column of the plan's own: its geometry and frequency, at the powers of its ladder. `believed` are
    the draws after readings; where None, those before any.
    """
    job, beam = setup.job, setup.optics
    laser, wishes = job.laser, job.passes
    _, coating = substances(job.item)
    faults = []
    if not FEWEST <= cells <= MOST:
        faults.append(Fault("cells", f"a patch can't have {cells} cells: write a number from {FEWEST} to {MOST}."))
    if not isinstance(coating, Coating):
        none = Predicate("is none, and bare metal needs no test patch: if the item has a coating, choose it.")
        faults.append(Fault("item.coating", f"this coating must not be marked: {coating.refused}" if coating else none))
    if faults or not isinstance(coating, Coating):
        raise Refused(faults)
    feasible(wishes, laser, bare=False, program=job.program)
    steps = removal_plan(setup, draws, believed)
    every = grid(laser, beam, wishes)
    if not len(every.line_spacing_mm):
        says = "no setting of this laser has all the values that you typed: leave one or more of them out."
        raise no_plan("passes", says)
    material = material_for(job.item, laser, draws, believed, wishes.finish).first(_DRAWS)
    few, column = material.draws, _column(steps)
    if column is not None:
        every = column.joined(every)
    light = worst_places(every.defocus_mm, beam, job.tolerances, job.item.runout_mm)
    most = wishes.passes or MOST_LOOKED

    as_marked = Light(np.ones_like(light.low), np.ones_like(light.high))

    def right_with(pulse_width_ns: float, at: Light, some: Grid = every) -> Floats:
        return stop_shares(passes(some, material, pulse_width_ns, beam, at), few, most)[0]

    # One pulse width for all cells: the plan's, else that of the best bet.
    widths = [steps.setting.pulse_width_ns] if steps.setting else durations_of(laser, wishes)
    judged = light if believed is None else as_marked
    ns, right = max(((ns, right_with(ns, judged)) for ns in widths), key=lambda of: _best(of[1], few))
    given = len(column.line_spacing_mm) if column is not None else 0
    picked = _picked(right, few.weight, every, cells, given)
    if not picked:
        says = "no setting of this laser and lens is likely to work: look at the plan's passes for the reasons."
        raise no_plan("passes", says)
    at_worst = right_with(ns, light.take(np.array(picked)), every.take(np.array(picked)))
    after = max(TRUSTED * float(few.weight @ at_worst.max(axis=0)), steps.chance_with_looks)
    pauses = pauses_of(wishes, job.program)
    pause = next((pause_s for pause_s in pauses if pause_s >= _PAUSE_S), pauses[-1])
    chosen = []
    for own, one in zip(at_worst, _at_one_rate(every, picked, laser, wishes, given), strict=True):
        here = passes(one, material, ns, beam, Light(np.ones(1), np.ones(1)))
        looks = (wishes.passes,) if wishes.passes else _looks(here.needed[0], few.weight)
        setting = setting_from(one, ns, looks[-1], pause if looks[-1] > 1 else 0.0, laser, beam)
        chosen.append((setting, float(few.weight @ own), looks))
    chosen.sort(key=lambda cell: _keyed(cell[0]))
    laid = _laid_out(chosen, surface, room)
    return laid.but(chance=after, chance_now=steps.chance_with_looks, draws=len(few.weight))


def _column(steps: Removal) -> Grid | None:
    """The settings of the plan's own column: its ladder's first, middle and last power; None where there is no plan."""
    if steps.setting is None or not steps.rungs:
        return None
    rungs = steps.rungs
    powers = dict.fromkeys(rungs[at].power_share for at in (0, (len(rungs) - 1) // 2, len(rungs) - 1))
    return grid_from(steps.setting).scaled(np.array(list(powers)) / steps.setting.power_share)


def _best(right: Floats, draws: Draws) -> float:
    return float((right @ draws.weight).max())


def _at_one_rate(every: Grid, picked: list[int], laser: LaserAndLens, wishes: Wishes, given: int) -> list[Grid]:
    """The settings with one rate and one speed for all of a focal plane and hatch, so that power alone changes there.

    The rate is the lowest that any of them has, the power falls with it and the pulses stay as they are, to a step
    of the power, or that of the first `given`, which are the plan's own; a setting that would need less power than the
    source can hold keeps its own rate.
    """
    least, step = max(LEAST_POWER_SHARE, laser.power_step_share), laser.power_step_share
    found: list[Grid] = []
    for at in picked:
        one = every.take(np.array([at]))
        same = [
            k
            for k in picked
            if every.defocus_mm[k] == one.defocus_mm[0] and every.line_spacing_mm[k] == one.line_spacing_mm[0]
        ]
        rate = float(every.frequency_khz[same[0] if min(same) < given else same].min())
        share = round(float(one.pulse_mj[0]) * rate / laser.rated_power_w / step) * step
        slowed = Grid(
            power_share=np.array([share]),
            frequency_khz=np.array([rate]),
            pulse_mj=np.array([share * laser.rated_power_w / rate]),
            speed_mm_s=one.speed_mm_s * rate / one.frequency_khz,
            line_spacing_mm=one.line_spacing_mm,
            defocus_mm=one.defocus_mm,
        )
        free = wishes.power_share is None and wishes.speed_mm_s is None
        near = abs(slowed.pulse_mj[0] / one.pulse_mj[0] - 1) < _SAME_PULSE
        new = all(not _alike(slowed, other) for other in found)
        found.append(slowed if free and near and new and least - 1e-9 <= share <= 1 else one)
    return found


def _alike(one: Grid, other: Grid) -> bool:
    return all(np.array_equal(getattr(one, name), getattr(other, name)) for name in Grid.__dataclass_fields__)


def _looks(needed: Floats, weight: Floats) -> tuple[int, ...]:
    """After which passes a cell is read: where few, half and most of the draws have it clear, of those that ever do."""
    able = needed <= MOST_LOOKED
    if not able.any():
        return _LOOKS_UNSURE
    counts = np.ceil(needed[able])
    at = [quantile(counts, weight[able], share) for share in _LOOK_SHARES]
    return tuple(sorted({int(PASSES[np.abs(np.log(PASSES / max(n, 1))).argmin()]) for n in at} | {*_LOOKS_AT_LEAST}))


def _picked(right: Floats, weight: Floats, every: Grid, cells: int, given: int) -> list[int]:
    """The settings that cells are marked with: the first `given` in any case, else the best bet first.

    Each next cell is the one that raises the chance the most that one of them is right, with a wide margin
    counting more than a narrow one; less the trouble of its controls.
    """
    own = right @ weight
    some = np.argsort(-own, kind="stable")
    some = np.concatenate([np.arange(given), some[(own[some] > 1e-4) & (some >= given)]])
    if not len(some):
        return []
    act = (right[some] * weight).astype(np.float32)
    planes, lattices = every.defocus_mm[some], every.line_spacing_mm[some] * 1e6 + every.speed_mm_s[some]
    used = list(range(max(given, 1)))
    best = act[used].max(axis=0)
    for _ in range(min(cells, len(some)) - len(used)):
        gain = np.maximum(act, best).sum(axis=1) - best.sum()
        trouble = _NEW_PLANE * ~np.isin(planes, planes[used]) + _NEW_LATTICE * ~np.isin(lattices, lattices[used])
        score = gain * (1 - trouble) + 1e-4 * own[some]
        score[used] = -np.inf
        used.append(int(score.argmax()))
        best = np.maximum(best, act[used[-1]])
    return [int(some[at]) for at in used]


def _keyed(setting: Setting) -> tuple[float, ...]:
    """Sorted by this, the control that is the most trouble to change changes least often."""
    lattice = (setting.line_spacing_mm, setting.frequency_khz, setting.speed_mm_s)
    return (setting.defocus_mm, *lattice, setting.power_share)


def changes_of(settings: list[Setting]) -> int:
    """How many controls are changed between the cells, in the order of the list; passes are counted, not keyed in."""
    names = ("defocus_mm", "line_spacing_mm", "frequency_khz", "speed_mm_s", "power_share")
    pairs = pairwise(settings)
    return sum(getattr(one, name) != getattr(next_, name) for one, next_ in pairs for name in names)


def _refuse_more(count: int, rows: int, columns: int) -> None:
    """Columns lie beside each other round the item, each on a flat of its own where there are flats; one is left."""
    if count <= rows * columns:
        return
    fewer = f"ask for {rows * columns} cells, or " if rows * columns >= FEWEST else ""
    says = f"{count} cells have no room on this item: {fewer}mark the patch on a flat scrap of the same batch."
    raise no_plan("surface", says)


def _laid_out(
    chosen: list[tuple[Setting, float, tuple[int, ...]]], surface: Literal["scrap", "item"], room: CellRoom
) -> Patch:
    """Cells in rows and columns: a square on scrap, a column within one slice (or more slices) on the item."""
    count, gap = len(chosen), GAP_MM
    width = height = 5.0
    if surface == "item":
        wide = room.slice_mm or WIDEST_CELL_MM
        if wide < LEAST_CELL_MM:
            says = (
                f"on this item only {wide:.1f} mm are flat enough for a cell, and you need {LEAST_CELL_MM:g} mm to "
                "judge one: mark the patch on a flat scrap of the same batch."
            )
            raise no_plan("surface", says)
        width = min(float(np.floor(2 * wide) / 2), WIDEST_CELL_MM)
        rows = min(count, max(int((room.along_mm + gap) // (height + gap)), 1))
        around = count if room.around_mm is None else int(room.around_mm // (width + gap))
        _refuse_more(count, rows, room.flats - 1 if room.flats else around)
    else:
        rows = int(np.ceil(np.sqrt(count)))
    columns = int(np.ceil(count / rows))
    cells = tuple(
        Cell(number=at + 1, row=at % rows + 1, column=at // rows + 1, setting=setting, chance=own, looks=looks)
        for at, (setting, own, looks) in enumerate(chosen)
    )
    return Patch(
        cells=cells,
        rows=rows,
        columns=columns,
        cell_width_mm=width,
        cell_height_mm=height,
        gap_mm=gap,
        surface=surface,
        changes=changes_of([setting for setting, *_ in chosen]),
    )
