"""A person's own coating on the desk: colour, kind and batch as fields of their own, one name in the job file."""

from collections.abc import Callable, Collection
from typing import Final

OWN: Final = "own"
NONE: Final = "none"
COATING: Final = "item.coating"
COLOUR: Final = "own_coating.colour"
KIND: Final = "own_coating.kind"
BATCH: Final = "own_coating.batch"
COLOURS: Final = ("dark", "light", "metallic", "clear")
KINDS: Final = ("powder", "paint", "lacquer")


def parts(name: str, shipped: Callable[[], Collection[str]]) -> dict[str, str]:
    """The fields that a name in a job file fills; `shipped` names the coatings that there are, if it comes to that.

    >>> parts("dark paint: green, spring", tuple)["own_coating.batch"]
    'green, spring'
    >>> parts("epoxy-powder: may", lambda: ("epoxy-powder",))
    {'item.coating': 'epoxy-powder', 'own_coating.batch': 'may'}
    """
    plain, _, batch = (text.strip() for text in name.partition(":"))
    words = plain.casefold().split()
    kept = {BATCH: batch} if batch else {}
    if len(words) == 2 and words[0] in COLOURS and words[1] in KINDS and plain not in shipped():
        return {COATING: OWN, COLOUR: words[0], KIND: words[1]} | kept
    return {COATING: plain} | kept


def name_of(choice: str, colour: str, kind: str, batch: str) -> str:
    """The name in the job file that the fields make.

    >>> name_of("own", "dark", "paint", "green"), name_of("none", "dark", "paint", "green")
    ('dark paint: green', 'none')
    """
    plain = f"{colour} {kind}" if choice == OWN else choice
    return f"{plain}: {batch.strip()}" if batch.strip() and choice != NONE else plain
