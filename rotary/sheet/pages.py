"""The columns as pages: all side by side on one sheet, or one file a slice with the same page for all.

::

      one sheet                               a file a slice

      L-----------------------J  corner       L-----J  L-----J  L-----J
      |  (  |  (  |  )  |  )  |  ticks hold   |  (  |  |  (  |  |  )  |   every page alike, so that
      |  (  |  (  |  )  |  )  |  the bounds   |  (  |  |  (  |  |  )  |   centring it moves none
      L-----------------------J               L-----J  L-----J  L-----J
"""

import math
from typing import Literal

import numpy as np

from rotary.actions.files import COMES_UP, NEXT_FILE_UP
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import NO_INK, Rings, area_mm2, moved
from rotary.sentences.files import slices_text
from rotary.sheet.compose import SheetComposition, ZoneColumns
from rotary.sheet.keys import PART, keys_text
from rotary.sheet.order import SheetOrder, SheetZone
from rotary.sheet.svg import drawing
from rotary.slices.trial import SLICED, TrialFiles, fullest_place, trial_files

Arrangement = Literal["one-sheet", "a-file-a-slice"]


def pages(
    order: SheetOrder, shown: SheetComposition, arrangement: Arrangement, name: str, trial: bool = False
) -> tuple[dict[str, str], TrialFiles | None]:
    """File names and their SVG texts, in the order in which they are marked; blank slices and zones get no file.

    Slices that are marked with the head at different heights go into a folder each. With `trial` the files come too
    that a coating is tried with, of the zone with the fullest slice, and are named; None for a single slice.
    """
    out: dict[str, str] = {}
    files = None
    inks = [[area_mm2(column) for column in part.columns] for part in shown.parts]
    tried = fullest_place([max(ink) for ink in inks]) if trial and order.slices > 1 else -1
    for place, part in enumerate(shown.parts):
        if not any(inks[place]):
            continue
        zone = f"zone-{place + 1}" if len(shown.parts) > 1 else ""
        if arrangement == "one-sheet":
            whole = f"{file_stem(name)}{zone and '-' + zone}{SLICED}.svg"
            out[whole] = _sheet(order, shown, part, name)
            if place == tried:
                files = trial_files(inks[place], whole)
                out |= {to: _part(order, shown, part, name, files.numbers_in(to, inks[place])) for to in files.parts}
        else:
            out |= _single(order, shown, part, name, zone)
            if place == tried:
                singles = [_single_name(order, name, zone, k) for k in range(order.slices)]
                files = trial_files(inks[place], singles=singles)
    return out, files


def _part(order: SheetOrder, shown: SheetComposition, part: ZoneColumns, name: str, numbers: tuple[int, ...]) -> str:
    """The sheet with some of its slices."""
    columns = [column if k in numbers else NO_INK for k, column in enumerate(part.columns, 1)]
    holds = slices_text(numbers, order.slices, order.divides_back)
    return _sheet(order, shown, part._replace(columns=columns), name, holds)


def page_in_field(width_mm: float, height_mm: float, field_axis: str) -> tuple[float, float]:
    """Width and height of a page once it is turned the way the item lies in the field."""
    return (height_mm, width_mm) if field_axis == "x" else (width_mm, height_mm)


def _sheet(order: SheetOrder, shown: SheetComposition, part: ZoneColumns, name: str, holds: str = "") -> str:
    middle = (order.slices - 1) / 2
    named = {
        slice_name(order.slices - k if order.divides_back else k + 1, order.slices): in_field(
            moved(column, (k - middle) * order.file_slice_mm, 0.0), order.field_axis, order.rim_towards
        )
        for k, column in enumerate(part.columns)
        if len(column.points_mm)
    }
    width, height = page_in_field(order.slices * order.file_slice_mm, order.height_mm, order.field_axis)
    about = about_file(order, shown, part, holds=holds)
    return drawing(width, height, named, f"{name}: {holds or 'sliced file'}", about, ticks=True)


def _single(order: SheetOrder, shown: SheetComposition, part: ZoneColumns, name: str, zone: str) -> dict[str, str]:
    width, height = page_in_field(order.file_slice_mm, order.height_mm, order.field_axis)
    out = {}
    for k, column in enumerate(part.columns):
        if len(column.points_mm):
            label = slice_name(order.number(k), order.slices)
            text = drawing(
                width,
                height,
                {label: in_field(column, order.field_axis, order.rim_towards)},
                f"{name}: {label}",
                about_file(order, shown, part, k),
                ticks=True,
            )
            out[_single_name(order, name, zone, k)] = text
    return out


def _single_name(order: SheetOrder, name: str, zone: str, k: int) -> str:
    return f"{zone and zone + '/'}{file_stem(name)}-{slice_name(order.number(k), order.slices)}-of-{order.slices}.svg"


def about_file(
    order: SheetOrder, shown: SheetComposition, part: ZoneColumns, single: int | None = None, holds: str = ""
) -> str:
    """The file's own description, by which a simulation knows what the person does who follows the card.

    `holds` says which slices a file holds that has not all of them.
    """
    keys = {
        **({} if single is None else {"single": f"{single + 1}", "of": f"{order.slices}"}),
        "file_slice_mm": f"{order.file_slice_mm:.6g}",
        "middle_deg": f"{math.degrees(shown.middle_rad):.6f}",
        "plane_mm": f"{part.plane_mm:+.4f}",
        "inset_mm": f"{order.inset_mm:.6f}",
        "line_mm": f"{order.marked_width_mm:.4f}",
        **(zone_keys(part.zone) if part.zone else {}),
        **(PART if holds else {}),
    }
    says = [holds] if holds else [] if single is None else [f"slice {order.number(single)} of {order.slices}"]
    says += [
        f"{order.slices} slice{'s' * (order.slices != 1)} of {keys['file_slice_mm']} mm",
        *(order.typed if single is None else ()),
        f"one slice turns {math.degrees(order.index_rad):.6f} degrees",
        f"under the lens at the middle: {keys['middle_deg']} degrees",
        f"focus over the apex at the middle: {keys['plane_mm']} mm",
        f"each slice ends before its seam by {keys['inset_mm']} mm",
        f"a gap that just closes: {keys['line_mm']} mm",
    ]
    if part.zone is not None:
        says.append(heights_of(part.zone, order.base))
    by_program = single is None or order.counts_back
    end = COMES_UP[order.field_axis] if by_program else NEXT_FILE_UP[order.field_axis, order.rim_towards]
    says += placing_text(f"{order.stance.centre_s_mm:.1f} mm from {order.base}", order.slices, end)
    says += ["true size, never scale", "mark the corner ticks at zero power, or on tape"]
    return "; ".join((*says, keys_text(**keys)))


def placing_text(place: str, slices: int, end: str) -> list[str]:
    """The one place of the item under which a file is true, and the end from which the next slice comes up."""
    turns = [f"the next slice comes up from the {end}"] if slices > 1 else []
    return [f"under the field's middle: the apex {place}", *turns]


def zone_keys(zone: SheetZone) -> dict[str, str]:
    """The heights of a zone of focus from the foot, as a file's own description has them."""
    return {"from_mm": f"{max(zone.from_mm, -9999):.4f}", "to_mm": f"{min(zone.to_mm, 9999):.4f}"}


def heights_of(zone: SheetZone, base: str) -> str:
    """The same in words."""
    keys = zone_keys(zone)
    return f"heights from {base}: {keys['from_mm']} to {keys['to_mm']} mm"


def slice_name(number: int, slices: int) -> str:
    """A slice's id, counted from 1 with as many digits as the last needs.

    >>> slice_name(5, 21)
    'slice-05'
    """
    return f"slice-{number:0{len(str(slices))}d}"


def in_field(rings: Rings, field_axis: str, rim_towards: str) -> Rings:
    """Turned, never mirrored, so that the rim points to where it lies in the field."""
    x, y = rings.points_mm.T
    turned = {("y", "plus"): (x, y), ("x", "plus"): (y, -x), ("y", "minus"): (-x, -y), ("x", "minus"): (-y, x)}
    return Rings(np.stack(turned[field_axis, rim_towards], axis=1), rings.offsets)
