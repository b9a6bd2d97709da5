"""What the commands about real artwork do: sheets, flat export, forecast, picture, wrap template."""

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from rotary.cli.jobs import drawings_folder, plan_to_draw, system_of
from rotary.cli.output import OK, say
from rotary.cli.pieces import artwork_asked_for, named_after, over_of, sources_of
from rotary.cli.waiting import waiting
from rotary.errors import brief
from rotary.services.artwork import drawing_files, ink_for

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rotary.artwork.pieces import Ink
    from rotary.artwork.rings import Rings
    from rotary.model import Model
    from rotary.plan import Plan

    W = TypeVar("W", bound=Model)

MOST_POINTS_LOOKED_AT: Final = 100_000
"""Rolling a disc along more points than these takes longer than a person waits."""

SHARE_TOLD: Final = 0.005
"""Less of the ink than this is corners, which every round spot rounds ..."""

TYPED_TOLD_MM: Final = 0.001
"""What typing leaves at a joint is told from here."""

INK_TOLD: Final = 0.02
"""A share of ink that is off by less changes no time that a person would notice."""

REACH_TOLD: Final = 3.0
"""... unless one place reaches over more spots than this: then it is a line."""


def _plan(asked: argparse.Namespace, method: str = "") -> "Plan":
    if getattr(asked, "folder", None) is not None:
        from rotary.artwork.outfiles import refuse_folder

        refuse_folder(Path(asked.folder))
    return plan_to_draw(asked, method)


def _ink(asked: argparse.Namespace, made: "Plan") -> "Ink":
    """The artwork of the job, or the file and text named on the command line in its place."""
    with waiting("reading the artwork"):
        return ink_for(made, drawings_folder(asked.job), artwork_asked_for(asked, made.job.artwork))


def _sizes(ink: "Ink", asked: argparse.Namespace) -> tuple[str, ...]:
    """How large each piece is drawn and marked, which stands before all else that is told."""
    from rotary.artwork.models import size_texts

    return size_texts(ink.sizes, system_of(asked))


def _sources(asked: argparse.Namespace, made: "Plan") -> tuple[Path, ...]:
    """What is read, and so is never written over."""
    own = () if asked.art or asked.text else drawing_files(made.job, drawings_folder(asked.job))
    return (*map(Path, asked.art or ()), *own)


def _report(title: str, paths: "Iterable[Path]", *parts: "Sequence[str]") -> int:
    lines = [title, *(f"  wrote {brief(path, 200)}" for path in paths)]
    lines += [f"  - {line}" for part in parts for line in part]
    say("\n".join(lines) + "\n")
    return OK


def _warnings(ink: "Ink") -> list[str]:
    """What of the drawing is not marked as it was meant, which stands before everything else that is told."""
    return [f"not read as it was meant: {one}" for one in ink.unread]


def _told_of(ink: "Ink", made: "Plan") -> list[str]:
    return [*ink.notes, *map(str, ink.composition.overlaps), *_too_fine(ink, made)]


def _too_fine(ink: "Ink", made: "Plan") -> list[str]:
    """What the spot, as defocused, can't show of this artwork: how much, and where the worst of it is."""
    from rotary.artwork.features import features

    setting = made.choice.setting
    spot_mm = (setting.spot_at_surface_um if setting else made.optics.spot_um) / 1000
    rings = ink.composition.ink
    if len(rings.points_mm) > MOST_POINTS_LOOKED_AT:
        return [
            f"too many points ({len(rings.points_mm)}) to look for strokes thinner than the spot ({spot_mm:.2g} mm)"
        ]
    found = features(rings, spot_mm)
    told = []
    for share, places, what, cure in (
        (found.lost_share, found.thin, "is thinner than", "make the strokes wider, or use less defocus"),
        (found.filled_share, found.narrow, "fills up in gaps narrower than", "open them, or use less defocus"),
    ):
        if places and (share > SHARE_TOLD or max(place.reach_mm for place in places) > REACH_TOLD * spot_mm):
            worst = max(places, key=lambda place: place.reach_mm)
            told.append(
                f"{100 * share:.1f} % of the ink {what} the spot of {spot_mm:.2g} mm, the longest of it "
                f"{_aside(worst.x_mm, 'to the right of', 'to the left of')} the artwork's middle and "
                f"{_aside(worst.y_mm, 'above', 'below')} it: {cure}"
            )
    return told


def _aside(value_mm: float, more: str, less: str) -> str:
    return f"{abs(value_mm):.1f} mm {more if value_mm >= 0 else less}"


def sheet(asked: argparse.Namespace) -> int:
    """Write the slice sheet."""
    from rotary.exports import dxf_sheet
    from rotary.sentences.files import run_with
    from rotary.services.files import slice_sheet, slice_times_s
    from rotary.sheet import SheetWish

    made = _plan(asked, "sheet")
    ink = _ink(asked, made)
    wish = _wish(
        SheetWish,
        arrangement="a-file-a-slice" if asked.files else "one-sheet",
        marked_width=asked.marked_width,
        overlap=asked.overlap,
        slide=not asked.unslid,
        more_columns=2 if asked.more_columns else 0,
    )
    folder, rings, write = Path(asked.folder), ink.composition.ink, dxf_sheet if asked.dxf else slice_sheet
    made = named_after(made, asked)
    with waiting("drawing the sheet"):
        drawn, paths = write(made, rings, folder, wish, _sources(asked, made), over_of(asked))
    facts = [
        f"{_many(drawn.columns, 'column')} of {drawn.column_mm:g} mm, sheet {drawn.wide_mm:.3f} by "
        f"{drawn.high_mm:.3f} mm"
    ]
    if made.job.item.flats:
        inked = sum(row.ink_mm2 > 0 for row in drawn.rows)
        facts.append(f"{_many(inked, 'flat')} with ink, a column each; between two flats there is no joint")
    times = slice_times_s(made, drawn)
    if times:
        facts.append(f"marking takes {sum(times):.1f} s a pass, {max(times):.2f} s in the longest slice")
        facts += _all_passes(made, rings)
    return _report(
        f"Slice sheet of {brief(made.job.artwork.name)} on {brief(made.job.item.name)}",
        paths, _warnings(ink), _sizes(ink, asked), facts,
        drawn.must_show, run_with(made, drawn.trial, drawn.columns), drawn.hatch,
        drawn.notes, _told_of(ink, made),
    )  # fmt: skip


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _all_passes(made: "Plan", rings: "Rings") -> list[str]:
    """Time of the whole job by this artwork's own ink, and what to write so that the plan reckons with it."""
    from rotary.papers.lines import clock
    from rotary.services.files import with_ink_of

    real = with_ink_of(made, rings)
    took, has = made.job.artwork.ink_share, real.job.artwork.ink_share
    told = [f"all passes take {clock(real.removal.time_slice_by_slice_s)} slice by slice, turns and pauses included"]
    if abs(has - took) > INK_TOLD:
        says = f"{100 * has:.2g} %"
        told.append(
            f'ink covers {says} of the frame and the plan took {100 * took:.0f} %: write ink = "{says}" under '
            "[artwork] to have its times and its heat go by it"
        )
    return told


def flat(asked: argparse.Namespace) -> int:
    """Write the artwork flat, corrected for the surface map."""
    from rotary.sentences.files import run_with
    from rotary.services.files import plain_export

    made = _plan(asked, "plain")
    ink = _ink(asked, made)
    with waiting("drawing the artwork"):
        plain, paths = plain_export(
            named_after(made, asked), ink.composition.ink, Path(asked.folder), _sources(asked, made), over_of(asked)
        )
    split = plain.split
    facts = [f"{_many(split.slices, 'column')} of {split.column_mm:g} mm"]
    if made.job.item.flats:
        facts.append("a column is as wide as a flat, and each flat is marked by itself, so nothing has to meet")
    elif split.slices > 1:
        facts += [
            f"the widest that holds every limit is {split.plain_widest_mm:.3g} mm on the wall",
            f"at the joints {1000 * split.joint_95_mm:.0f} µm are not exceeded 95 % of the time",
        ]
        if split.typed_off_mm >= TYPED_TOLD_MM:
            facts.append(f"{1000 * split.typed_off_mm:.0f} µm of that come from the decimals that can be typed")
    facts += [*(f"{one}." for one in split.unreal()), *_for_this_machine(plain)]
    run = run_with(plain, plain.trial, split.slices)
    told = (_warnings(ink), _sizes(ink, asked), facts, split.must_show, run, _told_of(ink, made))
    return _report("Flat artwork, corrected for the item", paths, *told)


def _for_this_machine(made: "Plan") -> list[str]:
    """What flat artwork takes of a rig's correction, and what it can't."""
    head, split = made.job.head, made.split
    told = []
    if (head.slice_wide_share, head.slice_high_share) != (1.0, 1.0):
        told.append(
            f"drawn for the machine as measured: {head.slice_wide_share:.5f} times as wide, columns and all, and "
            f"{head.slice_high_share:.5f} times as high"
        )
    if head.slice_turn_rad != 0 and not made.job.item.flats and split.slices > 1:
        told.append(
            f"the axis stands askew by {math.degrees(head.slice_turn_rad):+.2f}°, which flat artwork can't be drawn "
            f"for: a stair of {1000 * split.stair_mm:.0f} µm is left at every joint. Write a slice sheet (rotary "
            "sheet), or set the axis straight"
        )
    return told


def forecast(asked: argparse.Namespace) -> int:
    """Say what a written file will do on this item."""
    from rotary.artwork.outfiles import refuse_file
    from rotary.services.simulation import forecast_picture, simulation_of_files

    targets = [] if asked.picture is None else [Path(asked.picture)]
    for target in targets:
        refuse_file(target, (Path(asked.file), *sources_of(asked)), asked.over)
    made = _plan(asked)
    rings: Rings | None = None
    sizes: tuple[str, ...] = ()
    if asked.art or asked.text or made.job.artwork.pieces:
        ink = _ink(asked, made)
        rings, sizes = ink.composition.ink, _sizes(ink, asked)
    path = Path(asked.file)
    with waiting("sending it through the machine") as tell:
        if targets:
            found = forecast_picture(made, path, targets[0], rings, asked.draws, tell, asked.over)
        else:
            found = simulation_of_files(made, path, rings, asked.draws, tell)
    return _report("What will happen", targets, sizes, found.says)


def picture(asked: argparse.Namespace) -> int:
    """Write a photograph or a grey picture as a sheet of dots."""
    from rotary.exports import RasterWish, raster_sheet
    from rotary.sentences.files import run_with

    made = _plan(asked)
    wish = RasterWish(
        mark=asked.mark,
        tone="greys" if asked.greys else "dots",
        arrangement="a-file-a-slice" if asked.files else "one-sheet",
    )
    with waiting("drawing the dots") as tell:
        drawn, paths = raster_sheet(made, Path(asked.image), Path(asked.folder), wish, tell, over_of(asked))
    facts = [
        f"{drawn.wide_dots} by {drawn.high_dots} dots, {drawn.per_metre} to the metre: {drawn.wide_mm:.3f} by "
        f"{drawn.high_mm:.3f} mm",
        f"{100 * drawn.marked_share:.0f} % of the picture is marked, in dots of {drawn.dot_mm:.3g} mm",
    ]
    from rotary.artwork.models import size_texts

    run = run_with(made, drawn.trial, drawn.columns)
    sizes = size_texts((drawn.size,), system_of(asked))
    return _report("Picture as a sheet", paths, drawn.notes, sizes, facts, drawn.must_show, run)


def template(asked: argparse.Namespace) -> int:
    """Write the wrap template."""
    from rotary.template import TemplateWish, wrap_template

    made = _plan(asked)
    wish = _wish(TemplateWish, paper=asked.paper, bar_short=asked.bar_short, bar_long=asked.bar_long, reach=asked.reach)
    drawn, paths = wrap_template(made, Path(asked.folder), wish, asked.over)
    facts = [f"{drawn.kind}, {drawn.wide_mm:.1f} by {drawn.high_mm:.1f} mm; print it without scaling"]
    return _report("Wrap template", paths, facts, drawn.notes)


def _wish(model: "type[W]", **given: object) -> "W":
    """What was asked for on the command line, with lengths as texts; raises Refused with every fault."""
    from rotary.faults import model_from_texts

    return model_from_texts(model, {name: value for name, value in given.items() if value is not None})
