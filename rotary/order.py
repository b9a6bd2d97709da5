"""How many items of a job are wanted."""

from typing import Final

from pydantic import Field

from rotary.model import Model

MOST_PIECES: Final = 100_000


class Order(Model):
    """How many pieces are marked: the time they take goes by it, no setting does. None where nobody said."""

    pieces: int | None = Field(default=None, ge=1, le=MOST_PIECES)
