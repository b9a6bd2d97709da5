"""A plan as it is run: its numbers, and all that is typed and done, in words."""

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from rotary.actions.files import WORDS, FileFacts
from rotary.actions.models import ActionRow, Actions, Files, PassStep, Rung, kind_of
from rotary.job import Job
from rotary.plan import Plan
from rotary.sentences.actions import with_words
from rotary.sentences.plan import actions_in_words
from rotary.store.record import AsRun, as_run


def whole_run(plan: Plan, drawn: FileFacts | None = None) -> AsRun:
    """A plan's numbers with its actions; `drawn` is what is known of its files."""
    return as_run(plan).but(actions=actions_in_words(plan, drawn))


def words_stored(job: Job, run: AsRun) -> bool:
    """Whether a run of a job with an inscription holds the words' own numbers: older tools stored its artwork's."""
    if not job.is_inscribed:
        return True
    return run.actions is not None and run.actions.rows["file"].value != WORDS


class CameClean(NamedTuple):
    """After how many passes the first slice came clean, and at which power [%] of the ladder; None for not said."""

    passes: int | None = None
    power: float | None = None


def as_came_clean(run: AsRun, came: CameClean) -> AsRun:
    """The run as the next item gets it, with what the first slice took."""
    if came.power is not None:
        run = _with_power(run, came.power)
    return run if came.passes is None else with_passes_counted(run, came.passes)


def _with_power(run: AsRun, power: float) -> AsRun:
    """The run at this power [%] for every pass but the last one, which has its own."""
    run, actions = run.but(power_share=round(power / 100, 6)), run.actions
    if actions is None:
        return run

    def typed(row: ActionRow) -> ActionRow:
        return row.but(value=power, figure=f"{power:g}") if row.id == "power" else row

    was = actions.run
    rungs = tuple(rung for rung in was.rungs if rung.power == power) or tuple(
        rung.but(power=power) for rung in was.rungs[:1]
    )
    passes = tuple(one if one.kind == "last" else one.but(power=power) for one in was.passes)
    at_power = actions.with_each(typed).but(run=was.but(rungs=rungs, passes=passes))
    return run.but(actions=with_words(at_power, ()))


def with_passes_counted(run: AsRun, passes: int) -> AsRun:
    """The run as the next item gets it: every slice the number of passes that the first one took."""
    run, actions = run.but(passes_counted=passes), run.actions
    if actions is None or not actions.run.passes or not passes:
        return run
    was = actions.run
    power = was.rungs[0].power if was.rungs else was.passes[0].power
    check = min(was.depth_check_after or passes, passes)
    new: dict[str, object] = {"rungs": (Rung(power=power, passes=passes, look_after=check),)}
    if any(one.kind == "removal" for one in was.passes):
        new["counted"] = passes
    else:
        new |= {"passes": tuple(_cuts(was.passes, passes)), "depth_check_after": check}
    # All round pass by pass, or by hand, one pass stays typed, and the file is run so often.
    typed = 1 if was.order == "all round" or was.file_per_slice else passes
    rows = (row.but(value=typed, figure=f"{typed}") if row.id == "passes" else row for row in actions.type)
    counted = actions.but(type=tuple(rows), run=was.but(**new))
    return run.but(actions=with_whole_file(counted, was.files.whole))


def _cuts(steps: tuple[PassStep, ...], passes: int) -> Iterator[PassStep]:
    """So many passes into bare metal; more than were planned go on in the same turn."""
    each = [one for one in steps for _ in range(one.first, one.last + 1)]
    while len(each) < passes:
        each.append(each[-2:][0])
    for _, group in groupby(enumerate(each[:passes], 1), lambda cut: cut[1].fill_direction):
        (first, one), *others = group
        last = others[-1][0] if others else first
        depth_um = one.depth_um and round(one.depth_um * last / one.last, 2)
        yield one.but(first=first, last=last, depth_um=depth_um)


def with_whole_file(actions: Actions, name: str) -> Actions:
    """The actions for a file that holds all slices: none of them is tried first. Faces have a file each."""
    had = actions.run.files
    names = had.faces or (name,)

    def named(row: ActionRow) -> ActionRow:
        if kind_of(row.id) != "file" or not name:
            return row
        place = int(row.id.rpartition("_")[2]) - 1 if row.id != "file" else 0
        return row.but(value=names[place])

    files = Files(whole=names[0], zones=had.zones, faces=had.faces)
    run = actions.run.but(files=files, second_slice=None)
    return with_words(actions.with_each(named).but(run=run), ())


def row_value(row: ActionRow | None) -> float | None:
    """The number of a row; None where there is none."""
    return float(row.value) if row is not None and not isinstance(row.value, str) else None
