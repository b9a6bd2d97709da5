"""What the commands about proof patches and readings do; heavy imports happen inside, when a command runs."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.cli.commands import job_of, on_named_rig
from rotary.cli.output import OK, say
from rotary.errors import Fault, Refused, brief, refuse

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.passes.learning import Learned
    from rotary.passes.reading import Reading


def _folder(asked: argparse.Namespace) -> Path:
    from rotary.store.places import profile_folder

    return profile_folder(asked.folder)


def _learned(job: "Job", readings: "tuple[Reading, ...]", draws: int) -> "Learned | None":
    from rotary.passes.learning import learned

    return learned(job.item, job.head, readings, draws)


def patch(asked: argparse.Namespace) -> int:
    """Choose the cells, keep them as not read yet, print them and draw them."""
    from rotary.cli.patch_lines import patch_lines
    from rotary.passes.kept_patch import new_patch
    from rotary.passes.patch_drawing import patch_svg

    job = on_named_rig(job_of(asked.job))
    slice_mm, room_mm = cell_room(job) if asked.on == "item" else (None, 60.0)
    found, name = new_patch(
        job.item,
        job.head,
        job.tolerances,
        _folder(asked),
        date.today().isoformat(),
        job.passes,
        asked.cells,
        asked.on,
        slice_mm,
        room_mm,
        asked.draws,
    )
    if asked.svg is not None:
        from rotary.files import write_whole

        write_whole(Path(asked.svg), patch_svg(found).encode("utf-8"))
    say("\n".join(patch_lines(found, name)) + "\n")
    say(f"\nThe cells are kept. When they are marked: rotary read-patch {asked.job} 1=covered,clear 2=haze ...\n")
    return OK


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
    """Write down what was seen in the cells of the newest patch, or of the one named; say what it taught."""
    from rotary.passes.kept_readings import change_readings, readings_in

    job, folder = on_named_rig(job_of(asked.job)), _folder(asked)
    readings = readings_in(folder)
    mine = [r for r in readings if r.source == "patch" and r.coating == (job.item.coating or "none")]
    if not mine:
        raise refuse("", f"no patch is kept for this coating: write first rotary patch {asked.job}.")
    name = mine[-1].patch if asked.patch is None else f"patch {asked.patch}"
    cells: dict[int, list[Reading]] = {}
    for r in mine:
        if r.patch == name and r.cell is not None:
            cells.setdefault(r.cell, []).append(r)
    if not cells:
        raise refuse("patch", f"there is no {name} of this coating: see rotary readings.")
    note = {"note": asked.note} if asked.note else {}
    seen = _seen(asked.seen, {cell: [r.passes for r in looks] for cell, looks in cells.items()})
    changes = {
        look.number: {"outcome": outcome, **note}
        for cell, outcomes in seen.items()
        for look, outcome in zip(cells[cell], outcomes, strict=False)
    }
    change_readings(changes, folder)
    return _say_taught(job, readings_in(folder), asked)


def _seen(texts: list[str], cells: dict[int, list[int]]) -> dict[int, list[str]]:
    """Cells and what was seen at each look, in their order, from "3=covered,clear"; every fault at once."""
    from rotary.passes.reading import NOT_READ, OUTCOMES

    faults, seen = [], {}
    known = (*OUTCOMES, NOT_READ)
    for text in texts:
        number, sign, words = text.partition("=")
        if not sign or not number.strip().isdigit() or int(number) not in cells:
            faults.append(Fault("", f"{brief(text)} names no cell: write for example {min(cells)}=clear."))
            continue
        looks = cells[int(number)]
        outcomes = [word.strip().lower().replace("-", " ") for word in words.split(",")]
        if any(outcome not in known for outcome in outcomes):
            faults.append(Fault("", f"{brief(text)} is nothing that is seen: write one of {', '.join(known)}."))
        elif len(outcomes) > len(looks):
            after = ", ".join(map(str, looks))
            says = f"cell {int(number)} is looked at after {after} passes, so {brief(text)} says too much"
            faults.append(Fault("", f"{says}: write at most {len(looks)}, in that order."))
        else:
            seen[int(number)] = outcomes
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
    from rotary.passes.learning import taught_rows
    from rotary.plan import plan

    after = _learned(job, readings, asked.draws)
    if after is not None:
        say("\n".join(taught_lines(taught_rows(after), after.readings)) + "\n\n")
    said = [("without readings", ()), *([earlier] if earlier else []), ("now", readings)]
    for name, some in said:
        say("\n".join(wrapped(f"{name}: {plan(job, asked.draws, some).removal.first_line}")) + "\n")
    return OK


def came_out(asked: argparse.Namespace) -> int:
    """Take a real job as a reading: the setting that is planned now, and what came of it."""
    from rotary.passes.kept_readings import add_readings, readings_in
    from rotary.passes.reading import reading_of
    from rotary.plan import plan

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
    say(f"kept as reading {kept[0].number}\n\n")
    return _say_taught(job, readings_in(folder), asked)


def readings(asked: argparse.Namespace) -> int:
    """List the readings; strike one out or let it count again."""
    from rotary.cli.patch_lines import reading_lines
    from rotary.passes.kept_readings import readings_in, strike

    folder = _folder(asked)
    earlier = None
    if asked.strike is not None or asked.count_again is not None:
        earlier = "before that", readings_in(folder)
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
    from rotary.files import write_whole
    from rotary.papers.svg import svg_text
    from rotary.passes.learning import taught_rows, teaching
    from rotary.pictures import picture, window_of
    from rotary.pictures.taught import taught_picture
    from rotary.plan import plan

    after = _learned(job, readings, asked.draws)
    if asked.window:
        made = plan(job, asked.draws, readings)
        seen = window_of(made, teaching(readings, job.item), after.draws if after else None)
        drawing = picture(made, "window", wide=160.0, high=100.0, seen=seen)
        write_whole(Path(asked.window), svg_text(drawing).encode("utf-8"))
    if asked.taught:
        if after is None:
            raise refuse("", "no reading of this coating teaches anything yet: read a patch first.")
        drawing = taught_picture(taught_rows(after), after.readings)
        write_whole(Path(asked.taught), svg_text(drawing).encode("utf-8"))


def what_helps(asked: argparse.Namespace) -> int:
    """Plan again with one thing changed each time."""
    from rotary.artwork.layout import layout
    from rotary.cli.patch_lines import helped_lines
    from rotary.item import body
    from rotary.passes.beliefs import Coating, substances
    from rotary.passes.kept_readings import readings_in
    from rotary.passes.what_helps import what_helps as tried

    job = on_named_rig(job_of(asked.job))
    if not isinstance(substances(job.item)[1], Coating):
        raise refuse("item.coating", "there is no coating here that may be lifted, so nothing to change it by.")
    shape = body(job.item)
    lies = layout(job.artwork, job.item, shape)
    readings = readings_in(_folder(asked))
    found = tried(
        job.item, shape, lies, job.head, job.tolerances, job.passes, readings, asked.draws, float(asked.seconds)
    )
    say("\n".join(helped_lines(found)) + "\n")
    return OK
