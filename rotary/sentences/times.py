"""How long items take, in words."""

from datetime import datetime, timedelta

from rotary.actions.models import JobTime
from rotary.sentences.runs import duration


def with_time_text(time: JobTime, now: datetime | None = None) -> JobTime:
    """The same with its text; begun `now`, it says by what o'clock all items are done."""
    begun = done = ""
    if time.pieces is not None and now is not None:
        end = _done(now, time.total)
        begun, done = (moment.isoformat(timespec="minutes") for moment in (now, end))
    return time.model_copy(update={"begun": begun, "done": done, "text": time_text(time, now)})


def time_text(time: JobTime, now: datetime | None = None) -> str:
    """How long all take and until when, what set-up and each take, and how well that is known.

    >>> known = JobTime(
    ...     marking=60, turning=8, pauses=0, looking=20, handling=50, piece=138, once=300, pieces=12, total=1956,
    ...     low=1700, high=2300, runs=3, estimate=False,
    ... )
    >>> time_text(known, datetime(2026, 11, 29, 14, 10)).removeprefix('12 items: about 33 min, ')
    'done by 14:43 if you start now. Set-up 5 min, then 2 min per item, as in your last 3 runs.'
    >>> time_text(known.model_copy(update={"runs": 1, "estimate": True, "pieces": None})).removeprefix("Set-up about ")
    '5 min, then 2 min per item. With set-up the first item takes about 7 min, seldom over 38 min (estimate).'
    """
    about = "about " * (time.pieces is None)
    each = f"Set-up {about}{duration(time.once)}, then {duration(time.piece)} per item"
    by = f", done by {_clock(now, time.total)} if you start now" if now is not None else ""
    parts = [] if time.pieces is None else [f"{_pieces(time.pieces)}: about {duration(time.total)}{by}."]
    if time.estimate:
        first = f"With set-up the first item takes about {duration(_total_s(time))}, seldom over"
        whole = first if time.pieces is None else "Seldom over"
        parts.append(f"{each}. {whole} {duration(time.high)} (estimate{_by_others(time)}).")
    else:
        parts.append(f"{each}, as in your last {time.runs} runs.")
    return " ".join(parts)


def short_time_text(time: JobTime) -> str:
    """The same for the head of a paper."""
    if time.pieces is None:
        return f"about {duration(time.piece)} per item"
    return f"{_pieces(time.pieces)}, about {duration(time.total)}"


def _total_s(time: JobTime) -> float:
    """The time of all, of one item as the sum of what is told of set-up and item: minutes that add up."""
    if time.pieces is not None:
        return time.total
    return 60.0 * sum(max(round(part_s / 60), 1) for part_s in (time.once, time.piece))


def time_note(time: JobTime) -> str:
    """How well the head of a paper knows it, and when all is done, counted from when it was begun."""
    known = f"as in your last {time.runs} runs"
    if time.estimate:
        known = f"estimate{_by_others(time)}, seldom over {duration(time.high)}"
    what = "the first item is" if time.pieces is None else "all items are"
    done = f"{what} done after about {duration(_total_s(time))} ({known})"
    return f"Started at ____. Set-up takes about {duration(time.once)}, and {done}."


def _by_others(time: JobTime) -> str:
    return f", from {time.others} run{'s' * (time.others != 1)} of other jobs" if time.others else ""


def _pieces(count: int) -> str:
    return f"{count} item{'s' * (count != 1)}"


def _done(now: datetime, total_s: float) -> datetime:
    """When all is done, in whole minutes, as the time itself is told."""
    return now + timedelta(minutes=max(round(total_s / 60), 1))


def _clock(now: datetime, total_s: float) -> str:
    end = _done(now, total_s)
    days = (end.date() - now.date()).days
    return f"{end:%H:%M}" + ("" if not days else " tomorrow" if days == 1 else f" in {days} days")
