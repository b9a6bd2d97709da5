"""Made-up items under the laser: pass after pass, as either kind of truth has it, many settings at once.

A kind of truth (`truth.py`, `truth_skin.py`) says what a pass does to the places of the lattice's cell; here are the
passes that each lie at their own place, the wall as a sheet of finite differences, and what is to be seen. Nothing
here calls the tool's own ablation or heat formulas.

::

    (settings, sites, places)   a site is a thickness, a focus and how much weaker the beam arrives
                                a place is one of POINTS x POINTS in the cell of the pulse lattice
"""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.laser import Optics
from rotary.passes.plan.setting import Setting

Floats = NDArray[np.float64]

POINTS: Final = 12
HALF: Final = POINTS // 2
PLACES: Final = (np.arange(HALF) + 0.5) / POINTS
"""Places of half a cell; the other half is its mirror image."""
SHEET_MM, STEP_MM = 36.0, 1.0
SLICE_MM: Final = (6.0, 18.0)
OUTCOMES: Final = ("covered", "haze", "clear", "tinted", "cut")
SPOILT: Final = ("cut", "tinted")
STATE: Final = ("left", "after", "cut", "bare", "rise", "peak")
"""What passes change of a surface."""


class Site(NamedTuple):
    """Where something is marked: how thick it is there, how far out of focus, and how much weaker the beam arrives."""

    thick_um: float
    off_mm: float = 0.0
    weaker: float = 1.0


class Effects:
    """What one pass of each of some settings does at each site, (settings, sites, fields, places)."""

    def __init__(self, kind: Any, one: Any, optics: Optics, sites: Sequence[Site]) -> None:
        """No setting yet."""
        self.kind, self.one, self.optics, self.sites = kind, one, optics, sites
        self.rows: dict[Setting, int] = {}
        self._logs: dict[tuple[float, ...], Floats] = {}
        self._found: list[Floats] = []
        self._heats: list[tuple[float, float, float]] = []
        self.hits: Floats = np.zeros(0)
        self.heats: Floats = np.zeros((0, 3))

    def of(self, settings: Sequence[Setting]) -> NDArray[np.intp]:
        """The rows of some settings."""
        new = [setting for setting in dict.fromkeys(settings) if setting not in self.rows]
        thick = getattr(self.one, "lifts", False)
        for setting in new:
            self.rows[setting] = len(self._found)
            # Thickness alone makes no other pass, but where a coating is thrown off whole.
            alike = {site[not thick :]: site for site in self.sites}
            some = {key: self._hits(setting, site) for key, site in alike.items()}
            self._found.append(np.stack([some[site[not thick :]] for site in self.sites]))
            dose = setting.dose_j_mm2 * self.kind.arrives(self.one, setting)
            area_s = 1 / (setting.speed_mm_s * setting.line_spacing_mm)
            self._heats.append((dose, area_s, setting.pause_s))
        if new:
            quarters = np.stack(self._found)
            some = quarters.reshape(*quarters.shape[:-1], HALF, HALF)
            some = np.concatenate([some, some[..., ::-1]], axis=-1)
            some = np.concatenate([some, some[..., ::-1, :]], axis=-2)
            self.hits, self.heats = some, np.array(self._heats)
        return np.array([self.rows[setting] for setting in settings])

    def _hits(self, setting: Setting, site: Site) -> Floats:
        pitch = setting.speed_mm_s / setting.frequency_khz / 1e3
        key = (setting.defocus_mm, round(pitch, 9), setting.line_spacing_mm, site.off_mm)
        if key not in self._logs:
            away = abs(setting.defocus_mm) + site.off_mm
            self._logs[key] = self.kind.log_fluences(self.one, pitch, setting.line_spacing_mm, self.optics, away)
        arrives = setting.pulse_mj * self.kind.arrives(self.one, setting) * site.weaker
        logs = self._logs[key] + np.log(max(arrives, 1e-12))
        return np.asarray(self.kind.hits(self.one, setting, site, logs))


class Marked:
    """What is marked pass after pass, with so many settings side by side, each on a surface of its own."""

    def __init__(self, effects: Effects, sides_mm: tuple[float, float], mixer: np.random.Generator, count: int = 1):
        """As it is before the first pass."""
        self.effects, self.mixer = effects, mixer
        self.thick = np.array([site.thick_um for site in effects.sites])[:, None]
        shape = (count, len(effects.sites), POINTS * POINTS)
        self.left = np.broadcast_to(self.thick, shape).copy()
        self.after, self.cut = np.zeros(shape), np.zeros(shape, bool)
        self.bare = np.zeros(count, bool)
        self.area_mm2 = sides_mm[0] * sides_mm[1]
        self.block = np.outer(*((EVEN.T @ _inside(side)) for side in sides_mm))
        self.rise, self.peak = np.zeros((count, *self.block.shape)), np.zeros(count)

    def mark(self, *settings: Setting) -> None:
        """One pass of each setting, everywhere on its surface."""
        self.mark_rows(self.effects.of(settings))

    def mark_rows(self, rows: NDArray[np.intp]) -> None:
        """The same with rows of the effects."""
        bare = self.bare.copy()
        rolls = self.mixer.integers(POINTS, size=(len(self.thick), 2))
        fields = self.effects.hits.shape[2]
        hits = np.empty((fields, len(rows), len(self.thick), POINTS * POINTS))
        used, at = np.unique(rows, return_inverse=True)
        for site, (along, across) in enumerate(rolls):
            every = self.effects.hits[used, site].reshape(len(used), fields, -1)
            hits[:, :, site] = every[:, :, _ROLLED[along, across]].swapaxes(0, 1)[:, at]
        self.effects.kind.strike(self.effects.one, self, hits)
        self._warm(self.effects.heats[rows], bare)

    def opened(self, places: NDArray[np.bool_]) -> None:
        """Take a surface as bare where half the places of a site are."""
        self.bare |= (places.mean(axis=-1) > 0.5).any(axis=-1)

    def _warm(self, heats: Floats, bare: NDArray[np.bool_]) -> None:
        """A pass warms the block while it goes on, and then there is a pause."""
        one, (dose, area_s, pause_s) = self.effects.one, heats.T
        half = _spread(area_s * self.area_mm2 / 2)
        share = np.where(bare, one.absorptivity, one.residual)
        self.rise *= half
        self.rise += (share * dose / (one.wall_mm * 8000 * 500 * 1e-9))[:, None, None] * self.block
        self.rise *= half
        self.peak = np.maximum(self.peak, np.einsum("i,nij,j->n", MIDDLE, self.rise, MIDDLE))
        self.rise *= _spread(pause_s)

    @property
    def outcomes(self) -> NDArray[np.intp]:
        """What is truly to be seen on each surface, the worst of its places, as a place in OUTCOMES."""
        left = (self.left.max(axis=-1) / self.thick[:, 0]).max(axis=-1)
        return self._seen(left, (self.cut.mean(axis=-1) > 0.02).any(axis=-1), self.peak)

    @property
    def outcomes_at_sites(self) -> NDArray[np.intp]:
        """The same for each site by itself, (settings, sites)."""
        left = self.left.max(axis=-1) / self.thick[:, 0]
        return self._seen(left, self.cut.mean(axis=-1) > 0.02, self.peak[:, None])

    def _seen(self, left: Floats, cut: NDArray[np.bool_], peak: Floats) -> NDArray[np.intp]:
        seen = np.where(left > 0.0, 1, 2)
        seen = np.where(20.0 + peak > self.effects.one.tints_at_c, 3, seen)
        seen = np.where(left > 0.12, 0, seen)
        return np.where(cut, 4, seen)

    @property
    def outcome(self) -> str:
        """What is truly to be seen where one setting at a time is marked."""
        return OUTCOMES[int(self.outcomes[0])]

    def keep(self, which: NDArray[np.bool_]) -> None:
        """Leave all surfaces but these."""
        for name in STATE:
            setattr(self, name, getattr(self, name)[which])


def _rolled() -> NDArray[np.intp]:
    """For each shift of the lattice the places that come to lie at each place, (POINTS, POINTS, places)."""
    cell = np.arange(POINTS * POINTS).reshape(POINTS, POINTS)
    return np.array([[np.roll(cell, (i, j), (0, 1)).ravel() for j in range(POINTS)] for i in range(POINTS)])


_ROLLED = _rolled()


def _even() -> tuple[Floats, Floats]:
    """Eigenvalues and vectors of the second difference on a line whose ends stay at room temperature, the even ones."""
    cells = int(SHEET_MM / STEP_MM)
    second = np.diag(np.full(cells, -2.0)) + np.diag(np.ones(cells - 1), 1) + np.diag(np.ones(cells - 1), -1)
    values, vectors = np.linalg.eigh(second / STEP_MM**2)
    even = vectors[cells // 2 - 1] * vectors[cells // 2] > 0
    return values[even], vectors[:, even]


VALUES, EVEN = _even()
MIDDLE = EVEN[len(EVEN) // 2]


def _inside(side_mm: float) -> Floats:
    """1 in the cells of the sheet that lie within a side of the block."""
    cells = int(SHEET_MM / STEP_MM)
    at = (np.arange(cells) + 0.5) * STEP_MM - SHEET_MM / 2
    return (np.abs(at) < side_mm / 2).astype(float)


def _spread(seconds: Floats) -> Floats:
    """What is left of each wave of heat in the sheet after a while (n,), exact in time; a little goes to the air."""
    wave = np.exp(4.05 * seconds[:, None] * VALUES)
    return wave[:, :, None] * wave[:, None, :] * np.exp(-seconds * 12.0 / (0.5 * 4e3))[:, None, None]


def cell(kind: Any, one: Any, optics: Optics, mixer: np.random.Generator, off_mm: float) -> Marked:
    """A cell of a patch on a flat scrap; the place's thickness is its own."""
    thick = one.thick_um + one.uneven_um * float(mixer.uniform(-0.5, 0.5))
    return Marked(Effects(kind, one, optics, [Site(thick, off_mm)]), (5.0, 5.0), mixer)


def sites_of(one: Any, off_mm: float) -> list[Site]:
    """Thick and thin places of the item, middle and edges of slices, runout."""
    return [
        Site(one.thick_um + one.uneven_um, off_mm + 0.1, 0.90),
        Site(one.thick_um, off_mm),
        Site(max(one.thick_um - one.uneven_um, 0.3 * one.thick_um), off_mm - 0.1),
    ]


def job(kind: Any, one: Any, optics: Optics, mixer: np.random.Generator, off_mm: float) -> Marked:
    """A slice of the item."""
    return Marked(Effects(kind, one, optics, sites_of(one, off_mm)), SLICE_MM, mixer)


def after_all(marked: Marked, setting: Setting) -> str:
    """What is to be seen after all passes of a setting, run blind."""
    for _ in range(setting.passes):
        marked.mark(setting)
    return marked.outcome


def come_clean(kind: Any, one: Any, optics: Optics, settings: Sequence[Setting], passes: int) -> NDArray[np.bool_]:
    """Which settings, stopped at the first clear look, are right on the whole item, the focus as set."""
    # What does not come clean in the middle of a slice does so nowhere: a third of the work.
    middle = _stopped(Effects(kind, one, optics, [Site(one.thick_um)]), settings, passes)
    right = np.zeros(len(settings), bool)
    some = [setting for setting, can in zip(settings, middle, strict=True) if can]
    if some:
        right[middle] = _stopped(Effects(kind, one, optics, sites_of(one, 0.0)), some, passes)
    return right


def _stopped(effects: Effects, settings: Sequence[Setting], passes: int) -> NDArray[np.bool_]:
    rows, going = effects.of(settings), np.arange(len(settings))
    marked = Marked(effects, SLICE_MM, np.random.default_rng(7), len(settings))
    right = np.zeros(len(settings), bool)
    for _ in range(passes):
        marked.mark_rows(rows[going])
        seen = marked.outcomes
        right[going[seen == 2]] = True
        on = seen <= 1
        going = going[on]
        if not len(going):
            break
        marked.keep(on)
    return right


def read(outcome: str, mixer: np.random.Generator, wrong_share: float = 0.05) -> str:
    """What the person writes down: one reading in twenty is any of the others."""
    if mixer.random() >= wrong_share:
        return outcome
    return str(mixer.choice([name for name in OUTCOMES if name != outcome]))
