"""Pictures of what a person judges or sets by hand: run it from the top with ``python docs/pictures/judged.py``.

Seams, coating and ticks are those that the papers print; mounting is drawn here. None is a photograph.
"""

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from rotary.papers.drawing import (
    CENTRE,
    FIRM_MM,
    HAIR_MM,
    HEAVY_MM,
    THIN_MM,
    Anchor,
    Mark,
    PaperPicture,
    Words,
    arc,
    area,
    corners,
    line,
    moved,
)
from rotary.papers.formats import picture_document
from rotary.papers.true_size import LETTER_MM
from rotary.pictures.looks import COATING, METAL, coating_pictures, seam_pictures, tick_picture

HERE = Path(__file__).parent
APART_MM, UNDER_MM = 3.0, 6.0
WALL = 0.8


def word(text: str, x: float, y: float, anchor: Anchor = "middle") -> Words:
    """Words of the size that papers have."""
    return Words(text, x, y, LETTER_MM, anchor)


def arrow(points: Sequence[tuple[float, float]] | np.ndarray, head: float = 1.6) -> list[Mark]:
    """A line with a head at its last point."""
    way = np.asarray(points, float)
    x, y = way[-1] - way[-2]
    turn = math.atan2(y, x)
    tip = way[-1]
    sides = [tip - head * np.array([math.cos(turn + by), math.sin(turn + by)]) for by in (0.4, -0.4)]
    return [line(way, THIN_MM), area([tip, *sides, tip], 0.0)]


def row(pictures: Sequence[PaperPicture], title: str) -> PaperPicture:
    """Pictures side by side, each with its title under it."""
    marks: list[Mark] = []
    x = APART_MM
    for drawn in pictures:
        marks += moved(drawn.marks, x, UNDER_MM)
        marks.append(Words(drawn.title, x + drawn.wide_mm / 2, 2.0, LETTER_MM, "middle", "bold"))
        x += drawn.wide_mm + APART_MM
    high = max(drawn.high_mm for drawn in pictures) + UNDER_MM + APART_MM
    return PaperPicture(x, high, tuple(marks), title, " ".join(f"{drawn.title}: {drawn.says}" for drawn in pictures))


def offset_picture() -> PaperPicture:
    """Two slices of a bar that stand at different heights."""
    wide, high, middle, by = 29.0, 19.0, 14.5, 1.2
    left, right = corners(0.0, 5.0 - by, middle, 14.0 - by), corners(middle, 5.0 + by, wide, 14.0 + by)
    marks: list[Mark] = [area(corners(0.0, 0.0, wide, high), COATING), area(left, METAL), area(right, METAL)]
    marks += [line([(middle, y), (middle, y + 2.0)], THIN_MM, (0.8, 0.6)) for y in (0.5, 16.5)]
    marks.append(line(corners(0.0, 0.0, wide, high), FIRM_MM))
    return PaperPicture(wide, high, tuple(marks), "Offset", "The right slice stands higher than the left one.")


def vernier_picture() -> PaperPicture:
    """Rising ticks of two slices that meet at a seam: the pair that runs straight on."""
    wide, high, middle, pitch, straight = 34.0, 19.0, 17.0, 2.9, 2
    marks: list[Mark] = [line([(middle, 0.5), (middle, high - 0.5)], HAIR_MM, (0.8, 0.6))]
    for at in range(-2, 4):
        y = 6.0 + pitch * at
        long = 1.6 if at == 0 else 0.0
        marks.append(line([(middle - 8.0 - long, y - 4.0 - long / 2), (middle, y)], FIRM_MM))
        beyond = y + 0.35 * (straight - at)
        marks.append(line([(middle, beyond), (middle + 8.0, beyond + 4.0)], FIRM_MM))
    inside = [mark for mark in marks if (p := getattr(mark, "points_mm", None)) is not None and p[:, 1].max() < high]
    marks = [mark for mark in inside if getattr(mark, "points_mm")[:, 1].min() > 0.2]  # noqa: B009
    marks.append(word("+2", middle + 10.5, 6.0 + pitch * straight + 3.2))
    marks.append(word("0", middle - 12.0, 0.8))
    marks.append(line(corners(0.0, 0.0, wide, high), FIRM_MM))
    return PaperPicture(wide, high, tuple(marks), "Vernier at a seam", "The pair that runs straight on: here +2.")


def turn_picture() -> PaperPicture:
    """The two ticks of a full-turn test and the gap between them."""
    wide, high = 34.0, 19.0
    marks: list[Mark] = [line([(12.0, 3.0), (12.0, 13.0)], FIRM_MM), line([(20.0, 3.0), (20.0, 13.0)], FIRM_MM)]
    marks += arrow([(16.0, 8.0), (12.2, 8.0)]) + arrow([(16.0, 8.0), (19.8, 8.0)])
    marks += [word("first", 10.0, 14.5), word("second", 23.0, 14.5), word("gap", 16.0, 9.2)]
    marks.append(line(corners(0.0, 0.0, wide, high), FIRM_MM))
    return PaperPicture(
        wide, high, tuple(marks), "Full-turn test", "Measure from tick to tick, same edge to same edge."
    )


def shim_picture() -> PaperPicture:
    """From the side: a taper on its rotary, whose narrow end is raised until its upper line is level."""
    base, rim, low, up, top = 24.0, 80.0, 8.3, 15.0, 31.0
    slope = (low - up) / (rim - base)
    bottom = [(x, up + slope * (x - base)) for x in (base, rim)]
    plate = [(x, up + slope * (x - base) - 1.6) for x in (base - 10.0, rim + 8.0)]
    outline = [*bottom, (rim, top), (base, top), bottom[0]]
    marks: list[Mark] = [line([(2.0, 4.0), (104.0, 4.0)], HEAVY_MM)]
    marks += [area(outline, WALL), line(outline, FIRM_MM), line(plate, 3.0)]
    marks.append(line([(12.0, top), (92.0, top)], THIN_MM, CENTRE))
    marks.append(area(corners(base - 8.0, 4.0, base - 4.0, up - slope * 6.0 - 3.1), 0.35))
    marks += [word("base", base + 5.0, 22.0), word("rim", rim - 4.0, 20.0), word("apex: level", 52.0, 32.6)]
    marks += [word("shim", base - 10.0, 8.0, "end"), word("bed", 97.0, 1.2), word("rotary", 36.0, 7.6)]
    marks.append(word("end that stays down", 74.0, 1.2))
    return PaperPicture(
        106.0, 37.0, tuple(marks), "Where the shim goes",
        "Put the shim under the end that the sheet names, so that the highest line of the item lies level.",
    )  # fmt: skip


def turn_way_picture() -> PaperPicture:
    """From the base end: the next slice comes up from the right."""
    x, y, radius = 26.0, 17.0, 12.0
    marks: list[Mark] = [area(arc(x, y, radius), WALL), line(arc(x, y, radius), FIRM_MM)]
    for at in range(-2, 3):
        turn = 0.42 * (at + 0.5)
        points = [(x + r * math.sin(turn), y + r * math.cos(turn)) for r in (radius - 1.2, radius + 1.2)]
        marks.append(line(points, THIN_MM))
    marks.append(line([(x, y + radius + 8.0), (x, y + radius + 0.4)], HEAVY_MM, (1.2, 0.8)))
    marks += arrow(arc(x, y, radius + 4.5, 1.5, 0.25, 40))
    marks += [word("beam", x - 2.0, y + radius + 5.0, "end"), word("this slice", x - 13.0, y + radius + 0.5, "end")]
    marks += arrow([(x - 12.5, y + radius + 1.0), (x - 0.2, y + radius - 0.2)])
    marks.append(line(arc(x, y, radius, -0.21, 0.21, 12), 1.2))
    marks.append(word("next slice comes up from the right", x + radius + 6.0, y + 6.0, "start"))
    marks.append(word("seen from the base, rim away from you", x + radius + 6.0, y - 10.0, "start"))
    return PaperPicture(
        106.0, 40.0, tuple(marks), "Which way it turns", "Watch a slow turn with the beam off before you mark."
    )


def field_picture() -> PaperPicture:
    """From above: the lens's field, the item under it, and the place that lies under the field's middle."""
    left, low, wide = 30.0, 4.0, 40.0
    middle = left + wide / 2, low + wide / 2
    item = [(44.0, 6.0), (56.0, 6.0), (58.5, 42.0), (41.5, 42.0), (44.0, 6.0)]
    marks: list[Mark] = [area(item, WALL), line(item, FIRM_MM)]
    marks.append(line(corners(left, low, left + wide, low + wide), THIN_MM, (2.0, 1.2)))
    marks.append(line([(left, middle[1]), (left + wide, middle[1])], HAIR_MM, CENTRE))
    marks.append(line([(middle[0], low), (middle[0], low + wide)], HAIR_MM, CENTRE))
    marks.append(line(arc(*middle, 1.6), HEAVY_MM))
    marks += arrow([(62.0, 15.0), (62.0, 6.2)]) + arrow([(62.0, 15.0), (62.0, middle[1] - 0.2)])
    marks += [
        line([(56.5, 6.0), (64.0, 6.0)], HAIR_MM),
        word("height from the base, on the sheet", 72.0, 14.0, "start"),
    ]
    marks += [word("lens's field", 28.0, 40.0, "end"), word("base", 42.0, 6.5, "end"), word("rim", 39.5, 40.0, "end")]
    marks.append(word("field's middle", 28.0, middle[1], "end"))
    return PaperPicture(
        128.0,
        48.0,
        tuple(marks),
        "The place under the field's middle",
        "Slide the rotary along until this place of the item lies under the field's middle.",
    )


def main() -> None:
    """Write every picture beside this file, larger than papers print it."""
    drawn = {
        "seams": row([*seam_pictures(), offset_picture()], "Seams"),
        "coating": row(coating_pictures(), "What you may see after a pass"),
        "ticks": row([tick_picture(), vernier_picture(), turn_picture()], "Reading ticks"),
        "shim": shim_picture(), "turn-way": turn_way_picture(), "field-middle": field_picture(),
    }  # fmt: skip
    for name, picture in drawn.items():
        text = picture_document(picture, ".svg").data.decode()
        size = f'width="{picture.wide_mm:g}mm" height="{picture.high_mm:g}mm"'
        large = f'width="{1.6 * picture.wide_mm:g}mm" height="{1.6 * picture.high_mm:g}mm"'
        (HERE / f"{name}.svg").write_text(text.replace(size, large).replace(" True size.", ""), "utf-8")


if __name__ == "__main__":
    main()
