"""What a written file says of itself by keys, by which a simulation knows what the person does who follows the card."""

import re
from typing import Final

_KEYS: Final = re.compile(r"keys: ((?:\w+=[-+.\de]+ ?)+)")

PART: Final = {"part": "1"}
"""What a file says of itself that holds some slices of a whole."""

_NUMBER: Final = r"([-+]?[0-9.]+)"
OLD_LABELS: Final = {
    "single": r"slice (\d+) of \d+",
    "of": r"slice \d+ of (\d+)",
    "flat_column_mm": rf"flat artwork for plain columns of {_NUMBER} mm",
    "file_slice_mm": rf"\d+ columns of {_NUMBER} mm",
    "middle_deg": rf"under the head at the middle: {_NUMBER} degrees",
    "plane_mm": rf"focal plane over the apex line at the middle: {_NUMBER} mm",
    "inset_mm": rf"pulled back at each joint: {_NUMBER} mm",
    "line_mm": rf"believed width of a marked line: {_NUMBER} mm",
    "from_mm": rf"heights from the foot: {_NUMBER} to [-+0-9.]+ mm",
    "to_mm": rf"heights from the foot: [-+0-9.]+ to {_NUMBER} mm",
    "dots_per_metre": r"\b(\d+) dots to the metre",
}
"""The words by which files say the same that were written before there were keys; the first group is the number."""


OLD_NAMES: Final = {"column_mm": "file_slice_mm"}
"""Keys of files that earlier versions wrote, and what they are called now."""


def keys_text(**values: str) -> str:
    """Numbers under their keys, as a description has them.

    >>> keys_text(file_slice_mm="2.169", plane_mm="+1.5000")
    'keys: file_slice_mm=2.169 plane_mm=+1.5000'
    """
    return f"keys: {' '.join(f'{name}={value}' for name, value in values.items())}"


def file_keys(about: str) -> dict[str, float]:
    """The numbers of a description by their keys, also of one that has words alone.

    >>> file_keys("true size; keys: file_slice_mm=2.169 plane_mm=+1.5000; black is marked")
    {'file_slice_mm': 2.169, 'plane_mm': 1.5}
    >>> file_keys("keys: column_mm=2.169")
    {'file_slice_mm': 2.169}
    >>> file_keys("29 columns of 2.735 mm; true size")
    {'file_slice_mm': 2.735}
    """
    keyed = _KEYS.search(about)
    if keyed is not None:
        pairs = (pair.split("=") for pair in keyed[1].split())
        return {OLD_NAMES.get(name, name): float(value) for name, value in pairs}
    labelled = {name: re.search(label, about) for name, label in OLD_LABELS.items()}
    return {name: float(found[1]) for name, found in labelled.items() if found}
