"""A plan as it is run: its numbers, and all that is typed and done, in words."""

from rotary.actions.build import actions_of
from rotary.actions.files import Drawn
from rotary.actions.models import ActionRow, Actions, Files, Rung
from rotary.plan import Plan
from rotary.sentences.actions import with_words
from rotary.sentences.cautions import cautions
from rotary.store.record import AsRun, as_run


def whole_run(plan: Plan, drawn: Drawn | None = None) -> AsRun:
    """A plan's numbers with its actions; `drawn` is what is known of its files."""
    done = with_words(actions_of(plan, drawn), cautions(plan.safety))
    return as_run(plan).model_copy(update={"actions": done})


def with_passes_counted(run: AsRun, passes: int) -> AsRun:
    """The run as the next item gets it: every slice the number of passes that the first one took."""
    run, actions = run.model_copy(update={"passes_counted": passes}), run.actions
    if actions is None or not any(one.kind == "removal" for one in actions.run.passes):
        return run
    was = actions.run
    power = was.rungs[0].power if was.rungs else was.passes[0].power
    # All round pass by pass, or by hand, one pass stays typed, and the file is run so often.
    typed = 1 if was.order == "all round" or was.file_per_slice else passes
    rung = Rung(power=power, passes=passes, look_after=passes)
    counted = actions.model_copy(
        update={
            "type": tuple(
                row.model_copy(update={"value": typed, "figure": f"{typed}"}) if row.id == "passes" else row
                for row in actions.type
            ),
            "run": was.model_copy(update={"counted": passes, "rungs": (rung,)}),
        }
    )
    return run.model_copy(update={"actions": with_whole_file(counted, was.files.whole)})


def with_whole_file(actions: Actions, name: str) -> Actions:
    """The actions for a file that holds all slices: none of them is tried first."""

    def named(row: ActionRow) -> ActionRow:
        return row.model_copy(update={"value": name}) if row.id == "file" and name else row

    files = Files(whole=name, zones=actions.run.files.zones)
    run = actions.run.model_copy(update={"files": files, "second_slice": None})
    return with_words(actions.with_each(named).model_copy(update={"run": run}), ())


def row_value(row: ActionRow | None) -> float | None:
    """The number of a row; None where there is none."""
    return float(row.value) if row is not None and not isinstance(row.value, str) else None
