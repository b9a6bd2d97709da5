"""Runs of the logbook, a line each."""

from datetime import datetime

from rotary.sentences.standing import BAD


def run_text(on: datetime, outcome: str, items: int, spoiled: int, took_s: float | None) -> str:
    """When it was, how many came out well, how long it took.

    >>> run_text(datetime(2026, 10, 29), "clear", 13, 1, 1500.0)
    '29 October: 12 of 13 items good, in 25 min'
    >>> run_text(datetime(2026, 10, 3), "seams-show", 2, 0, None)
    '3 October: seams showed, 2 items'
    """
    marked = f"{items} item{'s' * (items != 1)}"
    how = f"{items - spoiled} of {items} items good" if outcome == "clear" else f"{BAD.get(outcome, outcome)}, {marked}"
    if outcome != "clear" and spoiled:
        how += f", {spoiled} spoiled"
    return f"{on.day} {on:%B}: {how}{f', in {duration(took_s)}' if took_s else ''}"


def duration(seconds: float) -> str:
    """How long a run took, to the minute.

    >>> duration(1500.0), duration(4000.0)
    ('25 min', '1 h 07 min')
    """
    hours, minutes = divmod(max(round(seconds / 60), 1), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"
