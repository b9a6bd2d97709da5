"""8  The plan as papers a person follows at the machine."""

from rotary.card.setup import answer_lines, card_lines

__all__ = ["answer_lines", "card_lines"]
