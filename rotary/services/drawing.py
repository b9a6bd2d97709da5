"""Artwork drawn for the marking program and written where it was asked for, with all that is to be said of the files.

Front ends import this at once, so it loads the core only when it is called.
"""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.services import Tell, quiet

if TYPE_CHECKING:
    from rotary.artwork.pieces import Ink
    from rotary.artwork.rings import Rings
    from rotary.exports import RasterWish
    from rotary.plan import Plan
    from rotary.sheet import SheetWish

MOST_POINTS_LOOKED_AT: Final = 100_000
"""Rolling a disc along more points than these takes longer than a person waits."""

SHARE_TOLD: Final = 0.005
"""Less of the ink than this is corners, which every round spot rounds ..."""

REACH_TOLD: Final = 3.0
"""... unless one place reaches over more spots than this: then it is a line."""

TYPED_TOLD_MM: Final = 0.001
"""What typing leaves at a seam is told from here."""

INK_TOLD: Final = 0.02
"""A share of ink that is off by less changes no time that a person would notice."""


class DrawOrder(NamedTuple):
    """Where files are written, under which name (`stem`, the artwork's if empty), what is read for them and so never
    replaced, what may be replaced, and in which units sizes are told."""

    folder: Path
    stem: str = ""
    sources: Sequence[Path] = ()
    over: bool = False
    system: str = "mm"


class DrawnFiles(NamedTuple):
    """What was written, and what is to be said of it."""

    title: str
    paths: tuple[Path, ...]
    says: tuple[str, ...]


def sliced_files(made: "Plan", ink: "Ink", order: DrawOrder, wish: "SheetWish", dxf: bool = False) -> DrawnFiles:
    """Write the sliced file of a plan, in DXF where asked for. Raises Refused, FileTrouble."""
    from rotary.artwork.models import size_texts
    from rotary.errors import brief
    from rotary.exports import dxf_sheet
    from rotary.papers.lines import clock
    from rotary.sentences.files import focus_with, run_with
    from rotary.services.files import slice_sheet, slice_times_s, with_file_facts

    rings = ink.composition.ink
    if dxf:
        sheet, paths = dxf_sheet(made, rings, order.folder, wish, order.sources, order.over)
    else:
        sheet, paths = slice_sheet(made, rings, order.folder, wish, order.sources, order.over, order.stem)
    facts = [f"Slices: {sheet.columns}, each {sheet.file_slice_mm:g} mm wide in the file."]
    if made.job.item.flats:
        inked = sum(row.ink_mm2 > 0 for row in sheet.rows)
        facts.append(f"Flats with artwork: {inked}. Each flat is one slice, so there are no seams.")
    shown = with_file_facts(made, sheet, sheet.columns, sheet.middle_rad)
    times = slice_times_s(made, sheet)
    if times:
        facts.append(f"One pass over all slices takes {clock(sum(times))}.")
        facts += _ink_told(made, rings)
    title = f'Sliced file of "{brief(made.job.artwork.name)}" for {brief(made.job.item.name)}'
    typed, notes = _typed_first(made, sheet.notes)
    says = (
        *unread(ink), *size_texts(ink.sizes, order.system), *facts, *typed, *sheet.must_show, *focus_with(shown),
        *sheet.hatch, *run_with(shown, sheet.trial), *notes, *doubts(ink, made),
    )  # fmt: skip
    return DrawnFiles(title, paths, says)


def flat_files(made: "Plan", ink: "Ink", order: DrawOrder) -> DrawnFiles:
    """Write the artwork flat, corrected for the item alone. Raises Refused, FileTrouble."""
    from rotary.artwork.models import size_texts
    from rotary.errors import brief
    from rotary.sentences.files import run_with
    from rotary.sentences.slices import all_seams_words
    from rotary.services.files import flat_file
    from rotary.sheet import typed_warnings

    rings = ink.composition.ink
    plain, paths = flat_file(made, rings, order.folder, order.sources, order.over, stem=order.stem)
    split = plain.split
    facts = [f"Slices: {split.slices}, each {split.file_slice_mm:g} mm wide in the file."]
    if made.job.item.flats:
        facts.append("A slice is as wide as a flat. You mark each flat on its own, so there are no seams.")
    elif split.slices > 1:
        facts += [
            f"With this file {all_seams_words(plain.seams.within_mm)}. You accept "
            f"{1000 * made.job.tolerances.accepted_seam_mm:.0f} µm at a seam.",
        ]
        if split.typed_off_mm >= TYPED_TOLD_MM:
            facts.append(
                f"{1000 * split.typed_off_mm:.0f} µm of this gap come from rounding the numbers that you type."
            )
    facts += [*(f"{one}." for one in typed_warnings(plain)), *_for_this_machine(plain)]
    run = run_with(plain, plain.trial)
    says = (*unread(ink), *size_texts(ink.sizes, order.system), *facts, *split.must_show, *run, *doubts(ink, made))
    title = f'Flat file of "{brief(made.job.artwork.name)}" for {brief(made.job.item.name)}'
    return DrawnFiles(title, paths, says)


def dot_files(made: "Plan", image: Path, order: DrawOrder, wish: "RasterWish", tell: Tell = quiet) -> DrawnFiles:
    """Write a photograph as a sheet of dots. Raises Refused, FileTrouble."""
    from rotary.artwork.models import size_texts
    from rotary.exports import raster_sheet
    from rotary.exports.words import too_coarse
    from rotary.sentences.files import focus_with, run_with

    named = wish.but(stem=order.stem)
    drawn, paths = raster_sheet(made, image, order.folder, named, tell, order.over)
    facts = (f"The laser marks {100 * drawn.marked_share:.0f} % of the picture.",)
    shown = made.but(drawn_files=drawn.files, trial=drawn.trial)
    run = (*focus_with(shown), *run_with(shown, drawn.trial))
    sizes = size_texts((drawn.size,), order.system)
    coarse = too_coarse(drawn)
    typed, others = _typed_first(made, [note for note in drawn.notes if note not in coarse])
    says = (*coarse, *sizes, *facts, *typed, *drawn.must_show, *run, *others)
    return DrawnFiles("Picture for your program", paths, says)


def _typed_first(made: "Plan", notes: Sequence[str]) -> tuple[list[str], list[str]]:
    """What has to be typed of a file's notes, which stands before what has to be seen; and all others."""
    from rotary.sheet import typed_warnings

    typed = {f"{one}." for one in typed_warnings(made)}
    return [note for note in notes if note in typed], [note for note in notes if note not in typed]


def unread(ink: "Ink") -> list[str]:
    """What of the drawing is not marked as it was meant, which stands before everything else."""
    return list(map(str, ink.unread))


def doubts(ink: "Ink", made: "Plan") -> list[str]:
    """What overlaps, what the spot can't show."""
    return [*ink.notes, *map(str, ink.composition.overlaps), *_too_fine(ink.composition.ink, made)]


def _too_fine(rings: "Rings", made: "Plan") -> Iterator[str]:
    """What the spot, as defocused, can't show of this artwork: how much, and where the worst of it is."""
    from rotary.artwork.features import features

    setting = made.choice.setting
    spot_mm = (setting.spot_at_surface_um if setting else made.optics.spot_um) / 1000
    if len(rings.points_mm) > MOST_POINTS_LOOKED_AT:
        yield (
            f"the artwork has too many points ({len(rings.points_mm)}) for rotary to look for parts thinner than the "
            f"spot ({spot_mm:.2g} mm): check thin strokes and narrow gaps yourself"
        )
        return
    found = features(rings, spot_mm)
    thin = f"{100 * found.lost_share:.1f} % of the artwork is thinner than the spot ({spot_mm:.2g} mm)"
    narrow = f"gaps under {spot_mm:.2g} mm (the spot) close: {100 * found.filled_share:.1f} % more is marked than drawn"
    for share, places, what, cure in (
        (found.lost_share, found.thin, thin, "make strokes wider, or work nearer to focus"),
        (found.filled_share, found.narrow, narrow, "widen the gaps, or work nearer to focus"),
    ):
        if places and (share > SHARE_TOLD or max(place.reach_mm for place in places) > REACH_TOLD * spot_mm):
            worst = max(places, key=lambda place: place.reach_mm)
            yield (
                f"{what}. The longest such place is {_aside(worst.x_mm, 'to the right of', 'to the left of')} and "
                f"{_aside(worst.y_mm, 'above', 'below')} the artwork's middle: {cure}"
            )


def _aside(value_mm: float, more: str, less: str) -> str:
    return f"{abs(value_mm):.1f} mm {more if value_mm >= 0 else less}"


def _ink_told(made: "Plan", rings: "Rings") -> list[str]:
    """What to write so that the plan reckons with this artwork's own ink."""
    from rotary.artwork.rings import area_mm2
    from rotary.units import significant

    lines, art = list[str](), made.job.artwork
    took, has = art.ink_share, min(area_mm2(rings) / (art.width_mm * art.height_mm), 1.0)
    if abs(has - took) > INK_TOLD:
        share = f"{significant(100 * has)} %"
        lines.append(
            f"Dark parts cover {share} of the frame, but the plan assumed {100 * took:.0f} %. Enter {share} for "
            '"dark share": then the times and temperatures of the plan fit this artwork.'
        )
    return lines


def _for_this_machine(made: "Plan") -> Iterator[str]:
    """What flat artwork takes of a machine's correction, and what it can't."""
    laser, split = made.job.laser, made.split
    if (laser.slice_wide_share, laser.slice_high_share) != (1.0, 1.0):
        yield (
            f"rotary drew slices and artwork for your machine as measured: {laser.slice_wide_share:.5f} times as wide "
            f"and {laser.slice_high_share:.5f} times as high as in the job."
        )
    if laser.slice_turn_rad != 0 and not made.job.item.flats and split.slices > 1:
        yield (
            f"The axis lies {abs(math.degrees(laser.slice_turn_rad)):.2f}° crooked. A flat file can't correct that: "
            f"lines jump by {1000 * split.seam_offset_mm:.0f} µm at every seam. Write a sliced file (rotary art "
            "slice), or set the axis straight."
        )
