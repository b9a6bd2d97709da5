"""What reading a file may cost: bounds, a counter for work done, and the list of what could not be read.

A file that comes by mail may be broken, or made to stall whatever opens it. Sizes are therefore looked
at before anything is unpacked, and every step pays into one counter that stops the reading in time.
"""

from collections.abc import Callable
from typing import Final, NamedTuple

from rotary.errors import Predicate, Refused, refuse

FIELD: Final = "artwork.file"
MOST_BYTES: Final = 64 << 20
MOST_DEPTH: Final = 256
MOST_ELEMENTS: Final = 500_000
MOST_ENTITY_BYTES: Final = 100_000
MOST_USES: Final = 100_000
MOST_DASHES: Final = 30_000  # of one line; to join them with an edge that they all meet takes four seconds
MOST_KINDS: Final = 30
MOST_CROSSINGS: Final = 80_000  # some five seconds
FARTHEST: Final = 1e7  # [units of the file]; beyond it, digits of a micrometre are lost
BUDGET: Final = 3_000_000  # segments, style rules and elements; a microsecond each, two on a slow machine


def refused(says: str) -> Refused:
    """A refusal of the artwork's file, to be raised by the caller: the sentence goes on from the file's name."""
    return refuse(FIELD, Predicate(says))


class Unread(NamedTuple):
    """Something in a file that could not be read as it was meant: what, how often, and what to do about it."""

    what: str
    times: int
    instead: str

    def __str__(self) -> str:
        times = f", {self.times} times" if self.times > 1 else ""
        return f"The drawing has {'an' if self.what[0] in 'aeiou' else 'a'} {self.what}{times}: {self.instead}"


class Ledger:
    """The work done so far, and what could not be read.

    `progress` is called with the share of the budget that is used, each time another hundredth of it is;
    it stops the reading by raising an error of its own.
    """

    def __init__(self, budget: int | None = None, progress: Callable[[float], None] | None = None) -> None:
        self.budget = budget = BUDGET if budget is None else budget
        self.spent = 0
        self.uses = 0
        self._progress = progress
        self._next = budget // 100 if progress else budget
        self._unread: dict[str, tuple[int, str]] = {}

    def spend(self, amount: int) -> None:
        """Pay for a step; raises Refused where the file asks for more than any drawing needs."""
        self.spent += amount
        if self.spent > self._next:
            self._tell()

    def _tell(self) -> None:
        if self.spent > self.budget:
            raise refused("is too complicated to read: simplify the drawing, or divide it into parts")
        self._next = min(self.budget, self.spent + self.budget // 100)
        if self._progress:
            self._progress(self.spent / self.budget)

    def use(self) -> None:
        """Count one placing of a shape that is drawn elsewhere in the file."""
        self.uses += 1
        if self.uses > MOST_USES:
            raise refused(
                f"repeats its parts more than {MOST_USES:,} times: convert these parts to paths, or simplify the "
                "drawing"
            )

    def unread(self, what: str, instead: str, count: int = 1) -> None:
        """Note something that can't be read as it was meant; of very many kinds only the first by their names."""
        if len(self._unread) >= MOST_KINDS and what not in self._unread:
            what, instead = (
                "part that rotary can't read",
                "it is not marked as you drew it. Convert everything to paths",
            )
        self._unread[what] = (self._unread.get(what, (0, ""))[0] + count, instead)

    def forget(self) -> None:
        """Forget what was noted, as before the same is read once more."""
        self._unread.clear()

    def list_of_unread(self) -> tuple[Unread, ...]:
        """All that was noted, each kind once."""
        return tuple(Unread(what, count, instead) for what, (count, instead) in self._unread.items())
