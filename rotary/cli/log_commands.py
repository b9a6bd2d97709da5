"""What was run, and how it came out."""

from datetime import date
from typing import Annotated, Any, Final

from rotary.cli import core
from rotary.cli.answers import typed
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, Where, group, options, store_of
from rotary.cli.output import complain, report, say_json, say_lines
from rotary.cli.profile_commands import NOTHING_SAID, RunSaid, opened
from rotary.cli.values import Inches, Json, Store, whole
from rotary.errors import BadArgument, brief, nearest_name

OUTCOMES: Final = ("clear", "coating-left", "metal-marked", "seams-show", "stopped", "spoiled")
SAME: Final = {
    "good": "clear", "clean": "clear", "residue": "coating-left", "haze": "coating-left", "covered": "coating-left",
    "engraved": "metal-marked", "heat-tint": "metal-marked", "tinted": "metal-marked", "cut": "metal-marked",
    "joints-show": "seams-show",
}  # fmt: skip
"""What is seen on an item in other words, and what is logged of it."""

TAUGHT: Final = ("residue", "heat-tint")
"""What a reading tells apart besides."""


@options
class Items:
    """How many were run, and how long it took.

    :param items: how many (1)
    :param spoiled: how many of them were spoiled
    :param took: how long, like "25 min"
    """

    items: Annotated[int, whole(1, 100_000)] = 1
    spoiled: Annotated[int, whole(0, 100_000)] = 0
    took: str | None = None


ONE_ITEM: Final = Items()


def add(
    name: str,
    /,
    outcome: str,
    *,
    many: Items = ONE_ITEM,
    said: RunSaid = NOTHING_SAID,
    teach: bool = False,
    unlogged: bool = False,
    json: Json = False,
    where: Where = HERE,
) -> int:
    """Log a run of a profile; with --teach the coating's readings learn from it too.

    The words are good, coating-left, engraved, seams-show, stopped, spoiled; with --teach also residue, heat-tint.

    Example: rotary log add "regatta bottle" good --items 12 --spoiled 1 --took "25 min"

    :param name: the profile that was run; with --teach any job
    :param outcome: how it came out: good, coating-left, …
    :param teach: take the run, as it is planned now, as a reading of its coating
    :param unlogged: with --teach: only the reading
    """
    word = _word(outcome, teach)
    if teach and (unlogged or not NamedJob(name, where).is_profile):
        return _taught(name, word, said, where)
    profile = opened(name, where.store, alone=False)
    how = NamedJob("-", where).repeat_of(profile, profile.profile.job)
    with typed({"numbers": "--numbers"}):
        run = core.recording.numbers_run(how, said.numbers or "", said.came)
    logged = SAME.get(word, word)
    values: dict[str, Any] = {"outcome": logged, "items": many.items, "spoiled": many.spoiled, "batch": said.batch}
    values |= {"note": said.note, "plan": run, "files": said.files} | ({"took": many.took} if many.took else {})
    with typed():
        entry = core.logbook.run_of(profile, values)
    entry = core.profiles.with_machine_time(entry, how)
    path, steps = core.logbook.log(entry, where.profiles), core.actions.steps_after_run(how, logged)
    if json:
        say_json({"logged": str(path), "steps": steps})
    else:
        report([f"logged: {path}", *(f"next: {step.text}" for step in steps)])
    return _taught(name, word, said, where) if teach else 0


def _word(outcome: str, teach: bool) -> str:
    word = outcome.strip().lower().replace(" ", "-").replace("_", "-")
    if word in OUTCOMES or word in SAME:
        return word
    shown = ["good", "coating-left", "engraved", "seams-show", "stopped", "spoiled", *(TAUGHT if teach else ())]
    near = nearest_name(word, shown)
    offer = f"did you mean {near}? Write" if near else "write"
    raise BadArgument(f"{brief(outcome or 'nothing')} is no outcome: {offer} {', '.join(shown)}")


def _taught(name: str, word: str, said: RunSaid, where: Where) -> int:
    """Take the run as a reading, and say what it taught."""
    from rotary.cli.patch_commands import say_taught

    seen = core.cells.OUTCOME_WORDS.get({"good": "clean"}.get(word, word.replace("-", " ")))
    if seen is None:
        known = "clean, coating-left, residue, heat-tint, engraved"
        raise BadArgument(f"{word} teaches nothing of a coating: write {known}")
    came, named = said.came, NamedJob(name, where)
    job = named.on_machine()
    saved = core.cells.run_as_reading(job, named.plan(), seen, came, said.note, where.profiles)
    say_lines([*core.lines.wrapped(saved, "", ""), ""])
    return say_taught(core.cells.taught(job, core.readings.readings_in(where.profiles), where.samples))


def list_(
    name: str | None = None,
    /,
    *,
    since: str | None = None,
    settings: bool = False,
    inches: Inches = False,
    json: Json = False,
    store: Store = None,
) -> int:
    """List the runs, with totals.

    Example: rotary log list --since 2026-01-01

    :param name: of this profile only
    :param since: from this day on, like 2026-01-31
    :param settings: with what was set in each
    """
    try:
        day = date.fromisoformat(since) if since is not None else None
    except ValueError:
        raise BadArgument(f"--since {brief(since) or 'nothing'} is no day: write it like 2026-01-31") from None
    folder = store_of(store)
    book = core.logbook.logbook(folder, core.keeping.located(name, folder).id if name is not None else "", day)
    for trouble in book.troubles:
        complain(trouble)
    if json:
        return say_json(book.runs)
    lines = [line for run in book.runs for line in _run_lines(run, settings, "in" if inches else "mm")]
    return say_lines([*lines, core.logbook.totals(book.runs).summary()])


def _run_lines(run: "core.logbook.Run", settings: bool, system: str) -> list[str]:
    spoiled = f", {run.spoiled} spoiled" if run.spoiled else ""
    extra = "  ".join(text for text in (run.batch, run.note) if text)
    outcome = core.record.OUTCOME_LABELS[run.outcome]
    lines = [f"{run.on:%Y-%m-%d %H:%M}  {run.name}  {outcome}  {run.items} items{spoiled}  {extra}"]
    if settings and run.plan is not None:
        lines.append("    " + ", ".join(f"{name} {text}" for name, text in core.changes.run_values(run.plan, system)))
    return lines


app = group("log", "What was run, and how it came out.", add, list_)
