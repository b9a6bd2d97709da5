"""A written drawing as a picture for a paper: at true size where it has room, else at a scale that is told."""

from collections.abc import Mapping, Sequence

from rotary.formulas.arrays import Floats
from rotary.papers.drawing import Area, Mark, PaperPicture, Words
from rotary.papers.letters import clipped

LETTER_MM = 2.83
"""Body of the words in a picture: 8 points."""


def true_size_picture(
    parts: Mapping[str, Sequence[Floats]], wide_mm: float, high_mm: float, room: tuple[float, float], title: str
) -> PaperPicture:
    """Rings (n, 2) float [mm] about the middle of a page, black, with the scale under them.

    >>> import numpy as np
    >>> true_size_picture({"a": [np.array([(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)])]}, 10.0, 10.0, (90.0, 60.0), "a").says
    'At true size.'
    """
    scale = min(1.0, (room[0] - 1.0) / wide_mm, (room[1] - 4.0) / high_mm)
    wide = max(min(wide_mm * scale, room[0]), min(room[0], 40.0))
    high = high_mm * scale + 4.0
    middle = (wide / 2, 4.0 + high_mm * scale / 2)
    marks: list[Mark] = [Area(tuple(ring * scale + middle for ring in rings), 0.0) for rings in parts.values() if rings]
    says = "At true size." if scale == 1.0 else f"Shown 1 : {1 / scale:.3g}: mark the file."
    marks.append(Words(clipped(says, wide, LETTER_MM), wide / 2, 0.8, LETTER_MM, "middle"))
    return PaperPicture(wide, high, tuple(marks), title, says, to_scale=True)
