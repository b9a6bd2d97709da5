"""What the commands about papers do: the card in the kind of file asked for, single pictures, every other paper."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, cast

from rotary.cli import jobs
from rotary.cli.answers import card_text, deliver, refuse_out, verdict
from rotary.cli.output import OK, say
from rotary.cli.pieces import over_of, sources_of
from rotary.errors import FileTrouble, brief
from rotary.services.artwork import drawing_files
from rotary.services.papers import PrintOrder, forecast_of, kind_of, outlines, print_paper
from rotary.services.patches import window_taught
from rotary.services.planning import plan_for

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rotary.papers.model import Paper
    from rotary.plan import Plan
    from rotary.printer import SheetName
    from rotary.repeat.standing import Repeat
    from rotary.services.papers import PaperName


def card(asked: argparse.Namespace) -> int:
    """The setup card: plain text to the output, or a file of the kind that its name ends with."""
    if asked.to is None:
        if asked.picture is not None:
            raise FileTrouble("a picture is written to a file: write --to picture.svg beside --picture")
        if asked.forecast is not None:
            raise FileTrouble("a forecast is a picture, which plain lines have not: write --to card.pdf beside it")
        return card_in_lines(asked)
    refuse_two_kinds(asked)
    ready(asked, None if asked.picture is not None else "setup-card")
    repeat = None if asked.picture or asked.forecast else jobs.repeat_of_job(asked)
    if repeat is not None:
        return printed_repeat(repeat, asked)
    made = jobs.plan_asked_for(asked, asked.draws)
    if asked.picture is not None:
        return _picture(made, asked)
    return put_on_paper(made, asked, "setup-card")


def card_in_lines(asked: argparse.Namespace) -> int:
    """The setup card as lines, to the output or a file."""
    refuse_out(asked)
    repeat = jobs.repeat_of_job(asked)
    if repeat is not None:
        return printed_repeat(repeat, asked)
    answer = jobs.plan_asked_for(asked, asked.draws)
    deliver(card_text(answer, asked), asked)
    return verdict(answer)


def printed_repeat(repeat: "Repeat", asked: argparse.Namespace) -> int:
    """To the output, or as a paper: the sheet as run, else the card of today's plan."""
    if getattr(asked, "anew", False):
        repeat = repeat.as_planned_anew()
    if repeat.run is None and repeat.made is None:
        # It is refused again, with every fault.
        plan_for(repeat.machine.corrected(repeat.job), draws=0)
    if getattr(asked, "to", None) is not None:
        refuse_two_kinds(asked)
        return put_on_paper(repeat.made, asked, "setup-card", repeat, (repeat.found.version.path,))
    answer = None if repeat.run is not None else repeat.today()
    if getattr(asked, "json", False):
        from rotary.repeat.telling import repeat_json
        from rotary.services.actions import actions_of_repeat

        actions = actions_of_repeat(repeat, jobs.drawings_folder(asked.job)) if repeat.run is not None else None
        deliver(repeat_json(repeat, actions) + "\n", asked)
    else:
        deliver(card_text(answer, asked, repeat), asked)
    return OK if answer is None else verdict(answer)


def refuse_two_kinds(asked: argparse.Namespace) -> None:
    """Raise FileTrouble where a file is set as a paper and asked for as lines, too."""
    if asked.plain:
        raise FileTrouble("plain lines go to the output or to a file after --out: leave --to out")
    if asked.out is not None:
        raise FileTrouble("--out and --to both name a file: write one of them")


def paper(asked: argparse.Namespace) -> int:
    """Any paper of a job."""
    if asked.paper_name != "proof-patch" and (asked.new or asked.patch is not None):
        raise FileTrouble("--patch and --new are for a proof-patch alone: leave them out")
    ready(asked, asked.paper_name)
    repeat = jobs.repeat_of_job(asked) if asked.paper_name in ("setup-card", "slice-sheet") else None
    if repeat is not None and (repeat.run is not None or asked.paper_name == "setup-card"):
        return put_on_paper(repeat.made, asked, asked.paper_name, repeat)
    made = jobs.plan_asked_for(asked, asked.draws)
    return put_on_paper(made, asked, asked.paper_name)


def ready(asked: argparse.Namespace, name: "PaperName | None") -> None:
    """Raise FileTrouble where the file can't be written, or not as that paper, before anything is planned."""
    from rotary.artwork.outfiles import refuse_file

    path = _file(asked)
    if name is not None:
        kind_of(PrintOrder(name, path))
    refuse_file(path, sources_of(asked), asked.over)


def _beside(asked: argparse.Namespace) -> Path:
    return jobs.drawings_folder(asked.job)


def _sources(asked: argparse.Namespace, made: "Plan") -> tuple[Path, ...]:
    """What the paper is made from: the job file and the artwork that it names."""
    job = () if asked.job == "-" else (jobs.path_of_job(asked.job),)
    return (*job, *drawing_files(made.job, _beside(asked)))


def put_on_paper(
    made: "Plan | None",
    asked: argparse.Namespace,
    name: "PaperName",
    repeat: "Repeat | None" = None,
    sources: "Sequence[Path]" = (),
) -> int:
    """Write a paper of a plan to the file after --to, never over `sources`; `repeat` is a profile that is run again."""
    from rotary.cli.waiting import waiting
    from rotary.store.places import profile_folder

    order = PrintOrder(
        paper=name,
        path=_file(asked),
        sheet=cast("SheetName | None", asked.paper),
        system=jobs.system_of(asked),
        beside=_beside(asked),
        folder=profile_folder(getattr(asked, "folder", None)),
        sources=(*sources, *(_sources(asked, made) if made else ())),
        repeat=repeat,
        over=over_of(asked),
        forecast=Path(asked.forecast) if getattr(asked, "forecast", None) else None,
        patch=getattr(asked, "patch", None),
        new_patch=getattr(asked, "new", False),
    )
    with waiting("setting the paper") as tell:
        done = print_paper(made, order, tell)
    wrote = "".join(f"wrote {brief(path, 200)}\n" for path in done.paths)
    say(wrote + "".join(f"  - {text}\n" for text in done.says))
    return verdict(made) if made and not (repeat and repeat.run) else OK


def _file(asked: argparse.Namespace) -> Path:
    if not asked.to.strip():
        raise FileTrouble("no file is named after --to: write --to card.pdf")
    return Path(asked.to)


def _picture(made: "Plan", asked: argparse.Namespace) -> int:
    """One picture by itself, at true size."""
    from rotary.artwork.outfiles import write_file
    from rotary.cli.waiting import waiting
    from rotary.papers.formats import ending_of, picture_document
    from rotary.pictures import picture
    from rotary.store.places import profile_folder
    from rotary.store.readings import readings_in

    path, name, system = _file(asked), asked.picture, jobs.system_of(asked)
    ending = ending_of(path)
    if (name == "forecast") != (asked.forecast is not None):
        raise FileTrouble("the picture of a forecast needs its file: write --picture forecast --forecast sheet.svg")
    with waiting("drawing the picture") as tell:
        rings, trouble = outlines(made, _beside(asked)) if name in ("unrolled", "forecast") else (None, "")
        if name == "forecast":
            drawn = forecast_of(made, Path(asked.forecast), rings, system, (160.0, 110.0), tell)
        else:
            seen = window_taught(made, readings_in(profile_folder())) if name == "window" else None
            drawn = picture(made, name, system, rings=rings, seen=seen)
        write_file(path, picture_document(drawn, ending).data, _sources(asked, made), asked.over)
    says = [f"{drawn.title}: {drawn.says}", *([trouble] if trouble else [])]
    say(f"wrote {brief(path, 200)}\n" + "".join(f"  - {text}\n" for text in says))
    return verdict(made)


def refuse_card(asked: argparse.Namespace) -> None:
    """Raise FileTrouble where the paper after --card can't be written, before any long work."""
    from rotary.artwork.outfiles import refuse_file
    from rotary.papers.formats import ending_of

    if asked.card is not None:
        ending_of(Path(asked.card))
        refuse_file(Path(asked.card), sources_of(asked), asked.over)


def write_paper(make: "Callable[[float], Paper]", asked: argparse.Namespace) -> list[str]:
    """Write a paper to the file after --card, never over the job; the lines that say so."""
    from rotary.artwork.outfiles import write_file
    from rotary.papers.formats import document, ending_of
    from rotary.printer import usual_sheet

    path, sheet = Path(asked.card), asked.paper or usual_sheet()
    done = document(make, ending_of(path), sheet, fits_a_page=True)
    write_file(path, done.data, sources_of(asked), asked.over)
    return [f"wrote {brief(path, 200)}, for {sheet}"]
