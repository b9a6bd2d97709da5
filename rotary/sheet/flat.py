"""Flat artwork corrected for the surface map alone, for those whose program divides it itself.

It is drawn so that every place comes under the head at its own angle: x is the angle times column
over index, y the command that hits the apex line at that height. Within a column it is drawn flat, so
it is exact at the radius for which the column was chosen and off elsewhere by what the plan's
seam table says.
"""

import math
from collections.abc import Callable, Mapping
from itertools import groupby, pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.actions.files import COMES_UP, divides_back
from rotary.artwork.cut import slices_between
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import Rings, area_mm2, bounds_mm, joined, moved, turned_about
from rotary.artwork.warp import warped
from rotary.errors import no_plan
from rotary.focus import SlicedSetup
from rotary.formulas.revolution import radius_mm
from rotary.plan import Plan
from rotary.sentences.files import slices_text
from rotary.sheet import stance_of, typed_warnings
from rotary.sheet.compose import laid_on, largest_mm
from rotary.sheet.fits import NOTHING_DARK
from rotary.sheet.keys import PART, keys_text
from rotary.sheet.pages import in_field, page_in_field, placing_text, slice_name
from rotary.sheet.redraw import REDRAW_TOLERANCE_MM, Stance, command_to_hit_mm, drawn_as, wall_slices
from rotary.sheet.svg import drawing
from rotary.slices.slits import LEAST_SLITS
from rotary.slices.trial import TrialFiles, trial_files

Floats = NDArray[np.float64]

FLAT: Final = "-flat"
"""What the name of a flat file has after the artwork's."""


class FlatDrawing(NamedTuple):
    """Flat artwork as drawn [mm] with y up, its page as it lies in the field, and the texts of its files by name: the
    whole first, then those that a coating is tried with."""

    rings: Rings
    wide_mm: float
    high_mm: float
    texts: dict[str, str]
    trial: TrialFiles | None = None

    def renamed(self, names: Mapping[str, str]) -> "FlatDrawing":
        """The same in files of other names."""
        texts = {names[name]: text for name, text in self.texts.items()}
        return self._replace(texts=texts, trial=self.trial and self.trial.renamed(names))


def flat_drawing(
    setup: SlicedSetup,
    rings: Rings,
    on_flats: tuple[Rings, ...] = (),
    trial: bool = False,
    askew_rad: float | None = None,
    counts_back: bool = False,
) -> FlatDrawing:
    """The artwork as one flat drawing, as wide and as high as this machine needs it.

    `on_flats` are the commands of each column of a faceted item, drawn for the machine already, where no map is
    needed. The page is as high as the split has it, or as the artwork needs. `trial` draws the files
    too that a coating is tried with. With `askew_rad` there is a file for each slice alone, all with the same page: the
    item lies turned clockwise by so much under the head; `counts_back` numbers them from the last on. Raises NoPlan
    where it does not go on the item.
    """
    laser, name, split = setup.job.laser, setup.job.artwork.name, setup.split
    columns, file_slice_mm, stance, slit = len(on_flats) or split.slices, split.file_slice_mm, stance_of(setup), Slit()
    if len(rings.points_mm) == 0:
        raise no_plan(*NOTHING_DARK)
    if on_flats:
        middle = (len(on_flats) - 1) / 2
        drawn = joined(moved(part, (k - middle) * file_slice_mm, 0.0) for k, part in enumerate(on_flats))
    else:
        drawn, slit = _bent(setup, stance, rings)
    borders_mm = np.asarray((np.arange(1, columns) - columns / 2) * file_slice_mm)
    alone: list[Rings] = []
    if askew_rad is not None:
        middles_mm = np.asarray((np.arange(columns) - (columns - 1) / 2) * file_slice_mm, np.float64)
        strips = zip(slices_between(drawn, borders_mm), middles_mm.tolist(), strict=True)
        alone = [turned_about(strip, -askew_rad, middle_mm) for strip, middle_mm in strips]
        _refuse_corners(setup, alone, middles_mm, askew_rad)
        drawn = joined(alone)
    left, bottom, right, top = bounds_mm(drawn)
    base = setup.job.item.end_words("base")
    wide = max(columns * file_slice_mm, math.ceil(2000 * max(-left, right)) / 1000)
    high = max(split.sheet_height_mm, math.ceil(2000 * max(-bottom, top)) / 1000)
    says = "; ".join(
        (
            f"flat artwork for slices of {file_slice_mm:.6g} mm",
            *typed_warnings(setup),
            f"focus over the apex at the middle: {stance.plane_mm:+.4f} mm",
            *placing_text(f"{stance.centre_s_mm:.1f} mm from {base}", columns, COMES_UP[laser.field_axis]),
            *slit.about,
            "true size, never scale",
            "mark the corner ticks at zero power, or on tape",
        )
    )
    keys = {"flat_column_mm": f"{file_slice_mm:.6g}", "plane_mm": f"{stance.plane_mm:+.4f}"}
    keys |= {"inset_mm": f"{slit.wall_mm / 2:.6f}", "line_mm": f"{slit.closing_mm:.4f}"}
    page = page_in_field(wide, high, laser.field_axis)

    def text(ink: Rings, holds: str = "") -> str:
        about = f"{holds and holds + '; '}{says}; {keys_text(**keys, **(PART if holds else {}))}"
        lying = in_field(ink, laser.field_axis, laser.rim_towards)
        return drawing(*page, {"artwork": lying}, f"{name}: {holds or 'flat file'}", about, True)

    whole = f"{file_stem(name)}{FLAT}.svg"
    if alone:
        stem = file_stem(name)
        numbered = enumerate(reversed(alone) if counts_back else alone, 1)
        singly = {
            f"{stem}-{slice_name(number, columns)}-of-{columns}.svg": text(ink, slices_text([number], columns))
            for number, ink in numbered
        }
        return FlatDrawing(drawn, *page, singly)
    texts = {whole: text(drawn)}
    if not trial or columns == 1:
        return FlatDrawing(drawn, *page, texts)
    back = divides_back(laser.field_axis, laser.rim_towards)
    files, parts = _trial_parts(drawn, whole, borders_mm, wide, back)
    return FlatDrawing(drawn, *page, texts | {to: text(*part) for to, part in parts.items()}, files)


def _refuse_corners(setup: SlicedSetup, alone: list[Rings], middles_mm: Floats, askew_rad: float) -> None:
    """Raises NoPlan where turned slices reach into their neighbours' place in the file and what does so shows.

    The program marks it after the next turn, that much further along the item than the slice it belongs to.
    """
    wide_mm, off_mm = setup.split.file_slice_mm, setup.split.flat_slice_mm * abs(math.sin(askew_rad))
    sides = zip(alone, middles_mm.tolist(), strict=True)
    over_mm = largest_mm(moved(one, -middle_mm, 0.0) for one, middle_mm in sides)[0] - wide_mm / 2
    if over_mm > REDRAW_TOLERANCE_MM and off_mm > setup.job.tolerances.accepted_seam_mm:
        raise no_plan(
            "",
            f"the item sits {math.degrees(abs(askew_rad)):.2g}° crooked: a slice would reach {over_mm:.2g} mm into the "
            f"next one's place in the file and come out {off_mm:.2g} mm off. Seat the item straighter, and read "
            "both crosses again.",
        )


class Slit(NamedTuple):
    """The white gap where the program cuts flat artwork, on the wall [mm], and the gap that just closes."""

    wall_mm: float = 0.0
    closing_mm: float = 0.0

    @property
    def about(self) -> tuple[str, ...]:
        """What the file says of it."""
        if self.wall_mm <= 0:
            return ()
        return (f"a white gap of {1000 * self.wall_mm:.0f} µm on the wall at each seam, which marking closes",)

    def inset(self, setup: SlicedSetup) -> Callable[[Floats], Floats]:
        """How far slices end before their seams, as an arc at heights (...) [mm].

        A slice of flat artwork lands equally wide at every height, so that seams stand open where the wall is wide and
        lie over each other where it is narrow: the slit is narrower or wider by as much, none at the least.
        """
        split, curve = setup.split, setup.shape.curve
        heights = [row.s_mm for row in split.seam_rows]
        open_mm = [row.plain_shape_mm for row in split.seam_rows]

        def inset(s: Floats) -> Floats:
            arc, gap = radius_mm(curve, s) * split.index_angle_rad, np.interp(s, heights, open_mm)
            most = split.flat_slice_mm / LEAST_SLITS
            drawn = (self.wall_mm - gap) * split.flat_slice_mm / (arc - gap)
            return np.asarray(np.clip(drawn, 0.0, most) / 2 * arc / split.flat_slice_mm)

        return inset


def _bent(setup: SlicedSetup, stance: Stance, rings: Rings) -> tuple[Rings, Slit]:
    """The artwork with each place at its own angle times what a radian is drawn wide, as high as it is drawn, and with
    a white slit wherever the program cuts it."""
    split, high, ring = setup.split, setup.job.laser.slice_high_share, setup.layout.is_ring
    scale = split.flat_slice_mm / split.index_angle_rad
    wall = laid_on(rings, setup.job.artwork.surface_map, stance, ring)

    def flat(angle: Floats, s: Floats) -> tuple[Floats, Floats]:
        return angle * scale, command_to_hit_mm(stance, np.zeros_like(s), s)[1] * high

    seams = setup.seams if isinstance(setup, Plan) else None
    if seams is None or not seams.seams:
        return warped(wall, flat, REDRAW_TOLERANCE_MM), Slit()
    slit = Slit(seams.slit_mm if seams.goes_with(split.slice_width_mm) else 0.0, seams.closing_gap_mm)
    if slit.wall_mm <= 0:
        return warped(wall, flat, REDRAW_TOLERANCE_MM), slit._replace(wall_mm=0.0)
    index, first = split.index_angle_rad, -split.slices * split.index_angle_rad / 2
    if ring:
        # Where the artwork meets itself again there is a seam too.
        end = math.pi - slit.wall_mm / 2 / setup.layout.reference_radius_mm
        wall = slices_between(wall, [-end, end])[1]
    pieces = wall_slices(wall, first, index, split.slices, closed=False)
    columns = drawn_as(stance.curve, pieces, slit.inset(setup), flat)
    middle = (split.slices - 1) / 2
    return joined(moved(one, (k - middle) * split.flat_slice_mm, 0.0) for k, one in enumerate(columns)), slit


def _trial_parts(
    drawn: Rings, whole: str, borders_mm: Floats, wide_mm: float, back: bool
) -> tuple[TrialFiles, dict[str, tuple[Rings, str]]]:
    """The files of flat artwork `whole`, and of each part the artwork with the slices that it holds; `back` where the
    program counts them from the last.

    `borders_mm` lie between columns, from the middle of a page `wide_mm` wide. Parts end on whole micrometres of the
    page inside their own columns, so that none has a line in another's.
    """
    middle = round(wide_mm * 1000) / 2
    on_page = borders_mm * 1000 + middle
    # The page is as wide in whole micrometres, so borders counted from its edge are off by half of what that takes.
    off = abs(wide_mm * 1000 / 2 - middle)
    low, high = np.floor((on_page - off).round(6)), np.ceil((on_page + off).round(6))

    def between(cut: NDArray[np.bool_]) -> list[Rings]:
        edges = np.unique([low[cut], high[cut]])
        strips = slices_between(drawn, (edges - middle) / 1000)
        begins = dict(zip([-np.inf, *edges.tolist()], strips, strict=True))
        return [begins[edge] for edge in (-np.inf, *high[cut].tolist())]

    inks = [round(area_mm2(strip), 6) for strip in between(np.ones(len(low), bool))]
    trial = trial_files(inks, whole)
    files = [trial.file_of(number) for number in range(1, len(inks) + 1)]
    runs = between(np.array([one != other for one, other in pairwise(files)]))
    parts: dict[str, list[Rings]] = {}
    for run, (part, _) in zip(runs, groupby(files), strict=True):
        parts.setdefault(part, []).append(run)
    holds = {part: slices_text(trial.numbers_in(part, inks), len(inks), back) for part in trial.parts}
    return trial, {part: (joined(parts[part]), text) for part, text in holds.items()}
