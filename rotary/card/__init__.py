"""8  The plan as papers a person follows at the machine."""

from rotary.card.setup import answer_lines, before_the_card, card_lines

__all__ = ["answer_lines", "before_the_card", "card_lines"]
