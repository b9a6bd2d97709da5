"""The setup sheet of a repeat: the actions as they were run, under a banner that says how they stand."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Final, NamedTuple

from rotary.actions.by_hand import is_shimmed, settable
from rotary.actions.duration import TimedRun, job_time
from rotary.actions.models import ActionCaution, Actions
from rotary.card.details import cautions_in_whole
from rotary.card.sheet import SheetFacts, sheet_by_height
from rotary.errors import Refused
from rotary.papers.drawing import PaperPicture
from rotary.papers.model import Paper, Section, Sentences
from rotary.papers.sizes import Sizes
from rotary.pictures.front_page import sheet_picture
from rotary.pictures.scene import MarkedInk
from rotary.plan import Plan
from rotary.repeat.lines import repeat_section
from rotary.repeat.standing import Repeat
from rotary.repeat.today import actions_today
from rotary.sentences.safety import cautions_in_words
from rotary.sentences.turning import notes as turning_notes
from rotary.sentences.turning import risks as turning_risks
from rotary.store.changes import changes_by_plan
from rotary.store.record import AsRun

CAUTIONS: Final = (
    "The cautions of this job can't be worked out today. Ask your laser safety officer before you start.",
    "Enclosure closed, interlock on, eyewear marked for this laser's wavelength.",
    "Run the extraction at the mark. Stay with the machine. Keep sleeves and hair away from what turns.",
)
"""Where there is no plan to take the cautions from. Common practice, no source."""


class RepeatWish(NamedTuple):
    """How the sheet of a repeat is printed: units, day, with reasons behind it; runs that were timed; and what gives
    the ink of what is marked by a plan of it, for the picture."""

    system: str = "mm"
    day: date | None = None
    details: bool = False
    runs: Sequence[TimedRun] = ()
    ink_by: Callable[[Plan], MarkedInk] = MarkedInk


USUAL: Final = RepeatWish()


def repeat_sheet(repeat: Repeat, run: AsRun, wish: RepeatWish = USUAL) -> Callable[[float], Paper]:
    """The sheet of a repeat, by the height of its picture; `run` are the numbers that were run."""
    system, day, details, runs, _ = wish
    drawn = _drawn(repeat)
    time = job_time(drawn, runs) if drawn is not None else None
    actions = actions_today(repeat, run, None, system)
    actions = actions.model_copy(update={"cautions": _cautions(actions, drawn)})
    counted = passes_in_words(actions, run)
    first = repeat_section(repeat, system)
    set_up = _set_up(actions, drawn, system)
    behind = (
        cautions_in_whole(drawn, actions.cautions),
        *([Section("Set up", (Sentences(set_up),))] if set_up else []),
    )
    return sheet_by_height(
        actions,
        SheetFacts(
            name=repeat.job.item.name,
            day=day or date.today(),
            system=system,
            verdict=repeat.verdict,
            lead=repeat.banner,
            banner=drawn.safety.example if drawn else "",
            slices=run.slices,
            facts=(*counted, *(turning_risks(drawn.turning) if set_up and drawn else ())),
            time=time,
            first=(first,),
            details=behind if details else (),
            picture=_picture_of(run, drawn, wish),
            name_of_log=repeat.found.profile.saved.name,
        ),
    )


def _drawn(repeat: Repeat) -> Plan | None:
    """What cautions and setting up are taken from: a plan of the numbers as run, else today's, else none."""
    try:
        return repeat.to_draw()
    except Refused:
        return repeat.made


def _cautions(actions: Actions, drawn: Plan | None) -> tuple[ActionCaution, ...]:
    """Today's cautions; without a plan those that were stored, or the least that holds for any laser."""
    if drawn is not None:
        return cautions_in_words(drawn.safety)
    stored = actions.cautions or tuple(ActionCaution(id=f"any_{at}", level="warn", short=text, long=text)
                                       for at, text in enumerate(CAUTIONS[1:], 1))  # fmt: skip
    return (ActionCaution(id="no_plan", level="stop", short=CAUTIONS[0], long=CAUTIONS[0]), *stored)


def _picture_of(run: AsRun, drawn: Plan | None, wish: RepeatWish) -> Callable[[float], PaperPicture] | None:
    """The picture, where the plan it is drawn from is that of the numbers."""
    if drawn is None or changes_by_plan(run, drawn):
        return None
    return sheet_picture(wish.ink_by(drawn), Sizes(wish.system))


def _set_up(actions: Actions, drawn: Plan | None, system: str) -> tuple[str, ...]:
    """What has to be known of the item on its drive, where today's plan has it lie as it was run."""
    shim = actions.rows.get("shim")
    there_mm = float(shim.value) if shim is not None else 0.0
    if "set_up_1" in actions.rows:
        # An older tool stored them, as they were then.
        return ()
    if drawn is None or there_mm != (settable(abs(drawn.focus.shim_mm)) if is_shimmed(drawn) else 0.0):
        return ()
    return tuple(Sizes(system).texts(turning_notes(drawn.turning)))


def passes_in_words(actions: Actions, run: AsRun) -> tuple[str, ...]:
    """How many passes it took, where somebody counted."""
    if run.passes_counted is not None:
        return (f"You counted {run.passes_counted} passes for each slice.",)
    if any(one.kind == "removal" for one in actions.run.passes):
        return ("You did not note how many passes it took: count them on the first slice.",)
    return ()
