"""How lengths are written on the card: millimetres or inches."""

from collections.abc import Iterable
from dataclasses import dataclass

from rotary.papers.lines import in_inches


@dataclass(frozen=True, slots=True)
class Sizes:
    """How lengths are written on this card."""

    system: str

    def length(self, mm: float | None, signed: bool = False) -> str:
        """A length with its unit; a dash for none."""
        if mm is None:
            return "-"
        sign = "+" if signed else ""
        # Adding nothing turns a rounded -0 into 0.
        value = round(mm / 25.4, 4) + 0 if self.system == "in" else round(mm, 2) + 0
        return f"{value:{sign}.4f} in" if self.system == "in" else f"{value:{sign}.2f} mm"

    def by_hand(self, mm: float | None) -> str:
        """A length as it is set by hand, such as 14.5 mm or 0.571 in."""
        return f"{(mm or 0.0) / 25.4:.3f} in" if self.system == "in" else f"{mm or 0.0:g} mm"

    def bare(self, mm: float) -> str:
        """The same without its unit, for columns that name it."""
        return self.length(mm).rpartition(" ")[0]

    def fine(self, mm: float, signed: bool = True) -> str:
        """A small length, without its unit, in micrometres or thousandths of an inch."""
        sign = "+" if signed else ""
        # From whole micrometres in both, so that sentences and tables of a sheet have the same figure.
        value = round(round(1000 * mm) / 25.4, 2) if self.system == "in" else round(1000 * mm)
        # Adding nothing turns a rounded -0 into 0.
        return f"{value + 0:{sign}.2f}" if self.system == "in" else f"{value:{sign}d}"

    def text(self, sentence: str) -> str:
        """A sentence with its lengths as on this card."""
        return in_inches(sentence) if self.system == "in" else sentence

    def texts(self, sentences: Iterable[str]) -> list[str]:
        """Sentences with their lengths as on this card."""
        return [self.text(sentence) for sentence in sentences]

    @property
    def unit(self) -> str:
        """The unit of lengths."""
        return "in" if self.system == "in" else "mm"

    @property
    def fine_unit(self) -> str:
        """The unit of small lengths."""
        return "thou" if self.system == "in" else "µm"
