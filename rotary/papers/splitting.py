"""Blocks that may go on overleaf, in two."""

from dataclasses import replace

from rotary.papers.model import Block, Keyed, Notes, Pairs, PictureRow, Sentences, Table, Ticks


def halves(one: Block) -> tuple[Block, Block] | None:
    """The block in two, each with its own head; None where it can't be parted.

    >>> [half.lines for half in halves(Notes(5))]
    [2, 3]
    """
    if isinstance(one, Notes):
        return (Notes(one.lines // 2), Notes(one.lines - one.lines // 2)) if one.lines > 1 else None
    name = _PARTS[type(one)]
    things = getattr(one, name)
    if len(things) < 2:
        return None
    # Pictures stand two in a row.
    half = max(2 * (len(things) // 4), 1) if isinstance(one, PictureRow) else len(things) // 2
    first, second = replace(one, **{name: things[:half]}), replace(one, **{name: things[half:]})
    if isinstance(second, Table):
        second = replace(second, strong=frozenset((row - half, column) for row, column in second.strong))
    return first, second


_PARTS: dict[type, str] = {
    Keyed: "entries", Sentences: "texts", Pairs: "pairs", Table: "rows", Ticks: "groups", PictureRow: "pictures",
}  # fmt: skip
