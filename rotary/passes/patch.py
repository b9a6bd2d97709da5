"""The proof patch: a small grid of cells, each a whole setting, chosen for what it finds and what it teaches.

Cells are taken one after the other: each is the one whose reading lets the plan that follows be
right most often. Such cells tell draws apart that want different settings, and most are good bets
themselves. A new focal plane or a new lattice costs a change of the controls, so it has to bring more.
"""

from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from rotary.errors import Fault, NoPlan, Refused
from rotary.head import Head, Optics
from rotary.item import Item
from rotary.model import Model
from rotary.passes.beliefs import SEED, Coating, Draws, RefusedCoating, substances
from rotary.passes.choosing import durations_of, setting_from
from rotary.passes.grid import Grid, grid, worst_places
from rotary.passes.setting import Setting
from rotary.passes.window import PASSES, Passes, passes
from rotary.passes.wishes import FREE, Wishes, held
from rotary.slices import Tolerances

Floats = NDArray[np.float64]

FEWEST: Final = 4
MOST: Final = 16
LEAST_CELL_MM: Final = 4.0
"""What an eye reads without a lens."""
WIDEST_CELL_MM: Final = 8.0

_DRAWS: Final = 320
_ACTIONS: Final = 160
# What a change of the controls must bring, as a share of the best cell's gain: estimates of the person's trouble.
_NEW_PLANE: Final = 0.25
_NEW_LATTICE: Final = 0.10
_NEW_POWER: Final = 0.02
_PAUSE_S: Final = 1.0


class Cell(Model):
    """One cell: its place in the grid (row 1 at the top, column 1 at the left), its setting, its own chance."""

    number: int
    row: int
    column: int
    setting: Setting
    chance: float


class Patch(Model):
    """A proof patch in the order in which it is marked. Sizes in [mm], `changes` counts the controls to change.

    `chance` is that of at least one cell being right for the whole job.
    """

    cells: tuple[Cell, ...] = Field(min_length=1)
    rows: int
    columns: int
    cell_width_mm: float
    cell_height_mm: float
    gap_mm: float
    surface: Literal["item", "scrap"]
    chance: float
    changes: int
    draws: int
    before: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def width_mm(self) -> float:
        """Across the cells, without labels."""
        return self.columns * self.cell_width_mm + (self.columns - 1) * self.gap_mm

    @property
    def height_mm(self) -> float:
        """Along the cells, without labels."""
        return self.rows * self.cell_height_mm + (self.rows - 1) * self.gap_mm


def patch(
    item: Item,
    head: Head,
    optics: Optics,
    tolerances: Tolerances,
    draws: Draws,
    wishes: Wishes = FREE,
    cells: int = 9,
    surface: Literal["item", "scrap"] = "scrap",
    slice_mm: float | None = None,
    room_mm: float = 60.0,
) -> Patch:
    """The cells that most probably hold a right setting and teach most; raises NoPlan where none has a chance.

    `slice_mm` is the width that cells on the item must lie within, `room_mm` the length along it.
    """
    metal, coating = substances(item)
    faults = []
    if not FEWEST <= cells <= MOST:
        faults.append(Fault("cells", f"a patch of {cells} cells won't do: write a number from {FEWEST} to {MOST}."))
    if not isinstance(coating, Coating):
        why = f"{coating.says}: {coating.refused}" if isinstance(coating, RefusedCoating) else "the metal is bare"
        faults.append(Fault("item.coating", f"there is nothing to prove, {why}."))
    if faults or not isinstance(coating, Coating):
        raise Refused(faults)
    held(wishes, head, bare=False)
    every = grid(head, optics, wishes)
    counts = PASSES if wishes.passes is None else np.array([float(wishes.passes)])
    ns = durations_of(head, wishes)[0]
    if not len(every.hatch_mm):
        raise NoPlan([Fault("passes", "what is held leaves no setting that this head can do: hold less.")])
    low, high = worst_places(every.defocus_mm, optics, tolerances, item.runout_mm)
    seen = passes(every, draws, metal, coating.lift_off_at_ns, ns, optics, low, high)
    even = np.ones_like(low)
    here = passes(every, draws, metal, coating.lift_off_at_ns, ns, optics, even, even)
    works, clears = (_of_each_count(one, counts) for one in (seen, here))
    outcomes = clears + 2 * (here.most[:, None, :] < counts[:, None]).reshape(clears.shape).astype(np.int64)
    value = (works.astype(np.float32) + clears) / np.float32(2)
    picked = _picked(value, outcomes, draws.weight, every, len(counts), cells)
    chance = float(draws.weight @ works[picked].any(axis=0)) if picked else 0.0
    if not picked:
        says = "no setting that this head can do has any chance by what is believed; see rotary plan for the reasons."
        raise NoPlan([Fault("passes", says)])
    own = works @ draws.weight
    pause = wishes.pause_s if wishes.pause_s is not None else _PAUSE_S
    chosen = [
        (
            setting_from(
                every.take(np.array([at // len(counts)])), ns, int(count), pause if count > 1 else 0.0, head, optics
            ),
            float(own[at]),
        )
        for at in picked
        for count in (counts[at % len(counts)],)
    ]
    chosen.sort(key=lambda pair: _keyed(pair[0]))
    return _laid_out(chosen, chance, surface, slice_mm, room_mm, len(draws.weight))


def _of_each_count(seen: Passes, counts: Floats) -> NDArray[np.bool_]:
    """Whether each setting at each number of passes works in each draw, (settings x counts, n)."""
    return np.stack([seen.works(count) for count in counts], axis=1).reshape(-1, seen.needed.shape[1])


def _picked(
    works: NDArray[np.float32],
    outcomes: NDArray[np.int64],
    weight: Floats,
    every: Grid,
    counts: int,
    cells: int,
) -> list[int]:
    """Places of the cells among settings x passes.

    Readings part the draws into groups; in each group the best setting is then taken. The next cell is
    the one that raises the weight that those best settings have together the most, less the trouble of
    its controls. A few hundred draws, and the most promising settings, are enough for that.
    """
    some = min(len(weight), _DRAWS)
    heavy = (weight[:some] / weight[:some].sum()).astype(np.float32)
    own = works[:, :some] @ heavy
    actions = _unlike(own, works[:, :some], _ACTIONS)
    if not len(actions):
        return []
    act = works[actions, :some] * heavy
    planes, lattices, powers = (
        np.repeat(values, counts)[actions]
        for values in (every.defocus_mm, every.hatch_mm * 1e6 + every.scan_speed_mm_s, every.power_share)
    )
    seen = outcomes[actions][:, :some]
    group, used = np.zeros(some, np.int64), [0]
    group = seen[0]
    for _ in range(min(cells, len(actions)) - 1):
        values = np.array([_after_reading(act, group * 4 + row) for row in seen])
        now = _after_reading(act, group)
        best = max(float(values.max()) - now, 1e-9)
        trouble = (
            _NEW_PLANE * ~np.isin(planes, planes[used])
            + _NEW_LATTICE * ~np.isin(lattices, lattices[used])
            + _NEW_POWER * ~np.isin(powers, powers[used])
        )
        score = values - now + 0.05 * own[actions] * best - best * trouble
        score[used] = -np.inf
        used.append(int(score.argmax()))
        group = np.unique(group * 4 + seen[used[-1]], return_inverse=True)[1]
    return [int(actions[at]) for at in used]


def _unlike(own: Floats, works: NDArray[np.float32], most: int) -> NDArray[np.intp]:
    """The most promising settings, best first; of those that work in the very same draws the first only."""
    order = np.argsort(-own, kind="stable")
    order = order[own[order] > 1e-4][: 6 * most]
    signs = np.random.default_rng(SEED).standard_normal(works.shape[1])
    mixed: Floats = np.asarray(works[order] @ signs)
    _, first = np.unique(np.round(mixed, 3), return_index=True)
    kept = order[np.sort(first)]
    # A fifth of them are taken from the less promising, evenly: they lie where little is expected but much is told.
    head, tail = kept[: 4 * most // 5], kept[4 * most // 5 :]
    return np.concatenate([head, tail[:: max(len(tail) // (most // 5), 1)]])[:most]


def _after_reading(act: NDArray[np.float32], group: NDArray[np.int64]) -> float:
    """Weight of the draws in which the best setting of their group works."""
    _, places = np.unique(group, return_inverse=True)
    one_of = np.zeros((len(places), int(places.max()) + 1), np.float32)
    one_of[np.arange(len(places)), places] = 1.0
    return float((act @ one_of).max(axis=0).sum())


def _keyed(setting: Setting) -> tuple[float, ...]:
    """Sorted by this, the control that is the most trouble to change changes least often."""
    lattice = (setting.hatch_mm, setting.rate_khz, setting.scan_speed_mm_s)
    return (setting.defocus_mm, *lattice, setting.power_share, setting.passes)


def changes_of(settings: list[Setting]) -> int:
    """How many controls are changed between the cells, in the order of the list."""
    names = ("defocus_mm", "rate_khz", "scan_speed_mm_s", "hatch_mm", "power_share", "passes")
    pairs = pairwise(settings)
    return sum(getattr(one, name) != getattr(next_, name) for one, next_ in pairs for name in names)


def _laid_out(
    chosen: list[tuple[Setting, float]],
    chance: float,
    surface: Literal["item", "scrap"],
    slice_mm: float | None,
    room_mm: float,
    draws: int,
) -> Patch:
    """Cells in rows and columns: a square on scrap, a column within one slice (or more slices) on the item."""
    count, gap = len(chosen), 2.0
    width = height = 5.0
    if surface == "item":
        wide = slice_mm or WIDEST_CELL_MM
        if wide < LEAST_CELL_MM:
            says = (
                f"a cell of {wide:.1f} mm, all that lies flat enough here, is less than the {LEAST_CELL_MM:g} mm that "
                "an eye reads: mark the patch on a flat scrap of the same batch."
            )
            raise NoPlan([Fault("surface", says)])
        width = min(float(np.floor(2 * wide) / 2), WIDEST_CELL_MM)
        rows = min(count, max(int((room_mm + gap) // (height + gap)), 1))
    else:
        rows = int(np.ceil(np.sqrt(count)))
    columns = int(np.ceil(count / rows))
    cells = tuple(
        Cell(number=at + 1, row=at % rows + 1, column=at // rows + 1, setting=setting, chance=own)
        for at, (setting, own) in enumerate(chosen)
    )
    notes = [
        "A cell cools faster than the job and tells too little of tint: take the first slice as a reading too.",
        "Cells are read with the bare eye under a slanting light, after a wipe: covered, haze, clear, tinted or cut.",
    ]
    if surface == "item" and columns > 1:
        notes.append(f"{columns} columns: turn the item by one index between them, so that each lies in its own slice.")
    if surface == "scrap":
        notes.append(
            "The scrap must be of the same batch: same metal, wall, coating and colour, laid flat at the apex."
        )
    return Patch(
        cells=cells,
        rows=rows,
        columns=columns,
        cell_width_mm=width,
        cell_height_mm=height,
        gap_mm=gap,
        surface=surface,
        chance=chance,
        changes=changes_of([setting for setting, _ in chosen]),
        draws=draws,
        before=(
            "Degrease the place and let it dry; extraction on, enclosure shut.",
            "Set the focus as for the job: the defocus of each cell counts from the surface.",
        ),
        notes=tuple(notes),
    )
