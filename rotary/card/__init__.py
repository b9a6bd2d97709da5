"""8  The plan as papers a person follows at the machine."""

from rotary.card.setup import card_lines

__all__ = ["card_lines"]
