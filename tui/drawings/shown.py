"""What a picture is given besides the plan: something that was found out apart from it."""

from typing import Any, Final, NamedTuple


class Shown(NamedTuple):
    """The last good answer, whether it is of what stands now, and what to say of it."""

    value: Any = None
    fresh: bool = False
    says: str = ""
    bad: bool = False


NOTHING: Final = Shown()
