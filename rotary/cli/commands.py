"""What each command does; heavy imports happen inside, when a command runs."""

import argparse
import sys
import tomllib
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.options import USUAL_DRAWS
from rotary.cli.output import NO_PASSES, OK, USAGE, complain, say
from rotary.cli.pieces import sources_of
from rotary.errors import FileTrouble, brief

if TYPE_CHECKING:
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
        return _open_desk(None)
    from rotary.shipped import FIRST

    return card(argparse.Namespace(job=FIRST, draws=USUAL_DRAWS, inches=False, out=None, plain=False, over=False))


def _in_terminal() -> bool:
    # The desk is drawn on the third of them, so that one led to a file would leave a blank screen.
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def desk(asked: argparse.Namespace) -> int:
    """Open the desk."""
    if not _in_terminal():
        complain("the desk needs a terminal; for plain text write: rotary card JOB")
        return USAGE
    if asked.job is None:
        return _open_desk(None)
    from rotary.files import bytes_of_job_file, toml_tables

    path = path_of_job(asked.job)
    raw = bytes_of_job_file(path)
    try:
        toml_tables(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        from rotary.job import job_from_bytes

        # It says in words what is wrong; a file that is only unfinished is for the desk to mend.
        job_from_bytes(raw, brief(asked.job, 80))
    return _open_desk(str(path))


def _open_desk(job_path: str | None) -> int:
    # The desk sits on this core, so the core knows it by name only, and only here.
    try:
        answer = import_module("tui.start").run(job_path)
    except ModuleNotFoundError as missing:
        raise FileTrouble(
            f"the desk can't open, {missing.name} is not installed: install it, or write: rotary card JOB"
        ) from None
    return answer if isinstance(answer, int) else OK


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
    from rotary.errors import RotaryError
    from rotary.store.keeping import profile_in

    try:
        found = profile_in(path_of_job(asked.job))
    except RotaryError:
        # What is wrong with it is said by whoever reads it as a job.
        return None
    if found is None or found.profile.kept.proof is None:
        return None
    return repeat_asked_for(found, found.profile.job, asked)


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
    return planned(for_machine(asked))


def job_of(name: str) -> "Job":
    """The job that JOB names."""
    from rotary.files import LARGEST_JOB_BYTES
    from rotary.job import job_from_bytes, job_from_file

    if name != "-":
        return job_from_file(path_of_job(name))
    if sys.stdin is None:
        raise FileTrouble("there is no standard input to read: name a job file")
    return job_from_bytes(sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1), "the standard input")


def planned(job: "Job", draws: int = USUAL_DRAWS) -> "Plan":
    """The plan of a job, with what the kept readings of its coating teach, or the gauged depths of its bare metal.

    The draws choose the setting, and with it the focal plane that a sheet is drawn for: what goes with the card must
    be planned with as many as the card.
    """
    from rotary.plan import plan as plan_of
    from rotary.store.depths import depth_readings
    from rotary.store.places import profile_folder
    from rotary.store.readings import readings_in

    folder = profile_folder()
    return plan_of(on_named_rig(job), draws, readings_in(folder), depth_readings(folder))


def on_named_rig(job: "Job") -> "Job":
    """The job for the machine as measured that it names; the same job where it names none."""
    if not job.rig:
        return job
    from rotary.rig.machine import on_its_rig

    return on_its_rig(job)


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
    answer = planned(for_machine(asked), asked.draws)
    if answer.job.artwork.pieces:
        from rotary.written import with_sizes

        answer = with_sizes(answer, drawings_folder(asked.job))
    text = _json(answer) if asked.json else "\n".join(lines_of(answer, system_of(asked)))
    deliver(text + "\n", asked)
    return verdict(answer)


def _json(answer: "Plan") -> str:
    from rotary.sentences.plan import worded

    return worded(answer).model_dump_json(indent=2)


def card(asked: argparse.Namespace) -> int:
    """The setup card."""
    refuse_out(asked)
    repeat = repeat_of_job(asked)
    if repeat is not None:
        from rotary.cli.again_command import printed_repeat

        return printed_repeat(repeat, asked)
    if asked.plain:
        from rotary.card.plain import plain_card as lines_of
    else:
        from rotary.card import card_lines as lines_of

    answer = with_artwork(planned(for_machine(asked), asked.draws), asked.job)
    deliver("\n".join(lines_of(answer, system_of(asked))) + "\n", asked)
    return verdict(answer)


def with_artwork(made: "Plan", name: str) -> "Plan":
    """The plan with what the sheet of the job's own artwork will show, for the card."""
    from rotary.cli.waiting import waiting
    from rotary.written import with_real_sheet

    with waiting("laying out the artwork"):
        return with_real_sheet(made, drawings_folder(name))


def for_machine(asked: argparse.Namespace) -> "Job":
    """The job, with drive, head and tolerances of the rig that was asked for."""
    job = job_of(asked.job)
    if getattr(asked, "rig", None) is None:
        return job
    from rotary.cli.measured import named_rig
    from rotary.rig.machine import on_its_rig
    from rotary.rig.store import rig_folder

    return on_its_rig(named_rig(job, asked), rig_folder(asked.rigs))


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
