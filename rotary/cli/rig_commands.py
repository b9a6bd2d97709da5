"""What the commands about the rig do; heavy imports happen inside, when a command runs."""

import argparse
import json
import math
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.jobs import drawings_folder, job_of
from rotary.cli.output import OK, say
from rotary.cli.pieces import artwork_asked_for, named_after, over_of, sources_of
from rotary.errors import FileTrouble, brief, refuse, single_line
from rotary.services.artwork import ink_for
from rotary.services.planning import plan_for

if TYPE_CHECKING:
    from rotary.artwork.pieces import Ink
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.rig.correct import Correction
    from rotary.rig.record import KnownRig, Rig


def _now() -> datetime:
    return datetime.now().astimezone()


def _ready(folder: str | None) -> None:
    """Raise FileTrouble where nothing can be written into the folder asked for, before any long work."""
    from rotary.artwork.outfiles import refuse_folder

    if folder is not None:
        refuse_folder(Path(folder))


def _lines(lines: list[str] | tuple[str, ...]) -> int:
    say("".join(f"{single_line(line).rstrip()}\n" for line in lines))
    return OK


def _loaded(asked: argparse.Namespace, named: str = "") -> tuple["Rig", Path]:
    from rotary.rig.store import FIRST_RIG, load_rig, rig_folder

    folder = rig_folder(asked.rigs)
    return load_rig(asked.rig if asked.rig is not None else named or FIRST_RIG, folder), folder


def _length_mm(text: str, where: str) -> float:
    from rotary import units

    try:
        return units.value_from_text(text, "mm", bare="mm")
    except units.UnitError as trouble:
        raise refuse(where, str(trouble)) from None


def rig(asked: argparse.Namespace) -> int:
    """What is known of this machine."""
    from rotary.rig.store import rig_path
    from rotary.rig.words import rig_lines

    if asked.all or asked.new is not None or asked.rename is not None:
        return _rig_names(asked)
    now, folder = _loaded(asked)
    if asked.json:
        return _json(now, asked.item)
    return _lines([*rig_lines(now, asked.item), f"kept in {rig_path(now.name, folder)}"])


def _json(now: "Rig", item: str | None = None) -> int:
    from rotary.rig.words import rig_json

    say(rig_json(now, item) + "\n")
    return OK


def program(asked: argparse.Namespace) -> int:
    """What the marking program can do, and what belongs to the machine: say it, or keep what is answered."""
    from rotary.rig.equipment import LABEL, equipment_of, program_with
    from rotary.rig.store import save_rig
    from rotary.rig.words import equipment_lines

    job = None if asked.source is None else job_of(asked.source)
    before, folder = _loaded(asked, job.rig if job else "")
    texts = dict(_named(text, "answers") for text in asked.answers)
    texts |= {LABEL + name: text for name, text in (_named(label, "label") for label in asked.label)}
    after = before.model_copy(update={"program": program_with(before.program, texts)})
    lines: list[str] = []
    if job is not None:
        after, lines = equipment_of(job, after, _now().replace(microsecond=0))
    if after != before:
        lines.append(f"kept in {save_rig(after, folder)}")
    return _json(after) if asked.json else _lines([*equipment_lines(after), *lines])


def _named(text: str, where: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name:
        raise refuse(where, f"{brief(text)} has no = in it: write NAME=VALUE, such as pause=yes.")
    return name.strip().replace("_", "-") if where == "answers" else name.strip().replace("-", "_"), value.strip()


def _rig_names(asked: argparse.Namespace) -> int:
    """Every rig by name, a new one, or another name for one."""
    from rotary.rig.machine import added, renamed, rig_names
    from rotary.rig.store import FIRST_RIG, rig_folder

    folder = rig_folder(asked.rigs)
    if asked.new is not None and asked.rename is not None:
        raise refuse("rename", "one thing at a time: begin a new rig, or rename one.")
    if asked.new is not None:
        return _lines([f"begun in {added(asked.new, folder)}"])
    if asked.rename is not None:
        return _lines([f"renamed, kept in {renamed(asked.rig or FIRST_RIG, asked.rename, folder)}"])
    if asked.json:
        return _lines([json.dumps(rig_names(folder), ensure_ascii=False)])
    return _lines(rig_names(folder) or ["no rig is kept yet: rotary rig --new NAME, or keep a reading"])


def gauge(asked: argparse.Namespace) -> int:
    """Keep a reading."""
    from rotary.rig.readings import findings
    from rotary.rig.record import known, with_reading
    from rotary.rig.store import save_rig
    from rotary.rig.words import known_text, reading_from_words

    reading = reading_from_words([asked.kind, *asked.values], _now(), asked.note)
    before, folder = _loaded(asked)
    after = with_reading(before, reading)
    path = save_rig(after, folder)
    now = known(after, getattr(reading, "item", None), getattr(reading, "coating", None))
    lines = []
    for finding in findings(reading):
        one = now[finding.quantity]
        lines += [f"{finding.quantity}: {known_text(one)}", *one.says]
    return _lines([*lines, f"kept in {path}"])


def changed(asked: argparse.Namespace) -> int:
    """Say that something was changed."""
    from rotary.rig.quantities import QUANTITIES
    from rotary.rig.record import with_change
    from rotary.rig.store import save_rig

    before, folder = _loaded(asked)
    path = save_rig(with_change(before, asked.what, _now().replace(microsecond=0), asked.note), folder)
    stale = [quantity.says for quantity in QUANTITIES.values() if asked.what in quantity.lapses_with]
    return _lines([f"Lapsed, if they had been read: {', '.join(stale)}.", f"kept in {path}"])


def strike(asked: argparse.Namespace) -> int:
    """Strike out a reading."""
    from rotary.rig.record import without_reading
    from rotary.rig.store import save_rig

    before, folder = _loaded(asked)
    after = without_reading(before, asked.number)
    gone = before.readings[asked.number - 1]
    return _lines([f"struck out: {gone.kind} of {gone.at.date().isoformat()}", f"kept in {save_rig(after, folder)}"])


def tape(asked: argparse.Namespace) -> int:
    """Draw the tapes."""
    from rotary.artwork.sets import write_all
    from rotary.examples import banner
    from rotary.rig.tapes import tapes

    _ready(asked.out)
    job = job_of(asked.job)
    found = tapes(plan_for(job))
    if asked.name is not None and asked.name not in found:
        raise refuse("tape", f"there is no tape {brief(asked.name)}: write one of {', '.join(found)}.")
    chosen = [found[asked.name]] if asked.name else list(found.values())
    lines = [banner(job.head.use)] if job.head.use else []
    for one in chosen:
        lines += [f"{one.name}", *(f"  - {step}" for step in one.instructions)]
        lines += [f"  then write: rotary gauge {one.reading}"] if one.reading else []
    if asked.out is not None:
        drawings = {Path(asked.out) / f"tape-{one.name}.svg": one.svg.encode() for one in chosen if one.svg}
        lines += [f"wrote {path}" for path in write_all(drawings, over=over_of(asked) != "no")]
    return _lines(lines)


def _rigged(asked: argparse.Namespace, begins: bool = False) -> tuple["Job", "Job", "Rig", "Correction", Path]:
    """The job as written, for this machine, the rig, what the sheet is drawn with, the rigs' folder.

    A rig that is named has to be there, unless what is done `begins` one.
    """
    from rotary.rig.correct import corrected, correction

    job = job_of(asked.job)
    now, folder = _loaded(asked, job.rig)
    named = asked.rig if asked.rig is not None else job.rig
    if named and not begins:
        from rotary.rig.machine import rig_of

        rig_of(job.model_copy(update={"rig": named}), folder)
    return job, corrected(job, now), now, correction(job, now), folder


def strip(asked: argparse.Namespace) -> int:
    """Draw the joint strip, or read its form."""
    from rotary.rig.strip import joint_strip
    from rotary.rig.strip_papers import numbered_lines, strip_files

    _ready(asked.out)
    _, job, now, how, folder = _rigged(asked, begins=True)
    drawn = joint_strip(job, how, _length_mm(asked.tape, "tape"))
    if asked.form is not None:
        return _read_strip(asked, job, now, how, folder)
    lines = numbered_lines(drawn)
    if asked.out is not None:
        from rotary.artwork.sets import write_all

        files = {Path(asked.out) / name: data for name, data in strip_files(drawn).items()}
        lines += [f"wrote {path}" for path in write_all(files, over=over_of(asked) != "no")]
    return _lines(lines)


def _read_strip(asked: argparse.Namespace, job: "Job", now: "Rig", how: "Correction", folder: Path) -> int:
    from rotary.files import bytes_of_job_file
    from rotary.rig.diagnosis import diagnosis, strip_result
    from rotary.rig.record import with_reading
    from rotary.rig.store import save_rig
    from rotary.rig.strip import joint_strip
    from rotary.rig.strip_reading import reading_from_form

    try:
        text = bytes_of_job_file(Path(asked.form)).decode("utf-8")
    except UnicodeDecodeError:
        raise FileTrouble(f"{brief(asked.form)} is not text in UTF-8: fill in a fresh form") from None
    drawn = joint_strip(job, how, _length_mm(asked.tape, "tape"))
    read = reading_from_form(text, drawn, brief(asked.form))
    found = diagnosis(read, drawn, plan_for(job).focus.plane_over_apex_mm)
    lines = list(found.sentences)
    if found.setting or asked.only_say:
        return _lines([*lines, "Nothing was kept."])
    result = strip_result(found, job.item.name, how, _now().replace(microsecond=0))
    return _lines([*lines, f"kept in {save_rig(with_reading(now, result), folder)}"])


def matters(asked: argparse.Namespace) -> int:
    """Which input costs most."""
    from rotary.rig.matters import matters as found
    from rotary.rig.matters import matters_lines

    _, job, *_ = _rigged(asked)
    return _lines(matters_lines(found(plan_for(job))))


def measured(asked: argparse.Namespace) -> int:
    """The job, or its sheet, for this machine as measured."""
    from rotary.artwork.models import size_texts
    from rotary.artwork.outfiles import refuse_file
    from rotary.cli.jobs import system_of
    from rotary.job import job_text
    from rotary.rig.level import focus_words
    from rotary.rig.record import known
    from rotary.sentences.slices import cost_words

    _ready(asked.folder if asked.art or asked.text else None)
    if asked.out is not None:
        refuse_file(Path(asked.out), sources_of(asked), asked.over)
    job, for_machine, now, how, _ = _rigged(asked)
    after = plan_for(for_machine)
    lines = [
        f"slices drawn {how.scale_across:.5f} times as wide, {how.scale_along:.5f} times as high, turned by "
        f"{math.degrees(how.turn_rad):+.3f}°, from: {how.source}"
    ]
    lines += focus_words(after, known(now, job.item.name))
    if asked.art or asked.text:
        ink = _ink(asked, after)
        lines[:0] = size_texts(ink.sizes, system_of(asked))
        lines += _write_sheet(asked, after, ink, how, known(now, job.item.name))
    if asked.out is not None:
        from rotary.artwork.outfiles import write_file

        text = job_text(for_machine, "As measured at the machine.")
        write_file(Path(asked.out), text.encode(), sources_of(asked), over_of(asked) != "no")
        lines.append(f"wrote {asked.out}")
    elif not (asked.art or asked.text):
        before = plan_for(job.model_copy(update={"rig": ""}))
        lines += [
            f"as written: slices of {before.split.slice_width_mm:.3g} mm, joints within "
            f"{1000 * before.split.joint_95_mm:.0f} µm (95 %)",
            f"as measured: slices of {after.split.slice_width_mm:.3g} mm, joints within "
            f"{1000 * after.split.joint_95_mm:.0f} µm (95 %)",
            *(cost_words(cost, after.split.slices) for cost in after.split.joint_costs),
        ]
    return _lines(lines)


def _ink(asked: argparse.Namespace, made: "Plan") -> "Ink":
    return ink_for(made, drawings_folder(asked.job), artwork_asked_for(asked, made.job.artwork))


def _write_sheet(
    asked: argparse.Namespace, made: "Plan", ink: "Ink", how: "Correction", now: dict[str, "KnownRig"]
) -> list[str]:
    from rotary.rig.correct import corrected_sheet
    from rotary.sheet import SheetWish

    wish = SheetWish(
        arrangement="a-file-a-slice" if asked.files else "one-sheet", marked_width_mm=now["marked-width"].value
    )
    made = named_after(made, asked)
    return _written_set(asked, made, corrected_sheet(made, ink.composition.ink, how, wish))


def _written_set(asked: argparse.Namespace, made: "Plan", files: dict[str, str]) -> list[str]:
    """Write slices as one set; a line for each file, and one for those that they take the place of."""
    from rotary.services.files import write_drawings

    wrote = write_drawings(made, files, Path(asked.folder), [Path(path) for path in asked.art], over_of(asked))
    return [*(f"wrote {path}" for path in wrote.paths), *([wrote.instead] if wrote.instead else [])]


def level(asked: argparse.Namespace) -> int:
    """What to put under which end."""
    from rotary.rig.level import levelling

    low, high, apart = (_length_mm(getattr(asked, name), name) for name in ("foot_end", "rim_end", "apart"))
    base = _length_mm(asked.base, "base") if asked.base is not None else None
    return _lines(levelling(plan_for(job_of(asked.job)), low, high, apart, base_mm=base).says)


def resume(asked: argparse.Namespace) -> int:
    """What is left of a stopped job."""
    from rotary.artwork.models import size_texts
    from rotary.cli.jobs import system_of
    from rotary.cli.paper_commands import refuse_card
    from rotary.rig.resume import TickReadings, done_from_text, remainder, remaining_files, witness_ticks

    _ready(asked.folder)
    refuse_card(asked)
    _, job, _, how, _ = _rigged(asked)
    made = plan_for(job)
    names = ("foot_right", "foot_up", "rim_right", "rim_up")
    readings = TickReadings(**{f"{name}_mm": _length_mm(getattr(asked, name), name) for name in names})
    left = remainder(made, readings, done_from_text(asked.done), asked.passes)
    first = [made.safety.example] if made.safety.example else []
    lines = [*first, *left.card, "", witness_ticks(made).says]
    if asked.folder is not None and (asked.art or asked.text):
        made = named_after(made, asked)
        ink = _ink(asked, made)
        lines[len(first) : len(first)] = size_texts(ink.sizes, system_of(asked))
        lines += _written_set(asked, made, remaining_files(made, ink.composition.ink, left, how))
    if asked.card is not None:
        from rotary.cli.paper_commands import write_paper
        from rotary.rig.papers import resume_paper

        lines += write_paper(lambda _: resume_paper(made, left), asked)
    return _lines(lines)
