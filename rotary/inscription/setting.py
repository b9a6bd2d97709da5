"""Letters on a line, as the font sets them, in heights of a capital: sizes and tracking are put in afterwards.

::

        |<- pen[0]    |<- pen[1]           |<- advance       a letter stands at   pen h + spaces t
        A             V                    |                 a line is long       advance h + (letters - 1) t
        |<------------ period ------------>|                 a ring closes on     period h + letters t

`period` is from a letter to the same letter once more when the line follows itself, so that the pair of its last
and first letter is kerned as well.
"""

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Final, NamedTuple
from unicodedata import bidirectional, category, normalize

import numpy as np

from rotary.artwork.fonts import FIELD as FONT
from rotary.artwork.fonts import font_of
from rotary.artwork.letters import MISSING, Letter, PlacedLetters, Setter, outline_setter, stroke_setter
from rotary.artwork.line_letters import CAPITAL
from rotary.errors import Fault, Predicate, Refused, brief, refuse, refuse_all
from rotary.files import named_path, regular_file
from rotary.formulas.arrays import Floats, Ints
from rotary.wording import MOST_LETTERS, MOST_LINES, InscriptionWish

TOLERANCE: Final = 0.0002  # of a capital's height, how far a chord may stray: 2 µm on letters of 10 mm


class SetLine(NamedTuple):
    """A line as set: `pen` (n,) and `before` (n,), how many spacings stand before each
    letter, see above; `spaces` there are in all, with the one after the last letter."""

    text: str
    letters: tuple[Letter, ...]
    pen: Floats
    before: Ints
    advance: float
    period: float
    spaces: int

    @property
    def joined(self) -> bool:
        """Whether any of its letters are written joined."""
        return any(_joins(letter.sign) for letter in self.letters)

    @property
    def gaps(self) -> int:
        """How many spacings there are between its first and its last letter."""
        return int(self.before.max(initial=0))

    @property
    def bottom(self) -> float:
        """How far the ink reaches below the line, as a negative number."""
        return min((letter.bounds[1] for letter in self.letters if letter.shape is not None), default=0.0)

    @property
    def top(self) -> float:
        """How far the ink reaches above the line."""
        return max((letter.bounds[3] for letter in self.letters if letter.shape is not None), default=1.0)


def set_lines(wish: InscriptionWish, text: str, where: str = "text") -> tuple[SetLine, ...]:
    """The lines of a text. Raises Refused where it is empty, too long, or has letters that the font lacks.

    >>> line = set_lines(InscriptionWish(), "HERON")[0]
    >>> line.spaces, round(line.top, 2)  # a ring, so with the space before it begins again
    (6, 1.02)
    """
    lines = [_plain(line) for line in normalize("NFC", text).splitlines()]
    while lines and not lines[-1].strip():
        lines.pop()
    refuse_all(_text_faults(text, lines, where))
    tail = _between(wish)
    try:
        made = tuple(_set(wish, line, tail) for line in lines)
    except Refused as refused:
        # The font is the inscription's own, whatever field an artwork names one in.
        font = (Fault("font", one.says) if one.where == FONT else one for one in refused.faults)
        raise Refused(font) from None
    missing = Counter(letter.sign for line in made for letter in line.letters if letter.shape is MISSING)
    if missing:
        raise refuse(where, _missing(wish, missing))
    if not any(letter.shape is not None for line in made for letter in line.letters):
        raise refuse(where, Predicate("has nothing to cut in it: write a name, a date or a number"))
    return made


JOINED: Final = (("\u0900", "\u0dff"), ("\u1800", "\u18aa"), ("\ua840", "\ua877"))
"""Scripts besides Arabic and its kin whose letters join: those of India under one line, Mongolian, Phags-pa."""


def _text_faults(text: str, lines: list[str], where: str) -> list[Fault]:
    says = ""
    if not any(line.strip() for line in lines):
        says = 'has no words yet: write the words to cut, for example "Heron 2026"'
    elif len(text) > MOST_LETTERS:
        says = f"has {len(text)} letters, and one part takes at most {MOST_LETTERS}: shorten the words"
    elif len(lines) > MOST_LINES:
        says = f"has {len(lines)} lines, and one part takes at most {MOST_LINES}: take some lines out"
    return [Fault(where, Predicate(says))] if says else []


def _plain(line: str) -> str:
    """A tab is a space; what is no sign at all, or only tells programs how to show one, is nothing."""
    return "".join(sign for sign in line.replace("\t", " ") if category(sign) not in ("Cc", "Cf"))


def _between(wish: InscriptionWish) -> str | None:
    """What stands between the end of a closed line and its beginning; None where lines don't close."""
    if wish.around not in ("ring", "end"):
        return wish.between if wish.repeat > 1 else None
    return " " if wish.between is None else _plain(wish.between)


def _missing(wish: InscriptionWish, missing: Counter[str]) -> str:
    listed = ", ".join(f'"{brief(sign, 8)}" (U+{ord(sign[0]):04X})' for sign in list(missing)[:8])
    more = f" and {len(missing) - 8} more" if len(missing) > 8 else ""
    cure = "choose another font" if wish.face == "outline" else "choose filled letters of a font"
    lack = "the font lacks" if wish.face == "outline" else "the single-stroke letters lack"
    return f"{lack} {listed}{more}: {cure}, or write other letters"


def _set(wish: InscriptionWish, line: str, tail: str | None) -> SetLine:
    setter = _face_setter(wish)
    unit = line if tail is None else line + tail
    repeats = wish.repeat
    whole = unit * (repeats - 1) + (unit if _closes(wish) else line)
    placed = setter(whole)
    advances = np.array(placed.advances)
    advance = float(advances.sum())
    period = _period(setter, unit) * repeats if tail is not None else advance
    if _closes(wish):
        placed = _middle_of(setter(whole * 3), placed)
        advances = np.array(placed.advances)
    steps = (advances > 0).astype(np.int64)
    # Letters that join would be torn apart: in their words only spaces grow.
    steps[[_joins(letter.sign) for letter in placed.letters]] = 0
    if _closes(wish) and not steps.any():
        says = "needs a space, since joined letters can't stretch to close the ring: write a space, or leave a gap"
        raise refuse("between", Predicate(says))
    before = np.cumsum(steps) - steps
    # A mark belongs to its letter, which stands before it, or behind it where the line runs to the left: the spacing
    # that follows the letter is not for the mark.
    owners = {cluster: place for place, cluster in enumerate(placed.clusters) if advances[place] > 0}
    for place in np.flatnonzero(advances == 0).tolist():
        owner = owners.get(placed.clusters[place])
        before[place] = before[owner] if owner is not None else max(before[place] - 1, 0)
    return SetLine(line, tuple(placed.letters), np.array(placed.pen), before, advance, period, int(steps.sum()))


def _joins(sign: str) -> bool:
    """Whether a letter is of a script that is written joined."""
    return any(bidirectional(part) == "AL" or low <= part <= high for part in sign for low, high in JOINED)


def _closes(wish: InscriptionWish) -> bool:
    """Whether lines come back to their own beginning."""
    return (wish.around == "ring" and wish.gap_mm is None) or (wish.around == "end" and wish.arc_rad is None)


def _period(setter: Setter, unit: str) -> float:
    return float(sum(setter(unit * 3).advances) - sum(setter(unit * 2).advances))


def _middle_of(three: PlacedLetters, one: PlacedLetters) -> PlacedLetters:
    """The middle one of three copies: it is kerned at both of its ends."""
    count = len(one.letters)
    if len(three.letters) != 3 * count:
        return one  # letters that join over the end: as they stand
    start = three.pen[count] - (one.pen[0] if count else 0.0)
    pens = [pen - start for pen in three.pen[count : 2 * count]]
    second = slice(count, 2 * count)
    return PlacedLetters(three.letters[second], pens, three.advances[second], three.clusters[second])


def _face_setter(wish: InscriptionWish) -> Setter:
    if wish.face != "outline":
        return stroke_setter(wish.face, (1 - wish.stroke) / CAPITAL, wish.stroke, TOLERANCE)
    font = font_of(Path(wish.font) if wish.font is not None else None, wish.weight, wish.italic)
    return outline_setter(font, 1 / font.capital_height, TOLERANCE, ligatures=False)


def wish_over(own: InscriptionWish, asked: InscriptionWish, left_open: Iterable[str], folder: Path) -> InscriptionWish:
    """What a job says of its words, and over it what is asked for here; these fields are `left_open`.

    A font that the job names counts from the `folder` where it lies. Raises Refused where none can be read.
    """
    opened = dict.fromkeys(left_open)
    asked = with_font_path(asked, Path())
    own = with_font_path(own, folder) if asked.font is None and "font" not in opened else own
    return own.but(**(opened | {name: getattr(asked, name) for name in asked.model_fields_set}))


def with_font_path(wish: InscriptionWish, folder: Path) -> InscriptionWish:
    """The wish with its font's whole path, counted from where the job lies; raises Refused where none can be read."""
    if wish.font is None:
        return wish
    try:
        font = folder / named_path(wish.font)
        with regular_file(font):
            return wish.but(font=str(font))
    except (OSError, ValueError, RuntimeError):
        says = f"can't be read here: {brief(wish.font)} is no font file. Name a TTF or OTF file, or leave the font out"
        raise refuse("font", Predicate(says)) from None
