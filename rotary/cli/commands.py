"""What each command does; heavy imports happen inside, when a command runs."""

import argparse
import sys
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.output import NO_PASSES, OK, USAGE, complain, say
from rotary.cli.pieces import sources_of
from rotary.errors import FileTrouble, brief
from rotary.services import USUAL_DRAWS, Folders
from rotary.services.jobs import tables_of_job
from rotary.services.papers import setup_card_lines
from rotary.services.planning import plan_for
from rotary.services.profiles import proven_profile

if TYPE_CHECKING:
    from rotary.cli.fronts import Fronts
    from rotary.job import Job
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
    return card(argparse.Namespace(**example, inches=False, out=None, plain=False, over=False))


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


def path_of_job(name: str) -> Path:
    """The file that JOB names: a file of that name, else the shipped example, else the newest of a kept profile."""
    from rotary.files import is_file, is_there
    from rotary.shipped import examples

    path = Path(name)
    shipped = examples()
    if name in shipped and not is_file(path):
        return shipped[name]
    return path if is_there(path) else _kept_path(name) or path


def _kept_path(name: str) -> Path | None:
    """The newest version of a profile of this name; None where nothing is kept under it, or the store can't be read."""
    from rotary.errors import RotaryError
    from rotary.store.keeping import located
    from rotary.store.places import profile_folder, versions

    try:
        folder = profile_folder()
        return versions(folder / located(name, folder).home)[-1].path
    except (RotaryError, IndexError):
        return None


def drawings_folder(name: str) -> Path:
    """The folder from which a job's drawings count: the job's own, or this one where it comes from the store."""
    return Path() if name == "-" or is_profile(name) else path_of_job(name).parent


def is_profile(name: str) -> bool:
    """Whether a job comes from the store, which holds no drawings."""
    from rotary.store.places import profile_folder

    return name != "-" and profile_folder().resolve() in path_of_job(name).resolve().parents


def repeat_of_job(asked: argparse.Namespace) -> "Repeat | None":
    """How the profile stands that JOB names; None where it is a job without a proof."""
    if asked.job == "-":
        return None
    from rotary.cli.again_command import repeat_asked_for

    found = proven_profile(path_of_job(asked.job))
    return None if found is None else repeat_asked_for(found, found.profile.job, asked)


def plan_to_draw(asked: argparse.Namespace, method: str = "") -> "Plan":
    """The plan that files are drawn for: with the numbers that were run, where JOB names a profile that is proven.

    `method` is how what is drawn is divided; a proof of the other way does not hold for it.
    """
    repeat = repeat_of_job(asked)
    if repeat is not None and repeat.run is not None:
        if method and not repeat.job.item.flats and repeat.run.slices > 1 and repeat.run.method != method:
            proven = "rotary sheet" if method == "plain" else "rotary flat"
            say(f"TEST FIRST: what was proven is the file of {proven}. This one needs other numbers.\n")
            return repeat.to_draw(USUAL_DRAWS)
        say(f"{repeat.verdict}: {repeat.banner}\n  drawn for the numbers that were run\n")
        return repeat.to_draw(USUAL_DRAWS)
    return plan_asked_for(asked, USUAL_DRAWS)


def job_of(name: str) -> "Job":
    """The job that JOB names."""
    from rotary.files import LARGEST_JOB_BYTES
    from rotary.job import job_from_bytes, job_from_file

    if name != "-":
        return job_from_file(path_of_job(name))
    if sys.stdin is None:
        raise FileTrouble("there is no standard input to read: name a job file")
    return job_from_bytes(sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1), "the standard input")


def plan_asked_for(asked: argparse.Namespace, draws: int) -> "Plan":
    """The plan of the job, for the machine as measured that is asked for or that the job names."""
    from rotary.rig.store import rig_folder

    return plan_for(named_rig(job_of(asked.job), asked), Folders(machines=rig_folder(asked.rigs)), draws)


def named_rig(job: "Job", asked: argparse.Namespace) -> "Job":
    """The job with the rig that is asked for, if one is; raises FileTrouble where nothing is kept of that one."""
    if getattr(asked, "rig", None) is None:
        return job
    from rotary.files import is_there
    from rotary.rig.store import rig_file, rig_folder

    if not is_there(rig_file(asked.rig, rig_folder(asked.rigs))):
        raise FileTrouble(f"no readings of a machine named {brief(asked.rig)} are kept: keep some with rotary gauge")
    return job.model_copy(update={"rig": asked.rig})


def deliver(text: str, asked: argparse.Namespace) -> None:
    """To the output, or to the file asked for, where lines end with one that says whose they are."""
    if asked.out is None:
        say(text)
        return
    from rotary.artwork.outfiles import MADE_BY, write_file

    whole = text if getattr(asked, "json", False) else f"{text}({MADE_BY})\n"
    write_file(Path(asked.out), whole.encode("utf-8"), sources_of(asked), asked.over)


def refuse_out(asked: argparse.Namespace) -> None:
    """Raise FileTrouble where the file asked for can't be written, before anything is planned."""
    if asked.out is None:
        return
    if not asked.out.strip():
        raise FileTrouble("no file is named after --out: write --out card.txt")
    from rotary.artwork.outfiles import refuse_file

    refuse_file(Path(asked.out), sources_of(asked), asked.over)


def verdict(plan: "Plan") -> int:
    """The exit code of a plan; why there are no passes goes to the error output."""
    if plan.removal.setting is not None:
        return OK
    from rotary.sentences.passes import first_line

    complain(first_line(plan))
    return NO_PASSES


def plan(asked: argparse.Namespace) -> int:
    """The short answer, or the whole plan as JSON."""
    refuse_out(asked)
    if asked.plain:
        from rotary.card.plain import plain_answer as lines_of
    else:
        from rotary.card import answer_lines as lines_of

    repeat = None if asked.json else repeat_of_job(asked)
    if repeat is not None and repeat.run is not None:
        name = brief(repeat.found.profile.kept.name, 80)
        complain(f'this is a new plan; the numbers that were run are printed by: rotary again "{name}"')
    answer = plan_asked_for(asked, asked.draws)
    if answer.job.artwork.pieces:
        from rotary.services.files import with_sizes

        answer = with_sizes(answer, drawings_folder(asked.job))
    text = _json(answer) if asked.json else "\n".join(lines_of(answer, system_of(asked)))
    deliver(text + "\n", asked)
    return verdict(answer)


def _json(answer: "Plan") -> str:
    from rotary.sentences.plan import plan_in_words

    return plan_in_words(answer).model_dump_json(indent=2)


def card(asked: argparse.Namespace) -> int:
    """The setup card."""
    refuse_out(asked)
    repeat = repeat_of_job(asked)
    if repeat is not None:
        from rotary.cli.again_command import printed_repeat

        return printed_repeat(repeat, asked)
    answer = plan_asked_for(asked, asked.draws)
    deliver(card_text(answer, asked), asked)
    return verdict(answer)


def card_text(made: "Plan | None", asked: argparse.Namespace, repeat: "Repeat | None" = None) -> str:
    """The setup card of a plan, or of a kept profile that is run again."""
    from rotary.cli.waiting import waiting

    with waiting("laying out the artwork"):
        return (
            "\n".join(setup_card_lines(made, repeat, drawings_folder(asked.job), system_of(asked), asked.plain)) + "\n"
        )


def system_of(asked: argparse.Namespace) -> str:
    """The system in which lengths are shown."""
    return "in" if asked.inches else "mm"


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
