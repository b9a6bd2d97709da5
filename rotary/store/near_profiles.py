"""Which profile is it: the nearest to an item that was just measured."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.finishes import COATINGS, METALS
from rotary.item import Item
from rotary.store.index import ProfileEntry, wall_of
from rotary.units import text_from_value


class NearProfile(NamedTuple):
    """A profile whose item is like the one in hand: how far a diameter is off at most, and what else differs."""

    entry: ProfileEntry
    off_mm: float
    differs: tuple[str, ...]

    def summary(self, system: str = "mm") -> str:
        """One line for a person."""
        off = text_from_value(max(self.off_mm, 0.001), "mm", system, digits=2)
        proven = f" ({self.entry.says})" if self.entry.state == "proven" else ""
        return f'"{self.entry.name}": diameters differ by at most {off} from your item{proven}'


def nearest(item: Item, everything: Sequence[ProfileEntry], most: int = 5, system: str = "mm") -> list[NearProfile]:
    """The profiles whose walls are nearest, over the length that both have, measured from the foot.

    A faceted item is only held against others with as many flats. Of walls that are alike to a
    tenth of a millimetre, a proven one goes first.
    """
    length, widths, flats = wall_of(item)
    fits = [entry for entry in everything if entry.widths_mm and entry.flats == flats]
    if not widths or not fits:
        return []
    lengths, others = np.array([entry.length_mm for entry in fits]), np.array([entry.widths_mm for entry in fits])
    off: list[float] = _off_mm(length, np.array(widths), lengths, others).tolist()
    ranked = sorted(
        range(len(fits)),
        key=lambda place: (round(off[place], 1), fits[place].state != "proven", abs(fits[place].length_mm - length)),
    )
    return [NearProfile(fits[p], off[p], tuple(_differs(item, length, fits[p], system))) for p in ranked[:most]]


def _off_mm(
    length: float, widths: NDArray[np.float64], lengths: NDArray[np.float64], others: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The largest difference of diameters (n,) over the common length [mm]; `others` is (n, places)."""
    places = widths.size
    heights = np.minimum(lengths, length)[:, None] * np.linspace(0.0, 1.0, places)
    own = np.interp(heights, np.linspace(0.0, length, places), widths)
    at = heights / np.maximum(lengths, 1e-9)[:, None] * (places - 1)
    left = np.clip(at.astype(int), 0, places - 2)
    rows = np.arange(lengths.size)[:, None]
    theirs = others[rows, left] + (at - left) * (others[rows, left + 1] - others[rows, left])
    return np.asarray(np.abs(own - theirs).max(axis=1))


def _differs(item: Item, length: float, entry: ProfileEntry, system: str) -> Iterator[str]:
    if (item.coating or "none") != entry.coating:
        theirs, yours = (
            "bare metal" if name == "none" else COATINGS.get(name, name)
            for name in (entry.coating, item.coating or "none")
        )
        yield f'its coating is "{theirs}", yours is "{yours}": expect other settings'
    if item.metal != entry.metal:
        yield (f"its metal is {METALS.get(entry.metal, entry.metal)}, yours is {METALS.get(item.metal, item.metal)}")
    if abs(length - entry.length_mm) > 1.0:
        there, here = (text_from_value(value, "mm", system, digits=4) for value in (entry.length_mm, length))
        yield f"its item is {there} long, yours {here}"
    if entry.state != "proven":
        yield entry.says
