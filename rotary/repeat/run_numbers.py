"""Which numbers a logged run or a proof stores: those of the sheet that was printed, or what the person says."""

from rotary.errors import counted, refuse
from rotary.repeat.run import CameClean, as_came_clean, whole_run, words_stored
from rotary.repeat.standing import Repeat
from rotary.store.changes import changes_by_plan
from rotary.store.record import AsRun


def numbers_run(repeat: Repeat, which: str = "", came: CameClean | int | None = None) -> AsRun | None:
    """The numbers that were run, with their actions; None where nothing was ever planned.

    `came` is what the first slice took, or how many passes alone.

    Where a sheet of a run is printed, those; else today's plan, if it is the one that was saved. Where both differ
    nobody can know but who ran it: raises Refused, unless `which` says "saved" or "now".
    """
    run = _numbers(repeat, which)
    if run is None or came is None:
        return run
    return as_came_clean(run, came if isinstance(came, CameClean) else CameClean(came))


def _numbers(repeat: Repeat, which: str) -> AsRun | None:
    if which not in ("", "saved", "now"):
        raise refuse("numbers", 'write "saved" to use the saved numbers, or "now" to use those of today\'s plan')
    if which == "" and repeat.run is not None:
        run, actions = repeat.run, repeat.run.actions
        # What was rebuilt before stood on the sheet that was followed.
        typed = actions and actions.with_each(lambda row: row.but(rebuilt=None))
        return run.but(actions=typed)
    saved, now = repeat.found.profile.saved.plan, _now(repeat)
    if saved is not None and not words_stored(repeat.found.profile.job, saved):
        saved = None
    if which:
        chosen = saved if which == "saved" else now
        if chosen is None:
            raise refuse(
                "numbers", f"this job has no numbers for --numbers {which}: {repeat.why or 'leave --numbers out'}"
            )
        return chosen
    if saved is None or now is None or repeat.made is None:
        return saved or now
    other = changes_by_plan(saved, repeat.made)
    if other:
        several = f", and {counted(len(other) - 1, 'more change')}" if len(other) > 1 else ""
        says = (
            f"the plan changed since it was saved ({other[0].text}{several}): write --numbers saved or --numbers "
            "now, whichever you ran"
        )
        raise refuse("numbers", says)
    # The drawing was at hand when the job was saved, and need not be now.
    return saved if saved.actions is not None else now


def _now(repeat: Repeat) -> AsRun | None:
    made = repeat.made
    return None if made is None or made.removal.setting is None else whole_run(*repeat.marking.drawn(made))
