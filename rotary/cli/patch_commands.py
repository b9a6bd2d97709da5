"""What the commands about proof patches and readings do; heavy imports happen inside, when a command runs."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.cli.commands import job_of, on_named_rig, system_of
from rotary.cli.options import USUAL_DRAWS
from rotary.cli.output import OK, say
from rotary.cli.pieces import sources_of
from rotary.errors import Fault, Refused, brief, refuse

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rotary.job import Job
    from rotary.passes.learning.coating import Learned
    from rotary.passes.learning.reading import Reading
    from rotary.passes.patch.cells import PatchToMark
    from rotary.store.patch import PatchWish


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
    from rotary.plan import plan
    from rotary.store.patch import patch_to_mark

    if asked.svg is not None:
        refuse_file(Path(asked.svg), sources_of(asked), asked.over)
    job = on_named_rig(job_of(asked.job))
    wish = _wish(asked, job)
    made = plan(job, 0)
    day = date.today()
    draws = max(asked.draws, USUAL_DRAWS)
    to_mark = patch_to_mark(
        job.item, job.head, job.tolerances, _folder(asked), day.isoformat(), job.passes, wish, draws
    )
    if asked.svg is not None:
        write_file(Path(asked.svg), patch_svg(to_mark.record).encode("utf-8"), sources_of(asked), asked.over)
    if asked.json:
        say(_patch_json(to_mark))
        return OK
    say("\n".join(text_lines(patch_paper(to_mark, made, system_of(asked), day))) + "\n")
    say("".join(f"  - {text}\n" for text in to_mark.says))
    number = to_mark.record.name.removeprefix("patch ")
    how = f"rotary read-patch {asked.job} --patch {number} 1=covered,clear 2=haze ..."
    say(f"\nThe cells are kept. When they are marked: {how}\n")
    return OK


def _wish(asked: argparse.Namespace, job: "Job") -> "PatchWish":
    """Which patch is asked for; raises Refused where a kept one is asked for with cells that it may not have."""
    from rotary.store.patch import PatchWish

    if asked.patch is not None and (asked.cells or asked.on):
        raise refuse("patch", f"patch {asked.patch} has its cells already: leave --cells and --on out, or --patch.")
    slice_mm, room_mm = cell_room(job) if asked.on == "item" else (None, 60.0)
    return PatchWish(asked.cells, asked.on, slice_mm, room_mm, asked.patch, asked.new)


def _patch_json(to_mark: "PatchToMark") -> str:
    """A patch with every look at every cell as it is kept: the unit of each number stands in its name."""
    import json

    looks = [look.model_dump(mode="json", by_alias=False) for look in to_mark.record.looks]
    told = {"patch": to_mark.record.name, **to_mark._asdict(), "readings": looks}
    del told["record"]
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


# A cell may sag so far: some millimetres out of focus that is two or three per cent of the fluence.
_CELL_SAG_MM: Final = 0.12


def cell_room(job: "Job") -> tuple[float, float]:
    """Width that a cell on the item may have, and the length along it; the joints bound a slice, not a cell."""
    from rotary.formulas.circle import widest_arc_mm
    from rotary.plan import plan

    made = plan(job, 0)
    flat = float(widest_arc_mm(made.layout.reference_radius_mm, _CELL_SAG_MM))
    return max(made.split.slice_width_mm, flat), made.layout.band_to_mm - made.layout.band_from_mm


def read_patch(asked: argparse.Namespace) -> int:
    """Write down what was seen in the cells of the patch that is to be read, or of the one named; what it taught."""
    from rotary.passes.learning.reading import NOT_READ
    from rotary.passes.patch.cells import named_patch, patch_to_read, patches_in
    from rotary.store.readings import change_readings, readings_in

    job, folder = on_named_rig(job_of(asked.job)), _folder(asked)
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
    from rotary.passes.learning.reading import reading_of
    from rotary.passes.learning.reading_text import settings_text
    from rotary.plan import plan
    from rotary.store.readings import add_readings, readings_in

    job, folder = on_named_rig(job_of(asked.job)), _folder(asked)
    readings = readings_in(folder)
    made = plan(job, asked.draws, readings)
    setting = made.removal.setting
    if setting is None or job.item.coating is None:
        raise refuse("", "there is no plan that lifts a coating here: hold the controls that were used in [passes].")
    if asked.passes is None:
        raise refuse("passes", "teach only with their number: write how many the first slice took, such as --passes 6.")
    setting = setting.model_copy(update={"passes": asked.passes})
    height = (made.layout.band_to_mm - made.layout.band_from_mm) * job.artwork.ink_share
    new = reading_of(
        setting,
        asked.seen,
        job.item,
        job.head,
        made.optics,
        date.today().isoformat(),
        source="job",
        note=asked.note,
        inked_mm=(made.split.slice_width_mm, max(height, 1.0)),
        focus_mm=job.tolerances.focus_mm,
    )
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
    job = on_named_rig(job_of(asked.job))
    say("\n")
    code = _say_taught(job, kept, asked, earlier)
    _drawn(job, kept, asked)
    return code


def _drawn(job: "Job", readings: "tuple[Reading, ...]", asked: argparse.Namespace) -> None:
    """The pictures asked for: the window with the readings in it, the beliefs before and after."""
    from rotary.artwork.outfiles import write_file
    from rotary.papers.svg import svg_text
    from rotary.passes.learning.coating import taught_rows, teaching
    from rotary.pictures import picture, window_of
    from rotary.pictures.taught import taught_picture
    from rotary.plan import plan

    after = _learned(job, readings, asked.draws)
    if asked.window:
        made = plan(job, asked.draws, readings)
        seen = window_of(made, teaching(readings, job.item), after.draws if after else None)
        drawing = picture(made, "window", wide=160.0, high=100.0, seen=seen)
        write_file(Path(asked.window), svg_text(drawing).encode("utf-8"), sources_of(asked), asked.over)
    if asked.taught:
        if after is None:
            raise refuse("", "no reading of this coating teaches anything yet: read a patch first.")
        drawing = taught_picture(taught_rows(after), after.readings)
        write_file(Path(asked.taught), svg_text(drawing).encode("utf-8"), sources_of(asked), asked.over)


def what_helps(asked: argparse.Namespace) -> int:
    """Plan again with one thing changed each time."""
    from rotary.artwork.layout import layout
    from rotary.cli.patch_lines import helped_lines
    from rotary.item import fitted_shape
    from rotary.passes.beliefs.draws import Coating, substances
    from rotary.passes.learning.suggestions import suggestions as tried
    from rotary.store.readings import readings_in

    job = on_named_rig(job_of(asked.job))
    if not isinstance(substances(job.item)[1], Coating):
        raise refuse("item.coating", "there is no coating here that may be lifted, so nothing to change it by.")
    shape = fitted_shape(job.item)
    lies = layout(job.artwork, job.item, shape)
    readings = readings_in(_folder(asked))
    found = tried(
        job.item, shape, lies, job.head, job.tolerances, job.passes, readings, asked.draws, float(asked.seconds)
    )
    say("\n".join(helped_lines(found)) + "\n")
    return OK
