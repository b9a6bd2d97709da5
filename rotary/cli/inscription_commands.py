"""What the commands about inscriptions and depth do."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from rotary.cli.jobs import job_of, path_of_job, repeat_of_job
from rotary.cli.output import OK, say
from rotary.cli.pieces import over_of
from rotary.cli.waiting import waiting
from rotary.errors import brief, refuse
from rotary.services.planning import plan_for

if TYPE_CHECKING:
    from collections.abc import Callable

    from rotary.inscription.names import LetterSizes
    from rotary.inscription.whole import Whole
    from rotary.job import Job
    from rotary.passes.learning.depth import DepthReading
    from rotary.plan import Plan
    from rotary.wording import InscriptionWish

_FIELD_OF: Final = {"height": "letter_height", "least": "least_height", "band_from": "from", "band_to": "to"}
"""Options that have another name than the field they fill."""

_TAKEN_BACK: Final = "none"
"""What an option says to leave open what the job file has fixed."""


def _wish(asked: argparse.Namespace, job: "Job") -> "InscriptionWish":
    """What the job says of its inscription, and over it what the options say."""
    from rotary.faults import model_from_texts
    from rotary.inscription.setting import with_font_path
    from rotary.wording import InscriptionWish

    named = {_FIELD_OF.get(option, option): value for option, value in vars(asked).items() if value is not None}
    fields = {info.alias or key for key, info in InscriptionWish.model_fields.items()}
    given: dict[str, Any] = {field: value for field, value in named.items() if field in fields}
    if asked.text is not None:
        given["text"] = asked.text.replace("\\n", "\n")
    if asked.more is not None:
        given["more"] = tuple(text.replace("\\n", "\n") for text in asked.more)
    open_again = {
        key: info.default
        for key, info in InscriptionWish.model_fields.items()
        if given.get(info.alias or key) == _TAKEN_BACK and info.default is None
    }
    given = {key: value for key, value in given.items() if value != _TAKEN_BACK or key == "text"}
    typed = with_font_path(model_from_texts(InscriptionWish, given), Path())
    kept = job.inscription or InscriptionWish()
    if typed.font is None and "font" not in open_again:
        # A font that the job names counts from where the job lies, as its drawings do.
        kept = with_font_path(kept, path_of_job(asked.job).parent if asked.job != "-" else Path())
    over = {key: getattr(typed, key) for key in typed.model_fields_set}
    return kept.model_copy(update={**open_again, **over})


def inscribe(asked: argparse.Namespace) -> int:
    """Size an inscription, and write it where a folder is named."""
    from rotary.artwork.outfiles import refuse_folder
    from rotary.cli.paper_commands import refuse_card
    from rotary.rig.machine import on_its_rig

    if asked.folder is not None:
        refuse_folder(Path(asked.folder))
        refuse_card(asked)
    written = job_of(asked.job)
    job, wish = on_its_rig(written), _wish(asked, written)
    if asked.table is not None or asked.numbers is not None:
        return _list(asked, job, wish)
    if asked.folder is None:
        if asked.card is not None:
            raise refuse("card", "is written with the files that it goes with; write --to and a folder beside it")
        from rotary.examples import banner
        from rotary.inscription.card import inscription_lines
        from rotary.inscription.work import deepened, size

        deepened(job, wish)  # on a coated item no depth can be had, which need not wait for the files
        first = [banner(job.head.use), ""] if job.head.use else []
        say("\n".join([*first, *inscription_lines(wish, size(job, wish).facts)]) + "\n")
        return OK
    from rotary.inscription.whole import inscribed

    whole = inscribed(job, wish, Path(asked.folder), _planner(asked), over_of(asked))
    wrote = [f"wrote {brief(whole.card, 200)}"]
    if asked.card is not None:
        wrote += _paper(asked, job, wish, whole)
    say("\n".join([*whole.lines, "", *(f"  {line}" for line in wrote)]) + "\n")
    return OK


def _planner(asked: argparse.Namespace) -> "Callable[[Job], Plan]":
    """What plans the words: with the numbers that were run, where JOB names a profile that is proven."""
    repeat = repeat_of_job(asked)
    if repeat is None or repeat.run is None:
        return plan_for
    from rotary.repeat.holding import DRAWS, plan_as_run

    say(f"{repeat.verdict}: {repeat.banner}\n  drawn for the numbers that were run\n")
    run = repeat.run
    return lambda words: plan_as_run(repeat.machine.corrected(words), run, DRAWS)


def _paper(asked: argparse.Namespace, job: "Job", wish: "InscriptionWish", whole: "Whole") -> list[str]:
    """The card as a paper of one look with all others."""
    from rotary.cli.paper_commands import write_paper
    from rotary.inscription.paper import inscription_by_height
    from rotary.inscription.work import deepened, forecast, stand_in

    done = whole.done
    stands_in = done.made if done.made is not None else stand_in(deepened(job, wish), plan_for)
    files, says = [path.name for path in done.paths], forecast(done).says
    paper = inscription_by_height(wish, done.facts, files, done.made, stands_in, says, tried_on=done.tried_on)
    return write_paper(paper, asked)


def _list(asked: argparse.Namespace, job: "Job", wish: "InscriptionWish") -> int:
    from rotary.inscription.names import from_list, from_numbers, names, number_range
    from rotary.series.results import ListWish

    if asked.folder is None:
        raise refuse("to", "says where a list is written; write --to and a new folder")
    if asked.table is not None and asked.numbers is not None:
        raise refuse("numbers", "and a list can't both be given; leave one out")
    notes: tuple[str, ...] = ()
    sign = ","
    if asked.table is not None:
        wanted, notes, sign = from_list(Path(asked.table), asked.column, wish.text)
    else:
        wanted = from_numbers(*number_range(asked.numbers), asked.digits, wish.text)

    def misfits(sizes: "LetterSizes") -> None:
        found = sizes.misfits
        if not found:
            return
        lines = [f"  line {one.line}: {brief(one.name, 30)}: {one.why}" for one in found[:50]]
        more = [f"  and {len(found) - 50} more, all in the table"] if len(found) > 50 else []
        say("\n".join([f"{len(found)} can't be cut:", *lines, *more]) + "\n")

    folder = Path(asked.folder)
    with waiting("drawing the list") as tell:
        made = names(job, wish, wanted, folder, ListWish(asked.each, sign, notes), misfits, tell, plan_for)
    cut = len(made.entries) - made.misfits
    title = f"{cut} of {len(made.entries)} written to {brief(folder, 150)}, and {made.table} with all of them"
    say("\n".join([title, *(f"  - {note}" for note in made.notes)]) + "\n")
    return OK


def depth(asked: argparse.Namespace) -> int:
    """Passes for a depth, with what the gauge teaches."""
    from rotary.inscription.card import depth_lines
    from rotary.inscription.depths import depth_of
    from rotary.rig.machine import on_its_rig
    from rotary.store.depths import FILE_NAME, add_depths, depths_in, keep_depths
    from rotary.store.places import profile_folder

    if asked.kept or asked.strike is not None:
        return _kept(asked)
    job = on_its_rig(job_of(asked.job))
    new = [_reading(text, asked.resolution) for text in asked.gauged or ()]
    folder = profile_folder(asked.folder)
    if asked.keep and not new:
        raise refuse("keep", 'keeps what a gauge said; write with it for example --gauged "10 = 18 um"')
    path = Path(asked.readings) if asked.readings else folder / FILE_NAME
    old = depths_in(path)
    words = job.inscription.depth_um if job.inscription is not None else None
    found = depth_of(job, _wanted_um(asked.wanted) or words, (*old, *new))
    stamped = [one.model_copy(update=found.stamp) for one in new]
    lines = depth_lines(found.answer, found.warmth, found.time_s, found.notes)
    if asked.readings and new:
        keep_depths((*old, *stamped), path)
    if asked.keep:
        many = len(add_depths(stamped, folder))
        lines.append(f"  kept in {brief(folder / FILE_NAME, 150)}, {many} in all: cards and plans go by them")
    elif new and not asked.readings:
        lines.append("  not kept: add --keep, and every card and plan of this metal and head goes by it")
    say("\n".join(lines) + "\n")
    return OK


def _kept(asked: argparse.Namespace) -> int:
    """The depths that are kept, after one was struck out where that is asked for."""
    from rotary.store.depths import depth_readings, depth_text, strike_depth
    from rotary.store.places import profile_folder

    folder = profile_folder(asked.folder)
    if asked.strike is not None:
        strike_depth(asked.strike, folder)
    lines = [depth_text(number, one) for number, one in enumerate(depth_readings(folder), 1)]
    say("".join(f"  {line}\n" for line in lines) or "  none is kept yet\n")
    return OK


def _wanted_um(text: str | None) -> float | None:
    if text is None:
        return None
    from rotary.faults import model_from_texts
    from rotary.wishes import Wishes

    return model_from_texts(Wishes, {"depth": text}).depth_um


def _reading(text: str, resolution: str) -> "DepthReading":
    from rotary.faults import model_from_texts
    from rotary.passes.learning.depth import DepthReading

    passes, sign, deep = text.partition("=")
    if not sign:
        raise refuse("gauged", f'{brief(text)} is no reading; write passes and depth, for example "10 = 18 um"')
    count = passes.strip()
    given = {"passes": int(count) if count.isdecimal() and len(count) < 8 else count, "depth": deep.strip()}
    return model_from_texts(DepthReading, {**given, "resolution": resolution})
