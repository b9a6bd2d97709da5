"""Pictures of what a person judges on a paper: seams, what is left of a coating, ticks that are read; one scene each.

Grey is coating, white is metal, as any printer shows them; each is drawn from a few numbers, none is a photograph.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from rotary.papers.drawing import FIRM_MM, HAIR_MM, THIN_MM, Mark, PaperPicture, Words, area, corners, line
from rotary.papers.true_size import LETTER_MM

WIDE_MM, HIGH_MM = 29.0, 19.0
COATING: Final = 0.62
METAL: Final = 1.0


def _scene(marks: Sequence[Mark], title: str, says: str, wide: float = WIDE_MM) -> PaperPicture:
    frame = line(corners(0.0, 0.0, wide, HIGH_MM), FIRM_MM)
    return PaperPicture(wide, HIGH_MM, (*marks, frame), title, says)


def _ground(shade: float, wide: float = WIDE_MM) -> Mark:
    return area(corners(0.0, 0.0, wide, HIGH_MM), shade)


def _slices(between_mm: float) -> list[Mark]:
    """Two slices of a bar across a seam, so far from each other; less than nothing where they lie on each other."""
    middle, low, high = WIDE_MM / 2, 5.0, 14.0
    left, right = middle - between_mm / 2, middle + between_mm / 2
    marks: list[Mark] = [_ground(COATING), area(corners(0.0, low, left, high), METAL)]
    marks.append(area(corners(right, low, WIDE_MM, high), METAL))
    if between_mm < 0:
        marks.append(area(corners(right, low, left, high), 0.25))
    # Where the two slices meet, above and below the bar.
    marks += [line([(middle, y), (middle, y + 3.0)], THIN_MM, (0.8, 0.6)) for y in (1.0, 15.0)]
    return marks


def seam_pictures() -> tuple[PaperPicture, ...]:
    """How two slices meet: as they should, with a gap, on each other."""
    return (
        _scene(_slices(0.0), "Good seam", "The two slices meet: nothing shows between them."),
        _scene(_slices(1.6), "Gap", "An unmarked line is left between the two slices."),
        _scene(_slices(-1.6), "Overlap", "A darker line was marked twice, by both slices."),
    )


def _brushed(seed: int = 5) -> list[Mark]:
    """Bare metal, with the fine lines that a grinder leaves."""
    random = np.random.default_rng(seed)
    rows = np.sort(random.uniform(1.0, HIGH_MM - 1.0, 9))
    starts = random.uniform(1.0, 12.0, 9)
    return [
        _ground(METAL),
        *(line([(x, y), (x + 14.0, y)], HAIR_MM, shade=0.75) for x, y in zip(starts, rows, strict=True)),
    ]


def _patches(count: int, shade: float, size: float, seed: int) -> list[Mark]:
    random = np.random.default_rng(seed)
    turn = np.linspace(0.0, 2 * np.pi, 13)
    marks: list[Mark] = []
    for _ in range(count):
        x, y = random.uniform(3.0, WIDE_MM - 3.0), random.uniform(3.0, HIGH_MM - 3.0)
        reach = size * random.uniform(0.5, 1.0, 13)
        reach[-1] = reach[0]
        ring = np.stack([x + reach * np.cos(turn), y + reach * np.sin(turn)], axis=1)
        marks.append(area(ring, shade))
    return marks


def coating_pictures() -> tuple[PaperPicture, ...]:
    """What a pass leaves, from too little to too much."""
    tint = [_ground(METAL)] + [
        area(corners(at, at, WIDE_MM - at, HIGH_MM - at), shade) for at, shade in ((1.5, 0.9), (4.0, 0.78), (6.5, 0.6))
    ]
    cuts = [line([(x, 1.0), (x + 1.2, HIGH_MM - 1.0)], FIRM_MM, shade=0.25) for x in np.arange(1.0, WIDE_MM - 2.0, 0.9)]
    return (
        _scene(_brushed() + _patches(9, COATING, 3.2, 2), "Coating left", "Patches of the colour are left."),
        _scene(_brushed() + _patches(60, 0.86, 0.9, 3), "Residue", "A grey film that wipes or scrapes off."),
        _scene(_brushed(), "Clean", "Bare, unmarked metal. Its own grain shows."),
        _scene(tint, "Heat tint", "Bare metal, but tinted straw, brown or blue."),
        _scene([_ground(METAL), *cuts], "Engraved", "The metal is dull, frosted or cut. You feel the lines."),
    )


def tick_picture() -> PaperPicture:
    """How ticks are read over a seam: the pair that runs straight on."""
    wide, pitch, shift, straight = 62.0, 4.6, 0.5, 2
    middle = 9.4
    marks: list[Mark] = [_ground(METAL, wide), line([(1.0, middle), (wide - 1.0, middle)], HAIR_MM, (0.8, 0.6))]
    for at in range(-5, 6):
        x = wide / 2 + at * pitch
        long = 1.6 if at == 0 else 0.0
        marks.append(line([(x, middle), (x, middle + 4.4 + long)], FIRM_MM))
        # As on the tape, where the second slice has its ticks closer together.
        below = x - shift * (at - straight)
        marks.append(line([(below, middle - 4.4), (below, middle)], FIRM_MM))
    x = wide / 2 + straight * pitch
    marks.append(line(corners(x - 1.4, middle - 5.2, x + 1.4, middle + 5.2), THIN_MM, (0.8, 0.6)))
    marks.append(Words("+2", x, middle + 6.0, LETTER_MM, "middle", "bold"))
    marks.append(Words("0", wide / 2, middle + 6.8, LETTER_MM, "middle", "bold"))
    says = "Count up from the tick marked 0 to the tick that runs straight on. Example: 2."
    return _scene(marks, "Reading ticks", says, wide)
