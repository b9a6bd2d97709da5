"""Saved jobs: what worked, to be found and repeated; their versions, names and bin; carried between computers."""

from dataclasses import asdict
from typing import Annotated

from cyclopts import Parameter

from rotary.cli import core, output
from rotary.cli.jobs import NamedJob, RunJob, SavedJob
from rotary.cli.options import PaperTo, Stored, group, options, store_of
from rotary.cli.papers import refuse_lines, setup_sheet
from rotary.cli.values import File, Files, Inches, Json, Length, Note, Number, Plain, Store, Text, Version
from rotary.errors import BadArgument, NoPlan, brief
from rotary.files import is_dry_run

NewName = Annotated[str, Parameter(name="NEW", help="the new name")]
Names = Annotated[str, Parameter(name="NAME")]


@options
class Today:
    """What is different today from when the job was proven.

    :param today: a job file with the rotary and laser that you use today
    :param batch: the batch of coating on today's items
    :param anew: make a new plan instead of using the numbers you ran
    """

    today: str | None = None
    batch: str = ""
    anew: bool = False


def save(job: NamedJob, as_: str | None = None, follows: str | None = None, drawing: Files = None) -> int:
    """Plan a job and save it.

    Example: rotary profile save bottle.toml --as "regatta bottle"

    :param as_: the name to save it under (the item's name if left out)
    :param follows: the version that the job was made from (the newest if left out)
    :param drawing: a drawing that you mark, to see later if it changed (drawings in the job are watched anyway)
    """
    content = job.job()
    name = as_ if as_ is not None else content.item.name
    with output.typed():
        core.profile_names.checked_name(name)
    plan = job.plan_of_marks()
    stamp = core.stored_profiles.load(name, job.profiles, follows).version.stamp if follows is not None else None
    with output.waiting("laying out the artwork"):
        wish = core.profiles.SaveWish(name, stamp, tuple(drawing or ()))
        saved = core.profiles.save_job(content, plan, wish, job.profiles, job.drawings, core.marking.drawn_marks)
    output.report_saved(saved, "saved as")
    return output.verdict(plan)


def list_(
    *words: Annotated[str, Parameter(name="WORD")],
    at_least: Length | None = None,
    at_most: Length | None = None,
    coating: str = "",
    laser: str = "",
    proven: bool = False,
    json: Json = False,
    store: Store = None,
) -> int:
    """List or search the saved jobs. Those that you proved last come first.

    Example: rotary profile list green --at-most "90 mm"

    :param words: words to find in name, note, coating or laser
    :param at_least: only items with at least this diameter everywhere
    :param at_most: only items with at most this diameter everywhere
    :param coating: only this coating
    :param laser: words of the laser's name, as "60 W"
    :param proven: only proven jobs
    """
    if at_least is not None and at_most is not None and at_least > at_most:
        raise BadArgument(f"--at-least {at_least:g} mm is more than --at-most {at_most:g} mm: swap the two")
    folder = store_of(store)
    everything = core.index.entries(folder)
    chosen = core.index.search(everything, " ".join(words), at_least, at_most, coating, laser, proven)
    none = f"nothing is saved in {folder} yet. To save a job: rotary profile save JOB --as NAME"
    none = "no saved job fits your search: leave out a word or an option" if everything else none
    data = [{**asdict(entry), "path": str(folder / entry.home)} for entry in chosen]
    return output.answer(json, data, [line for entry in chosen for line in entry.lines(folder)] or [none])


def find(job: NamedJob, json: Json = False) -> int:
    """List the saved jobs whose items are most like the item you just measured.

    Example: rotary profile find cup.toml
    """
    near = core.near_profiles.nearest(job.job().item, core.index.entries(job.profiles), system=job.system)
    data = [{"name": one.entry.name, "off_mm": one.off_mm, "differs": one.differs} for one in near]
    lines = [line for one in near for line in (one.summary(job.system), *(f"    ! {text}" for text in one.differs))]
    return output.answer(json, data, lines or ["no saved job has an item like this one"])


def show(profile: Stored, version: Version = None, json: Json = False) -> int:
    """Print the file of a saved job.

    Example: rotary profile show "regatta bottle"
    """
    found = profile.opened(version, alone=False)
    output.answer(json, found.profile, core.places.read(found.version.path).decode("utf-8-sig").splitlines())
    for text in filter(None, () if json else (found.read_only, found.doubt)):
        output.complain(text)
    return output.OK


def repeat(
    profile: SavedJob, now: Today, sheet: PaperTo, version: Version = None, json: Json = False, plain: Plain = False
) -> int:
    """Print a saved job for a repeat: the numbers you ran, what to check first, what has changed.

    Example: rotary profile repeat "regatta bottle" --to repeat.pdf
    """
    # Its artwork lies where it is called from, or beside the job that names today's setup.
    named = NamedJob(**{**vars(profile), "name": now.today or "-"})
    output.refuse_two_forms(json, plain)
    refuse_lines(sheet.to, plain)
    output.refuse_file(sheet.to, named.sources)
    found = profile.opened(version)
    job = core.checks.with_setup_of(found.profile.job, named.job()) if now.today else None
    how = named.repeat_of(found, job)
    how = how.on_batch(now.batch) if now.batch else how
    how = how.as_planned_anew() if now.anew else how
    if not json:
        return setup_sheet(named, sheet, plain, how)
    actions = core.actions.actions_of_repeat(how, named.drawings) if how.run is not None else None
    output.answer(json, core.repeat_lines.repeat_data(how, actions), (), sheet.to, named.sources)
    return output.OK if how.run is not None else output.verdict(how.today())


def proven(profile: RunJob, version: Version = None) -> int:
    """Mark a saved job proven: you ran it, and it came out well.

    Example: rotary profile proven "regatta bottle" --batch April
    """
    how = profile.repeat_of(profile.opened(version))
    try:
        with profile.said():
            done = core.profiles.prove_texts(how, profile.texts("clear"), profile.numbers or "", profile.files)
    except NoPlan as none:
        output.complain(str(none))
        return output.NO_PASSES
    assert done.saved is not None
    return output.report_saved(done.saved, "proven:")


def note(profile: Stored, text: Annotated[Text, Parameter(name="TEXT")], /) -> int:
    """Add a remark to a saved job.

    Example: rotary profile note "regatta bottle" "wipe twice"
    """
    if not text.strip() or len(text) > 2000:
        raise BadArgument("a remark has 1 to 2000 letters: write what you want to know next time")
    return output.report_saved(core.additions.add_note(profile.home, text), "noted in")


def reading(
    profile: Stored,
    of: str | None = None,
    shows: str | None = None,
    place: str = "",
    note: Note = "",
    ignore: Number | None = None,
) -> int:
    """Add a reading to a saved job, or ignore one.

    Example: rotary profile reading "regatta bottle" --of "test patch" --shows clean

    :param of: what you read: a patch, a seam test, a diameter
    :param shows: what the reading showed
    :param place: where you took the reading: the cell, or the height
    :param ignore: ignore reading N; it stays on file
    """
    if ignore is not None:
        return output.report_saved(core.additions.strike_reading(profile.home, ignore), "ignored in")
    if of is None or shows is None:
        raise BadArgument('a reading needs its name and what it showed: write --of "test patch" --shows clean')
    texts = {"on": core.record.now(), "of": of, "shows": shows, "place": place, "note": note}
    entry = output.wish_of(core.record.RunReading, texts)
    return output.report_saved(core.additions.add_reading(profile.home, entry), "written into")


def copy(profile: Stored, new: NewName, /, *, version: Version = None) -> int:
    """Copy a saved job under another name.

    Example: rotary profile copy "mug" "blue mug"
    """
    return output.report_saved(core.stored_profiles.copy(profile.name, new, profile.profiles, version), "copied to")


def rename(profile: Stored, new: NewName, /) -> int:
    """Give a saved job another name.

    Example: rotary profile rename "mug" "old mug"
    """
    return output.report_saved(core.stored_profiles.rename(profile.name, new, profile.profiles), "now called")


def history(profile: Stored, /, *, json: Json = False) -> int:
    """List the versions of a saved job.

    Example: rotary profile history "regatta bottle"
    """
    versions = core.history.history_of(profile.home)
    return output.answer(json, [asdict(past) for past in versions], [line for past in versions for line in past.lines])


def compare(
    profile: Stored,
    before: Annotated[str | None, Parameter(name="N")] = None,
    after: Annotated[str | None, Parameter(name="M")] = None,
    /,
    *,
    with_: str | None = None,
    inches: Inches = False,
    json: Json = False,
) -> int:
    """Show what changed between two versions of a saved job.

    Example: rotary profile compare "regatta bottle" 2 5

    :param before: one version (if left out, the last but one)
    :param after: the other version (if left out, the newest)
    :param with_: another saved job, to compare with
    """
    name, folder = profile.name, profile.profiles
    among = core.places.versions(profile.home)
    if with_ is None and after is None and core.stored_profiles.is_name(before or "", folder):
        before, with_ = None, before
    if with_ is None and before is None and len(among) > 1:
        before = core.places.label(among[-2], among)
    one, other = (
        core.stored_profiles.load(name, folder, before),
        core.stored_profiles.load(with_ or name, folder, after),
    )
    changes = core.changes.profile_changes(one.profile, other.profile, "in" if inches else "mm")
    title = f"from {one.profile.saved.name}, version {one.label}, to {other.profile.saved.name}, {other.label}:"
    lines = [f"  {change.text}" for change in changes] or ["  nothing differs"]
    return output.answer(json, [change._asdict() for change in changes], [title, *lines])


def restore(profile: Stored, /, *, version: Version = None) -> int:
    """Make an older version the newest, or bring back a deleted job.

    Example: rotary profile restore "regatta bottle" --version 2
    """
    if version is not None:
        return output.report_saved(core.history.restore(profile.home, version), "restored")
    return output.report([f"brought back: {core.history.restore_from_bin(profile.name, profile.profiles)}"])


def resolve(profile: Stored, version: Annotated[str, Parameter(name="N")], /) -> int:
    """Choose which version to keep as the newest, if a job was saved twice from the same older version.

    Example: rotary profile resolve "regatta bottle" 5

    :param version: the version that becomes the newest
    """
    return output.report_saved(core.history.choose(profile.home, version), "resolved:")


def delete(profile: Stored, /) -> int:
    """Move a saved job with its history to the bin.

    Example: rotary profile delete "old mug"
    """
    place = core.history.discard(profile.name, profile.profiles)
    return output.report(
        [f'the job is now in the bin: {place}. To bring the job back: rotary profile restore "{profile.name}"']
    )


def bin(*, json: Json = False, store: Store = None) -> int:  # noqa: A001
    """List deleted jobs.

    Example: rotary profile bin
    """
    deleted = core.history.bin_entries(store_of(store))
    data = [{"name": one.entry.name, "versions": one.entry.count, "deleted": one.at} for one in deleted]
    lines = [*map(str, deleted), 'To bring a job back: rotary profile restore "NAME"']
    return output.answer(json, data, lines if deleted else ["the bin is empty"])


def repair(*, store: Store = None) -> int:
    """Repair saved jobs: set damaged files aside, bring back jobs deleted by hand.

    Example: rotary profile repair
    """
    done = core.history.mend(store_of(store))
    counts = f"{len(done.done)} versions of saved jobs repaired, {done.left_over} half-saved files removed"
    output.report([*map(str, done.done), counts])
    for trouble in done.troubles:
        output.complain(f"not repaired: {trouble}")
    return output.FILE_TROUBLE if done.troubles else output.OK


def export(*names: Names, to: File, store: Store = None) -> int:
    """Write saved jobs and their runs to one file.

    Example: rotary profile export "regatta bottle" --to bottles.zip

    :param names: the saved jobs (all if none is named)
    :param to: the file to write
    """
    count = core.transfer.export(names, store_of(store), to, output.said_yes.get())
    return output.report([f"{count} saved job{'s' if count != 1 else ''} written to {to}"])


def import_(file: File, /, *names: Names, store: Store = None) -> int:
    """Compare an exported file with your saved jobs, then import it. --dry-run only compares.

    Example: rotary profile import bottles.zip --dry-run

    :param file: a file that rotary profile export wrote
    :param names: the saved jobs to import (all if none is named)
    """
    folder = store_of(store)
    coming = core.transfer.preview(file, folder)
    core.transfer.refuse_missing(coming, names if coming.profiles else ())
    output.say(coming.lines())
    if not coming.profiles:
        says = "holds no saved job that can be imported: name a file that was written by rotary profile export"
        raise BadArgument(f"{brief(file, 80)} {says}")
    if is_dry_run():
        return output.say(["nothing was written. Leave --dry-run out to import the jobs"])
    return output.report(core.transfer.take(coming, folder, names or None) or ["there was nothing to import"])


app = group(
    save, list_, find, show, repeat, proven, note, reading, history, compare, restore, resolve, copy, rename, delete,
    bin, repair, export, import_,
)  # fmt: skip
