"""From the command line: the conversation, then the numbers, the profile and the card."""

import sys
from pathlib import Path
from typing import Final

from rotary.errors import RotaryError
from rotary.files import named_path
from rotary.services.papers import PrintOrder, print_paper, setup_card_lines
from tui.disk import last_machine as machine
from tui.disk.save import save
from tui.drawings.words import sentence
from tui.form.fields import Tables
from tui.form.hints import fault_text, proof_ended, why_not
from tui.form.job_form import Session
from tui.plain.talk import ENTER_KEEPS, StoppedError, Talk, WrongAnswerError
from tui.planner.verdict import judge

OK: Final = 0
REFUSED: Final = 3
STOPPED: Final = 130
PRINTED: Final = (".pdf", ".html", ".htm", ".json")

BLANK: Final[Tables] = {
    "item": {"measurements": [{"at": ""}, {"at": ""}]},
    "turning": {"kind": "rollers"},
}
"""What a conversation from nothing begins with, on the machine saved last: an item measured at two places."""


def run(data: Tables | None, system: str, folder: Path, everything: bool = False, job: Path | None = None) -> int:
    """Ask, answer, keep; the exit code is 0 where a plan came of it. `job` is the file that `data` was read from."""
    in_person = sys.stdin.isatty() and sys.stdout.isatty()
    if data is None:
        kept = machine.read(folder)
        data = {**BLANK, **(machine.with_laser(kept.tables) if kept else {})}
    session = Session(data, system)
    session.kept_file = str(job) if job is not None else ""
    beside = job.parent if job else Path()
    talk = Talk(session, sys.stdin, sys.stdout, in_person, numbers, everything, beside=beside)
    talk.say(
        "Here are questions about a job. Lengths are in " + ("inches" if system == "in" else "mm") + ".", *ENTER_KEEPS
    )
    try:
        talk.through()
    except StoppedError:
        if in_person:
            talk.say("Stopped. Nothing is saved.")
            return STOPPED
        talk.say("", "You gave no more answers, so the rest stays as it is.")
    except WrongAnswerError:
        talk.say("rotary stopped at this answer. Nothing is saved: correct the answer, and start again.")
        return REFUSED
    talk.say("", *numbers(session))
    if session.plan is None or session.faults():
        return REFUSED
    try:
        _offers(talk, folder, job)
    except StoppedError:
        talk.say("Stopped: rotary writes nothing more.")
    except WrongAnswerError:
        return REFUSED
    return OK


def numbers(session: Session) -> list[str]:
    """The answer as it stands, in the order in which it is keyed in; or what is still missing, in sentences."""
    session.accept(judge(session.request()))
    faults = session.faults()
    if faults or session.plan is None:
        return ["There are no numbers yet.", *(fault_text(session, key, says) for key, says in faults.items())]
    from rotary.services.actions import actions_for, short_answer
    from tui.planner.repeat import plain_repeat

    if session.repeat is not None and session.repeat.rows:
        return plain_repeat(session.repeat)
    actions = actions_for(session.plan, Path(), None, session.system)
    return [*proof_ended(session), *short_answer(session.plan, actions, session.system, plain=True)]


def _offers(talk: Talk, folder: Path, job: Path | None) -> None:
    session = talk.session
    if talk.yes("Save this job?"):
        trouble = save(session, folder, job.parent if job else Path())
        talk.say(
            f"Not saved: {sentence(why_not(session, trouble))}"
            if trouble
            else f"Saved: {session.saved_as.splitlines()[0]}."
        )
    name = talk.read(
        "Write a setup sheet? Type a name such as setup.pdf to print, or setup.txt for plain lines. Press Enter "
        "for no sheet"
    )
    if name:
        _write_card(talk, named_path(name), folder, job)


def _write_card(talk: Talk, path: Path, folder: Path, job: Path | None) -> None:
    """The card: as it is printed where the name asks for a printed kind, else in plain lines; never over the job."""
    from rotary.artwork.outfiles import MADE_BY, write_file
    from rotary.files import is_there
    from rotary.job import job_from_data
    from tui.planner.repeat import repeat_of_kept

    session, beside, sources = talk.session, job.parent if job else Path(), (job,) if job else ()
    if is_there(path) and not talk.yes(f"There is already a file {path.name}. Replace this file?"):
        talk.say("The setup sheet is not written.")
        return
    try:
        typed = job_from_data(session.data(), units=session.system)
        repeat = repeat_of_kept(session.today, typed, session.plan, session.system)
        if path.suffix.lower() in PRINTED:
            order = PrintOrder(
                "setup",
                path,
                system=session.system,
                beside=beside,
                folder=folder,
                sources=sources,
                repeat=repeat,
                over=True,
            )
            print_paper(session.plan, order)
        else:
            order = PrintOrder(
                "setup", Path("sheet.txt"), system=session.system, beside=beside, sources=sources, repeat=repeat
            )
            card = setup_card_lines(session.plan, order, plain=True)
            write_file(path, "\n".join([*card, f"({MADE_BY})", ""]).encode("utf-8"), sources, over=True)
    except RotaryError as trouble:
        talk.say(f"The setup sheet is not written: {trouble}.")
        return
    talk.say(f"The setup sheet is in the file {path.name}.")
