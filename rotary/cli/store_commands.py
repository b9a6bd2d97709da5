"""What the commands about kept profiles do; heavy imports happen inside, when a command runs."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.cli.output import FILE_TROUBLE, NO_PASSES, OK, complain, say
from rotary.errors import NoPlan, brief, refuse, single_line
from rotary.services.planning import plan_for
from rotary.services.profiles import SaveWish, prove_run, save_job

if TYPE_CHECKING:
    from rotary.store.keeping import OpenedProfile, Saved
    from rotary.store.record import ArtworkFile

OUTCOMES: Final = ("clear", "coating-left", "metal-marked", "joints-show", "stopped", "spoiled")


MOST_LEFT_OUT: Final = 200
"""So many entries of a file from elsewhere are told by name; of more than that the count."""


def _folder(asked: argparse.Namespace) -> Path:
    from rotary.store.places import profile_folder

    return profile_folder(asked.folder)


def _home(asked: argparse.Namespace) -> Path:
    from rotary.store.keeping import located

    folder = _folder(asked)
    return folder / located(asked.name, folder).home


def _line(text: str) -> None:
    say(single_line(text).rstrip() + "\n")


def _told(saved: "Saved", done: str) -> int:
    _line(f"{done} {saved.name}, version {saved.label}: {saved.path}")
    if saved.conflict:
        complain(f"{saved.conflict}: rotary compare, rotary choose")
    return OK


def opened(asked: argparse.Namespace, alone: bool = True) -> "OpenedProfile":
    """A profile; where two versions stand side by side and none is asked for, the person has to say which."""
    from rotary.store.keeping import Damaged, load
    from rotary.store.spare import edits

    try:
        found = load(asked.name, _folder(asked), asked.version)
    except Damaged as damaged:
        complain(str(damaged))
        for edit in edits(damaged.version)[:10]:
            complain(f"since it was saved, {edit}")
        offer = f"--version {damaged.good} uses the last good one; " if damaged.good else ""
        raise refuse("", f"{offer}rotary mend sets the damaged file aside, or put the line right") from None
    if alone and found.beside and asked.version is None:
        both = " and ".join(found.beside)
        says = f"versions {both} stand side by side: look with rotary compare, then say which with rotary choose"
        raise refuse("", f"{says}, or name one with --version")
    if found.doubt:
        for edit in edits(found.version)[:10]:
            complain(f"since it was saved, {edit}")
    return found


def keep(asked: argparse.Namespace) -> int:
    """Keep a job as an item profile, if it can be planned."""
    from rotary.cli.answers import verdict
    from rotary.cli.jobs import drawings_folder, job_of, plan_of_marks_asked_for
    from rotary.cli.waiting import waiting
    from rotary.inscription.actions import drawn_marks

    job, folder = job_of(asked.job), _folder(asked)
    answer = plan_of_marks_asked_for(plan_for(job), asked)
    name = asked.name if asked.name is not None else job.item.name
    wish = SaveWish(name, _stamp(asked, name, folder), tuple(map(Path, asked.drawing)))
    with waiting("laying out the artwork"):
        saved = save_job(job, answer, wish, folder, drawings_folder(asked.job), drawn_marks)
    _told(saved, "kept as")
    return verdict(answer)


def _stamp(asked: argparse.Namespace, name: str, folder: Path) -> str | None:
    if asked.follows is None:
        return None
    from rotary.store.keeping import load

    return load(name, folder, asked.follows).version.stamp


def list_profiles(asked: argparse.Namespace) -> int:
    """The profiles that are kept."""
    from rotary.store.finding import search
    from rotary.store.index import entries

    folder = _folder(asked)
    everything = entries(folder)
    low, high = _size(asked.at_least, "at-least"), _size(asked.at_most, "at-most")
    found = search(everything, " ".join(asked.words), low, high, asked.coating, asked.head, asked.proven)
    for entry in found:
        state = "not readable" if not entry.at else entry.says
        where = str(folder / entry.home)
        _line(f"{entry.name}  version {entry.label or '-'}  {entry.at[:10] or '-'}  {state}  {where}")
        for trouble in (entry.trouble, entry.read_only, entry.doubt):
            if trouble:
                _line(f"    ! {trouble}")
        if entry.beside:
            _line(f"    ! versions {' and '.join(entry.beside)} stand side by side: rotary compare, rotary choose")
    if not everything:
        _line(f"nothing is kept in {folder} yet; keep a job with: rotary keep JOB --as NAME")
    elif not found:
        _line(f"none of the {len(everything)} profiles fits")
    return OK


def _size(text: str | None, option: str) -> float | None:
    from rotary.units import UnitError, value_from_text

    if text is None:
        return None
    try:
        return value_from_text(text, "mm", None)
    except UnitError as trouble:
        raise refuse(f"--{option}", str(trouble)) from None


def nearest(asked: argparse.Namespace) -> int:
    """The profiles nearest to an item."""
    from rotary.cli.jobs import job_of, system_of
    from rotary.store.finding import nearest as nearest_profiles
    from rotary.store.index import entries

    job, system = job_of(asked.job), system_of(asked)
    found = nearest_profiles(job.item, entries(_folder(asked)), system=system)
    for near in found:
        _line(near.summary(system))
        for differs in near.differs:
            _line(f"    ! {differs}")
    if not found:
        _line("no profile of such an item is kept")
    return OK


def show(asked: argparse.Namespace) -> int:
    """A profile as its file has it."""
    from rotary.store.places import read

    found = opened(asked, alone=False)
    say("".join(single_line(line) + "\n" for line in read(found.version.path).decode("utf-8-sig").splitlines()))
    for text in (found.read_only, found.doubt):
        if text:
            complain(text)
    return OK


def history(asked: argparse.Namespace) -> int:
    """The versions of a profile."""
    from rotary.store.history import history_of

    for past in history_of(_home(asked)):
        side = "  stands beside another" if past.beside else ""
        _line(f"{past.label:>4}  {past.at or 'not readable'}  {past.why or '-'}  {past.says}{side}")
        for trouble in (past.trouble, past.doubt):
            if trouble:
                _line(f"      ! {trouble}")
    return OK


def compare(asked: argparse.Namespace) -> int:
    """What changed."""
    from rotary.cli.jobs import system_of
    from rotary.store.changes import profile_changes
    from rotary.store.keeping import load
    from rotary.store.places import label, versions

    home, folder = _home(asked), _folder(asked)
    among = versions(home)
    if asked.other:
        before, after = load(asked.name, folder, asked.before), load(asked.other, folder, asked.after)
    else:
        one = asked.before or (label(among[-2], among) if len(among) > 1 else None)
        before, after = load(asked.name, folder, one), load(asked.name, folder, asked.after)
    _line(f"from {before.profile.kept.name}, version {before.label}, to {after.profile.kept.name}, {after.label}:")
    found = profile_changes(before.profile, after.profile, system_of(asked))
    for change in found:
        _line(f"  {change}")
    if not found:
        _line("  nothing differs")
    return OK


def restore(asked: argparse.Namespace) -> int:
    """An older version, or a discarded profile."""
    from rotary.store.history import restore as restore_version
    from rotary.store.history import taken_back

    if asked.version is not None:
        return _told(restore_version(_home(asked), asked.version), "restored")
    _line(f"taken back: {taken_back(asked.name, _folder(asked))}")
    return OK


def choose(asked: argparse.Namespace) -> int:
    """Settle versions that stand side by side."""
    from rotary.store.history import choose as choose_version

    return _told(choose_version(_home(asked), asked.version), "chosen:")


def copy(asked: argparse.Namespace) -> int:
    """Another profile from this one."""
    from rotary.store.keeping import copy as copy_profile

    return _told(copy_profile(asked.name, asked.new_name, _folder(asked), asked.version), "copied to")


def rename(asked: argparse.Namespace) -> int:
    """Another name."""
    from rotary.store.keeping import rename as rename_profile

    return _told(rename_profile(asked.name, asked.new_name, _folder(asked)), "now called")


def discard(asked: argparse.Namespace) -> int:
    """To the bin."""
    from rotary.store.history import discard as discard_profile

    _line(f"in the bin: {discard_profile(asked.name, _folder(asked))}; rotary restore takes it back")
    return OK


def bin(asked: argparse.Namespace) -> int:  # noqa: A001
    """What was discarded."""
    from rotary.store.history import binned

    found = binned(_folder(asked))
    for one in found:
        when = f"discarded {one.at}" if one.at else "deleted by hand"
        _line(f"{one.entry.name}  {one.entry.count} versions  {when}")
    _line('take one back with: rotary restore "NAME"' if found else "the bin is empty")
    return OK


def mend(asked: argparse.Namespace) -> int:
    """Set damaged files aside, bring deleted ones back."""
    from rotary.store.history import mend as mend_store

    repair = mend_store(_folder(asked))
    for one in repair.done:
        stands = f"version {one.good} stands" if one.good else "no version of it can be opened"
        _line(f"{one.name}, version {one.label}: {brief(one.reason, 200)}; {stands}; {one.aside}")
    _line(f"{len(repair.done)} versions put right, {repair.left_over} left-overs of broken-off saves cleared")
    for trouble in repair.troubles:
        complain(f"still in trouble: {trouble}")
    return FILE_TROUBLE if repair.troubles else OK


def proven(asked: argparse.Namespace) -> int:
    """Write down a proof."""
    from rotary.cli.jobs import repeat_asked_for

    found = opened(asked)
    repeat = repeat_asked_for(found, found.profile.job, asked)
    try:
        saved = prove_run(repeat, asked.numbers, asked.passes, asked.batch, asked.note, _files(asked))
    except NoPlan as none:
        complain(str(none))
        return NO_PASSES
    return _told(saved, "proven:")


def _files(asked: argparse.Namespace) -> "tuple[ArtworkFile, ...]":
    from rotary.store.noting import artwork_file

    return tuple(artwork_file(Path(path)) for path in asked.file)


def ran(asked: argparse.Namespace) -> int:
    """Write a run into the logbook."""
    from rotary.cli.jobs import repeat_asked_for
    from rotary.repeat.recording import numbers_run
    from rotary.services.actions import steps_after_run
    from rotary.store.logbook import log, run_of

    asked.version = None
    found = opened(asked, alone=False)
    repeat = repeat_asked_for(found, found.profile.job, asked)
    run = numbers_run(repeat, asked.numbers, asked.passes)
    values = {name: getattr(asked, name) for name in ("outcome", "items", "spoiled", "batch", "note")}
    values |= {"plan": run, "files": _files(asked)} | ({"took": asked.took} if asked.took else {})
    path, steps = log(run_of(found, values), _folder(asked)), steps_after_run(repeat, asked.outcome)
    if asked.json:
        _line(json.dumps({"logged": str(path), "steps": [step.model_dump() for step in steps]}, ensure_ascii=False))
        return OK
    _line(f"logged: {path}")
    for step in steps:
        _line(f"next: {step.text}")
    return OK


def note(asked: argparse.Namespace) -> int:
    """A remark."""
    from rotary.store.noting import add_note

    if not asked.says.strip() or len(asked.says) > 2000:
        raise refuse("note", "a remark has 1 to 2000 letters: write what should be known next time")
    return _told(add_note(_home(asked), asked.says), "noted in")


def reading(asked: argparse.Namespace) -> int:
    """Something that was read."""
    from rotary.faults import model_from_texts
    from rotary.store.noting import add_reading, strike_reading
    from rotary.store.record import RunReading, now

    if asked.strike is not None:
        return _told(strike_reading(_home(asked), asked.strike), "struck out in")
    given = {"on": now(), "of": asked.of, "shows": asked.shows, "place": asked.place, "note": asked.note}
    entry = model_from_texts(RunReading, {name: value for name, value in given.items() if value is not None})
    return _told(add_reading(_home(asked), entry), "written into")


def logbook(asked: argparse.Namespace) -> int:
    """The runs, with totals."""
    from datetime import date

    from rotary.cli.jobs import system_of
    from rotary.store.changes import run_values
    from rotary.store.logbook import logbook as runs_of
    from rotary.store.logbook import totals

    try:
        since = date.fromisoformat(asked.since) if asked.since else None
    except ValueError:
        raise refuse("--since", f"{brief(asked.since)} is no day: write it like 2026-01-31") from None
    profile = ""
    if asked.name:
        from rotary.store.keeping import located

        profile = located(asked.name, _folder(asked)).id
    found = runs_of(_folder(asked), profile, since)
    for run in found.runs:
        spoiled = f", {run.spoiled} spoiled" if run.spoiled else ""
        extra = "  ".join(text for text in (run.batch, run.note) if text)
        _line(f"{run.on:%Y-%m-%d %H:%M}  {run.name}  {run.outcome}  {run.items} items{spoiled}  {extra}")
        if asked.settings and run.plan is not None:
            _line("    " + ", ".join(f"{name} {text}" for name, text in run_values(run.plan, system_of(asked))))
    for trouble in found.troubles:
        complain(trouble)
    _line(totals(found.runs).summary())
    return OK


def export(asked: argparse.Namespace) -> int:
    """Profiles to one file."""
    from rotary.store.carrying import export as export_profiles

    count = export_profiles(asked.names, _folder(asked), Path(asked.file), asked.over)
    _line(f"{count} profile{'s' if count != 1 else ''} written to {asked.file}")
    return OK


def import_(asked: argparse.Namespace) -> int:
    """What a file holds; with --take it is taken."""
    from rotary.store.carrying import preview, take

    coming = preview(Path(asked.file), _folder(asked))
    for one in coming.profiles:
        _line(f"{one.against:<10}  {one.name}  {one.says}")
    for refused in coming.refused[:MOST_LEFT_OUT]:
        _line(f"{'left out':<10}  {refused}")
    if rest := len(coming.refused[MOST_LEFT_OUT:]):
        _line(f"{'left out':<10}  and {rest} more")
    if not asked.take:
        _line("nothing was written; take them with --take")
        return OK
    done = take(coming, _folder(asked), asked.names or None)
    for line in done:
        _line(line)
    if not done:
        _line("there was nothing to take")
    return OK
