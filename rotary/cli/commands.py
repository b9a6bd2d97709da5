"""What each command does; heavy imports happen inside, when a command runs."""

import argparse
import sys
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.answers import deliver, refuse_out, verdict
from rotary.cli.jobs import (
    drawings_folder,
    path_of_job,
    plan_asked_for,
    plan_of_marks_asked_for,
    repeat_of_job,
    system_of,
)
from rotary.cli.output import OK, USAGE, complain, say
from rotary.errors import FileTrouble, Refused, brief
from rotary.services import USUAL_DRAWS
from rotary.services.jobs import tables_of_job

if TYPE_CHECKING:
    from rotary.actions.models import Actions
    from rotary.cli.fronts import Fronts
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


def start(asked: argparse.Namespace) -> int:
    """No command: the desk, or the card of a shipped example where there is no terminal."""
    if asked.version:
        from rotary.shipped import tool_version

        say(f"rotary {tool_version()}\n")
        return OK
    if _in_terminal():
        return _open_desk(None, asked)
    from rotary.shipped import FIRST

    example = {"job": FIRST, "draws": USUAL_DRAWS, "rig": None, "rigs": None}
    from rotary.cli.paper_commands import card_in_lines

    return card_in_lines(argparse.Namespace(**example, inches=False, out=None, plain=False, over=False))


def _in_terminal() -> bool:
    # The desk is drawn on the third of them, so that one led to a file would leave a blank screen.
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def desk(asked: argparse.Namespace) -> int:
    """Open the desk."""
    if not _in_terminal():
        complain("the desk needs a terminal; for plain text write: rotary card JOB")
        return USAGE
    if asked.job is None:
        return _open_desk(None, asked)
    path = path_of_job(asked.job)
    # A file that is only unfinished is for the desk to mend.
    tables_of_job(path, asked.job)
    return _open_desk(str(path), asked)


def _open_desk(job_path: str | None, asked: argparse.Namespace) -> int:
    fronts: Fronts = asked.fronts
    try:
        return fronts.desk(job_path)
    except ModuleNotFoundError as missing:
        raise FileTrouble(
            f"the desk can't open, {missing.name} is not installed: install it, or write: rotary card JOB"
        ) from None


def plan(asked: argparse.Namespace) -> int:
    """The short answer, or the whole plan as JSON."""
    refuse_out(asked)
    if asked.plain:
        from rotary.card.plain import plain_answer as lines_of
    else:
        from rotary.card import answer_lines as lines_of

    repeat = repeat_of_job(asked)
    if repeat is not None and repeat.run is not None and not asked.json:
        name = brief(repeat.found.profile.kept.name, 80)
        complain(f'this is a new plan; the numbers that were run are printed by: rotary again "{name}"')
    try:
        answer, beside = plan_asked_for(asked, asked.draws), drawings_folder(asked.job)
    except Refused as refused:
        if asked.json and asked.out is None:
            say(_json_of_refused(refused))
        raise
    if answer.job.artwork.pieces:
        from rotary.services.files import with_sizes

        answer = with_sizes(answer, beside)
    system = system_of(asked)
    try:
        answer = plan_of_marks_asked_for(answer, asked, asked.draws)
        # In lines they are the numbers of a new plan, whatever was proven.
        proven = repeat if asked.json else None
        answer, actions = _with_actions(answer, beside, proven, "mm" if asked.json else system)
    except Refused as refused:
        actions = _refused_actions(refused, bool(answer.safety.example))
    if asked.json:
        from rotary.sentences.plan import plan_in_words

        text = plan_in_words(answer, actions).model_dump_json(indent=2)
    else:
        text = "\n".join(lines_of(answer, system, actions))
    deliver(text + "\n", asked)
    return verdict(answer)


def _with_actions(answer: "Plan", beside: Path, repeat: "Repeat | None", system: str) -> "tuple[Plan, Actions]":
    """The plan and what a person does for it; of words as their files are laid out."""
    from rotary.services.actions import actions_for

    if not answer.job.is_inscribed:
        return answer, actions_for(answer, beside, repeat, system)
    from rotary.inscription.actions import drawn_marks

    whole, drawn = drawn_marks(answer, beside)
    actions = actions_for(answer, beside, repeat, system, lambda *_: (whole, drawn))
    return whole.model_copy(update={"job": answer.job}), actions


def _refused_actions(refused: Refused, example: bool = False) -> "Actions":
    """How the job stands that can't be planned, and what to fill in."""
    from rotary.actions.build import actions_of_refused
    from rotary.sentences.actions import with_words

    return with_words(actions_of_refused(refused.faults, example), ())


def _json_of_refused(refused: Refused) -> str:
    import json

    actions = _refused_actions(refused)
    return json.dumps({"actions": actions.model_dump(mode="json")}, indent=2, ensure_ascii=False) + "\n"


def examples(asked: argparse.Namespace) -> int:
    """The shipped examples."""
    from rotary.shipped import examples as shipped_examples

    shipped = shipped_examples()
    if asked.name is None:
        wide = max(map(len, shipped))
        notes = {name: tomllib.loads(_text_of(path)).get("note", "") for name, path in shipped.items()}
        say("".join(f"{name.ljust(wide)}  {note}\n" for name, note in notes.items()))
        return OK
    if asked.name not in shipped:
        raise FileTrouble(f"there is no example {brief(asked.name)}: write one of {', '.join(shipped)}")
    say(_text_of(shipped[asked.name]))
    return OK


def _text_of(example: Path) -> str:
    from rotary.files import bytes_of_job_file

    return bytes_of_job_file(example).decode("utf-8")


def schema(asked: argparse.Namespace) -> int:
    """The schemas of the files."""
    import json

    if asked.of == "job":
        from rotary.job import job_schema

        schema = job_schema()
    elif asked.of == "profile":
        from rotary.store.schema import profile_schema

        schema = profile_schema()
    else:
        from rotary.sentences.plan import plan_schema

        schema = plan_schema()
    say(json.dumps(schema, indent=2, ensure_ascii=False) + "\n")
    return OK
