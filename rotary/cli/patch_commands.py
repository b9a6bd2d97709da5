"""What the commands about proof patches and readings do; heavy imports happen inside, when a command runs."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.jobs import job_of, system_of
from rotary.cli.output import OK, say
from rotary.cli.pieces import sources_of
from rotary.errors import Fault, Refused, brief, refuse
from rotary.services import USUAL_DRAWS, Folders
from rotary.services.patches import next_patch, suggestions_for, window_taught
from rotary.services.planning import plan_for

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rotary.job import Job
    from rotary.passes.learning.coating import Learned
    from rotary.passes.learning.reading import Reading
    from rotary.passes.patch.cells import PatchToMark
    from rotary.store.patch import PatchWish


def _job(asked: argparse.Namespace) -> "Job":
    from rotary.rig.machine import on_its_rig

    return on_its_rig(job_of(asked.job))


def _folder(asked: argparse.Namespace) -> Path:
    from rotary.store.places import profile_folder

    return profile_folder(asked.folder)


def _learned(job: "Job", readings: "tuple[Reading, ...]", draws: int) -> "Learned | None":
    from rotary.passes.learning.coating import learned

    return learned(job.item, job.head, readings, draws)


def patch(asked: argparse.Namespace) -> int:
    """Choose the cells, or take those of a patch that is still to be read; print and draw them."""
    from rotary.artwork.outfiles import refuse_file, write_file
    from rotary.card.patch_paper import patch_paper
    from rotary.papers.text import text_lines
    from rotary.passes.patch.drawing import patch_svg

    if asked.svg is not None:
        refuse_file(Path(asked.svg), sources_of(asked), asked.over)
    job, folder = _job(asked), _folder(asked)
    to_mark = next_patch(job, folder, _wish(asked), max(asked.draws, USUAL_DRAWS))
    if asked.svg is not None:
        write_file(Path(asked.svg), patch_svg(to_mark.record).encode("utf-8"), sources_of(asked), asked.over)
    if asked.json:
        say(_patch_json(to_mark))
        return OK
    made = plan_for(job, Folders(folder), 0)
    say("\n".join(text_lines(patch_paper(to_mark, made, system_of(asked), date.today()))) + "\n")
    say("".join(f"  - {text}\n" for text in to_mark.says))
    number = to_mark.record.name.removeprefix("patch ")
    how = f"rotary read-patch {asked.job} --patch {number} 1=covered,clear 2=haze ..."
    say(f"\nThe cells are kept. When they are marked: {how}\n")
    return OK


def _wish(asked: argparse.Namespace) -> "PatchWish":
    """Which patch is asked for; raises Refused where a kept one is asked for with cells that it may not have."""
    from rotary.store.patch import PatchWish

    if asked.patch is not None and (asked.cells or asked.on):
        raise refuse("patch", f"patch {asked.patch} has its cells already: leave --cells and --on out, or --patch.")
    return PatchWish(asked.cells, asked.on, again=asked.patch, new=asked.new)


def _patch_json(to_mark: "PatchToMark") -> str:
    """A patch with every look at every cell as it is kept: the unit of each number stands in its name."""
    import json

    looks = [look.model_dump(mode="json", by_alias=False) for look in to_mark.record.looks]
    told = {"patch": to_mark.record.name, **to_mark._asdict(), "readings": looks}
    del told["record"]
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def read_patch(asked: argparse.Namespace) -> int:
    """Write down what was seen in the cells of the patch that is to be read, or of the one named; what it taught."""
    from rotary.passes.learning.reading import NOT_READ
    from rotary.passes.patch.cells import named_patch, patch_to_read, patches_in
    from rotary.store.readings import change_readings, readings_in

    job, folder = _job(asked), _folder(asked)
    readings = readings_in(folder)
    if asked.patch is None:
        record = patch_to_read(readings, job.item, job.head)
    else:
        record = named_patch(asked.patch, readings, job.item, job.head)
    cells = record.cells
    seen = _seen(asked.seen, {cell: [look.passes for look in looks] for cell, looks in cells.items()}, record.name)
    note = {"note": asked.note} if asked.note else {}
    changes: dict[int, dict[str, object]] = {}
    before = []
    for cell, outcomes in seen.items():
        for look, outcome in zip(cells[cell], outcomes, strict=False):
            # What was struck out only because nothing more was to be read of its patch counts once it is read.
            closed = {"struck": False} if look.struck and look.outcome == NOT_READ else {}
            changes[look.number] = {"outcome": outcome, **note, **closed}
            if look.outcome not in (NOT_READ, outcome):
                many = "1 pass" if look.passes == 1 else f"{look.passes} passes"
                before.append(f"cell {cell} after {many} was {look.outcome}, and is {outcome} now")
    change_readings(changes, folder)
    now = readings_in(folder)
    record = next(one for one in patches_in(now) if one.name == record.name)
    said = (f"written down for {record.name}: cell {_listed(seen)}", f"now {record}", *before)
    say("".join(f"{text}\n" for text in said) + "\n")
    return _say_taught(job, now, asked)


def _listed(cells: "Iterable[int]") -> str:
    return ", ".join(map(str, sorted(cells)))


def _seen(texts: list[str], cells: dict[int, list[int]], name: str) -> dict[int, list[str]]:
    """Cells and what was seen at each look, in their order, from "3=covered,clear"; every fault at once."""
    from rotary.passes.learning.reading import NOT_READ, OUTCOMES

    faults, seen = [], {}
    known = (*OUTCOMES, NOT_READ)
    for text in texts:
        number, sign, words = text.partition("=")
        cell = int(number) if number.strip().isdecimal() and len(number) < 9 else 0
        if not sign or cell not in cells:
            says = (
                f"{brief(text)} names no cell of {name}: write one of {_listed(cells)}, for example {min(cells)}=clear."
            )
            faults.append(Fault("", says))
            continue
        looks = cells[cell]
        outcomes = [word.strip().lower().replace("-", " ") for word in words.split(",")]
        if any(outcome not in known for outcome in outcomes):
            faults.append(Fault("", f"{brief(text)} is nothing that is seen: write one of {', '.join(known)}."))
        elif len(outcomes) > len(looks):
            after = ", ".join(map(str, looks))
            says = f"cell {cell} is looked at after {after} passes, so {brief(text)} says too much"
            faults.append(Fault("", f"{says}: write at most {len(looks)}, in that order."))
        elif cell in seen:
            faults.append(Fault("", f"cell {cell} is written twice: write it once, with a word for each look."))
        else:
            seen[cell] = outcomes
    if faults:
        raise Refused(faults)
    return seen


def _say_taught(
    job: "Job",
    readings: "tuple[Reading, ...]",
    asked: argparse.Namespace,
    earlier: "tuple[str, tuple[Reading, ...]] | None" = None,
) -> int:
    """Beliefs before and after, the plan without readings and with them; between the two that of `earlier` ones."""
    from rotary.cli.patch_lines import taught_lines
    from rotary.papers.lines import wrapped
    from rotary.passes.learning.coating import taught_rows
    from rotary.plan import plan
    from rotary.sentences.passes import first_line

    after = _learned(job, readings, asked.draws)
    if after is not None:
        say("\n".join(taught_lines(taught_rows(after), after.readings)) + "\n\n")
    said = [("without readings", ()), *([earlier] if earlier else []), ("now", readings)]
    for name, some in said:
        say("\n".join(wrapped(f"{name}: {first_line(plan(job, asked.draws, some))}")) + "\n")
    return OK


def came_out(asked: argparse.Namespace) -> int:
    """Take a real job as a reading: the setting that is planned now, and what came of it."""
    from rotary.papers.lines import wrapped
    from rotary.passes.learning.reading import Look, reading_of
    from rotary.passes.learning.reading_text import settings_text
    from rotary.store.readings import add_readings, readings_in

    job, folder = _job(asked), _folder(asked)
    made = plan_for(job, Folders(folder), asked.draws)
    setting = made.removal.setting
    if setting is None or job.item.coating is None:
        raise refuse("", "there is no plan that lifts a coating here: hold the controls that were used in [passes].")
    if asked.passes is None:
        raise refuse("passes", "teach only with their number: write how many the first slice took, such as --passes 6.")
    setting = setting.model_copy(update={"passes": asked.passes})
    height = (made.layout.band_to_mm - made.layout.band_from_mm) * job.artwork.ink_share
    look = Look(asked.seen, date.today().isoformat(), source="job", note=asked.note)
    new = reading_of(job, setting, look, (made.split.slice_width_mm, max(height, 1.0)))
    kept = add_readings([new], folder)
    lines = wrapped(f"kept as reading {kept[0].number}, marked so: {settings_text(kept[0])}", "", "")
    say("\n".join(lines) + "\n\n")
    return _say_taught(job, readings_in(folder), asked)


def readings(asked: argparse.Namespace) -> int:
    """List the readings; strike one out or let it count again; close a patch."""
    from rotary.cli.patch_lines import reading_lines
    from rotary.store.readings import close_patch, readings_in, strike

    folder = _folder(asked)
    earlier = None
    if asked.strike is not None or asked.count_again is not None:
        earlier = "before that", readings_in(folder)
    if asked.close_patch is not None:
        close_patch(f"patch {asked.close_patch}", folder)
    if asked.strike is not None:
        strike(asked.strike, folder)
    if asked.count_again is not None:
        strike(asked.count_again, folder, struck=False)
    kept = readings_in(folder)
    if not kept:
        say(f"no readings are kept in {folder} yet; mark a patch with: rotary patch JOB\n")
        return OK
    say("\n".join(reading_lines(kept)) + "\n")
    if asked.job is None:
        if asked.window or asked.taught:
            raise refuse("", "a picture is drawn for a job: write rotary readings JOB --window FILE.")
        return OK
    job = _job(asked)
    say("\n")
    code = _say_taught(job, kept, asked, earlier)
    _drawn(job, kept, asked)
    return code


def _drawn(job: "Job", readings: "tuple[Reading, ...]", asked: argparse.Namespace) -> None:
    """The pictures asked for: the window with the readings in it, the beliefs before and after."""
    from rotary.artwork.outfiles import write_file
    from rotary.papers.svg import svg_text
    from rotary.passes.learning.coating import taught_rows
    from rotary.pictures import picture
    from rotary.pictures.taught import taught_picture

    after = _learned(job, readings, asked.draws)
    if asked.window:
        made = plan_for(job, Folders(_folder(asked)), asked.draws)
        drawing = picture(made, "window", wide=160.0, high=100.0, seen=window_taught(made, readings))
        write_file(Path(asked.window), svg_text(drawing).encode("utf-8"), sources_of(asked), asked.over)
    if asked.taught:
        if after is None:
            raise refuse("", "no reading of this coating teaches anything yet: read a patch first.")
        drawing = taught_picture(taught_rows(after), after.readings)
        write_file(Path(asked.taught), svg_text(drawing).encode("utf-8"), sources_of(asked), asked.over)


def suggest(asked: argparse.Namespace) -> int:
    """Plan again with one thing changed each time."""
    from rotary.cli.patch_lines import helped_lines

    found = suggestions_for(_job(asked), _folder(asked), asked.draws, float(asked.seconds))
    say("\n".join(helped_lines(found)) + "\n")
    return OK
