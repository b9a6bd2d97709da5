"""Lines of plain text, under the name by which the stages above the card know them."""

from rotary.papers.lines import (
    WIDTH,
    clock,
    few,
    figures,
    in_inches,
    large,
    listed,
    packed,
    percent,
    table,
    title,
    wrapped,
)

__all__ = ["WIDTH", "clock", "few", "figures", "in_inches", "large", "listed", "packed", "percent", "table", "title"]
__all__ += ["wrapped"]
