"""Saved jobs: what worked, to be found and repeated; their versions, names and bin; carried between computers."""

from dataclasses import asdict
from typing import Annotated, Final

from cyclopts import Parameter

from rotary.cli import core, output
from rotary.cli.jobs import NamedJob, RunJob, SavedJob
from rotary.cli.options import PaperTo, Stored, group, options, store_of
from rotary.cli.papers import refuse_lines, setup_sheet
from rotary.cli.values import File, Files, Inches, Json, Length, Note, Number, Plain, Store, Text, Version
from rotary.errors import BadArgument, NoPlan, brief, counted
from rotary.files import is_dry_run

NewName = Annotated[str, Parameter(name="NEW", help="the new name")]
Names = Annotated[str, Parameter(name="NAME")]
OLDER: Final = Parameter(help="the number of the older version (rotary profile history lists them)")


@options
class Today:
    """What is different today from when the job was proven.

    :param today: a job file with the rotary and laser that you use today (if left out, those of the saved job)
    :param batch: your name for the batch of coating on today's items
    :param anew: make a new plan instead of using the numbers you ran
    """

    today: str | None = None
    batch: str = ""
    anew: bool = False


def save(job: NamedJob, as_: str | None = None, follows: str | None = None, drawing: Files = None) -> int:
    """Plan a job, and save it under a name.

    Example: rotary profile save bottle.toml --as "regatta bottle"

    :param as_: the name for the saved job (if left out, the item's name)
    :param follows: the number of the version that you started from (if left out, the newest)
    :param drawing: a drawing that you mark: rotary tells you later if it has changed (rotary always checks the job's
        own drawings)
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
    """List or search the saved jobs. The jobs that you proved last come first.

    Example: rotary profile list green --at-most "90 mm"

    :param words: words to look for in the name, note, coating or laser
    :param at_least: only items whose smallest diameter is at least this, like "70 mm"
    :param at_most: only items whose largest diameter is at most this, like "90 mm"
    :param coating: only jobs on this coating, like "powder coat"
    :param laser: only jobs for this laser: words of its name, like "60 W"
    :param proven: only proven jobs
    """
    if at_least is not None and at_most is not None and at_least > at_most:
        raise BadArgument(f"--at-least {at_least:g} mm is more than --at-most {at_most:g} mm: swap the two lengths")
    folder = store_of(store)
    everything = core.index.entries(folder)
    chosen = core.index.search(everything, " ".join(words), at_least, at_most, coating, laser, proven)
    none = f"you have saved no job in {folder} yet. To save one: rotary profile save JOB --as NAME"
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
    return output.answer(json, data, lines or ["you have no saved job with an item like this one"])


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
    """Print the sheet to run a saved job again: the numbers you ran, what to check first, what has changed.

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
    return output.report_saved(done.saved, "marked proven as")


def note(profile: Stored, text: Annotated[Text, Parameter(name="TEXT")], /) -> int:
    """Add a note to a saved job.

    Example: rotary profile note "regatta bottle" "wipe twice"

    :param text: your note, in quotes
    """
    if not text.strip() or len(text) > 2000:
        raise BadArgument("a note has 1 to 2000 letters: write in quotes what you want to know next time")
    return output.report_saved(core.additions.add_note(profile.home, text), "note added to")


def reading(
    profile: Stored,
    of: str | None = None,
    shows: str | None = None,
    place: str = "",
    note: Note = "",
    ignore: Number | None = None,
) -> int:
    """Add to a saved job what you saw or measured, or ignore such a reading.

    Example: rotary profile reading "regatta bottle" --of "test patch" --shows clean

    :param of: what you looked at or measured, like "test patch" or "diameter"
    :param shows: what you saw or measured, like clean or "87.9 mm"
    :param place: where you looked or measured, like "cell 3" or "75 mm from the base"
    :param ignore: the number of a reading to ignore (it stays saved)
    """
    if ignore is not None:
        return output.report_saved(core.additions.strike_reading(profile.home, ignore), "reading ignored in")
    if of is None or shows is None:
        raise BadArgument(
            'a reading needs what you looked at and what you saw: write for example --of "test patch" --shows clean'
        )
    texts = {"on": core.record.now(), "of": of, "shows": shows, "place": place, "note": note}
    entry = output.wish_of(core.record.RunReading, texts)
    return output.report_saved(core.additions.add_reading(profile.home, entry), "reading added to")


def copy(profile: Stored, new: NewName, /, *, version: Version = None) -> int:
    """Copy a saved job under another name.

    Example: rotary profile copy "mug" "blue mug"
    """
    return output.report_saved(core.stored_profiles.copy(profile.name, new, profile.profiles, version), "copied to")


def rename(profile: Stored, new: NewName, /) -> int:
    """Give a saved job another name.

    Example: rotary profile rename "mug" "old mug"
    """
    return output.report_saved(core.stored_profiles.rename(profile.name, new, profile.profiles), "renamed to")


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

    :param before: the number of one version (if left out, the version before the newest)
    :param after: the number of the other version (if left out, the newest)
    :param with_: the name of another saved job to compare with
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
    was, now = (f'"{shown.profile.saved.name}" version {shown.label}' for shown in (one, other))
    title = f"What changed from {was} to {now}:"
    lines = [f"  {line}" for line in core.changes.change_lines(changes)] or ["  both versions are alike"]
    return output.answer(json, [change._asdict() for change in changes], [title, *lines])


def restore(profile: Stored, /, *, version: Annotated[str | None, OLDER] = None) -> int:
    """With --version, make an older version the newest. Without --version, bring a deleted job back from the bin.

    Example: rotary profile restore "regatta bottle" --version 2
    """
    if version is not None:
        return output.report_saved(
            core.history.restore(profile.home, version), f"version {version} is now the newest, as"
        )
    return output.report(
        [f"brought back from the bin: {core.history.restore_from_bin(profile.name, profile.profiles)}"]
    )


def resolve(profile: Stored, version: Annotated[str, Parameter(name="N")], /) -> int:
    """If a job was saved twice from the same older version: choose which of the two becomes the newest.

    Example: rotary profile resolve "regatta bottle" 5

    :param version: the number of the version that becomes the newest
    """
    return output.report_saved(core.history.choose(profile.home, version), "the newest version is now")


def delete(profile: Stored, /) -> int:
    """Move a saved job, with all its versions, to the bin.

    Example: rotary profile delete "old mug"
    """
    place = core.history.discard(profile.name, profile.profiles)
    return output.report(
        [f'the job is now in the bin: {place}. To bring the job back: rotary profile restore "{profile.name}"']
    )


def bin(*, json: Json = False, store: Store = None) -> int:  # noqa: A001
    """List the jobs that you deleted.

    Example: rotary profile bin
    """
    deleted = core.history.bin_entries(store_of(store))
    data = [{"name": one.entry.name, "versions": one.entry.count, "deleted": one.at} for one in deleted]
    lines = [*map(str, deleted), 'To bring a job back: rotary profile restore "NAME"']
    return output.answer(json, data, lines if deleted else ["the bin is empty"])


def repair(*, store: Store = None) -> int:
    """Repair saved jobs: set damaged files aside, and bring back files that somebody deleted by hand.

    Example: rotary profile repair
    """
    done = core.history.mend(store_of(store))
    left = f"removed {counted(done.left_over, 'half-saved file')}" if done.left_over else ""
    counts = " and ".join(filter(None, (f"repaired {counted(len(done.done), 'file')}" if done.done else "", left)))
    output.report([*map(str, done.done), counts or ("" if done.troubles else "nothing was damaged")])
    for trouble in done.troubles:
        output.complain(f"not repaired: {trouble}")
    return output.FILE_TROUBLE if done.troubles else output.OK


def export(*names: Names, to: File, store: Store = None) -> int:
    """Write saved jobs and their runs to one file, for another computer.

    Example: rotary profile export "regatta bottle" --to bottles.zip

    :param names: the names of saved jobs (if left out, all)
    :param to: the file to write, like bottles.zip
    """
    count = core.transfer.export(names, store_of(store), to, output.said_yes.get())
    return output.report([f"wrote {counted(count, 'saved job')} to {to}"])


def import_(file: File, /, *names: Names, store: Store = None) -> int:
    """Compare an exported file with your saved jobs, then import it. --dry-run only compares.

    Example: rotary profile import bottles.zip --dry-run

    :param file: a file that rotary profile export wrote
    :param names: the names of the jobs to import (if left out, all)
    """
    folder = store_of(store)
    coming = core.transfer.preview(file, folder)
    core.transfer.refuse_missing(coming, names if coming.profiles else ())
    output.say(coming.lines())
    if not coming.profiles:
        says = "holds no saved job that rotary can import: name a file that rotary profile export wrote"
        raise BadArgument(f"{brief(file, 80)} {says}")
    if is_dry_run():
        return output.say(
            ["rotary imported nothing, because you wrote --dry-run. To import the jobs, leave --dry-run out"]
        )
    return output.report(
        core.transfer.take(coming, folder, names or None) or ["you have all of these jobs already: nothing to import"]
    )


app = group(
    save, list_, find, show, repeat, proven, note, reading, history, compare, restore, resolve, copy, rename, delete,
    bin, repair, export, import_,
)  # fmt: skip
