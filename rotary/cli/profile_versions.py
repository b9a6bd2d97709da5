"""Versions and names of saved jobs, the bin, and what is carried from one computer to another."""

from typing import Annotated

from cyclopts import Parameter

from rotary.cli import core, profile_commands
from rotary.cli.options import Stored, group, store_of
from rotary.cli.output import FILE_TROUBLE, OK, answer, complain, over, report, report_saved, say
from rotary.cli.values import File, Inches, Json, Store, Version
from rotary.errors import brief
from rotary.files import is_dry_run

NewName = Annotated[str, Parameter(name="NEW", help="the other name")]
Names = Annotated[str, Parameter(name="NAME")]


def copy(profile: Stored, new: NewName, /, *, version: Version = None) -> int:
    """Copy a saved job to another name.

    Example: rotary profile copy "mug" "blue mug"
    """
    return report_saved(core.keeping.copy(profile.name, new, profile.profiles, version), "copied to")


def rename(profile: Stored, new: NewName, /) -> int:
    """Give a saved job another name.

    Example: rotary profile rename "mug" "old mug"
    """
    return report_saved(core.keeping.rename(profile.name, new, profile.profiles), "now called")


def history(profile: Stored, /, *, json: Json = False) -> int:
    """List the versions of a saved job.

    Example: rotary profile history "regatta bottle"
    """
    versions = core.history.history_of(profile.home)
    lines = []
    for past in versions:
        side = "  stands beside another" if past.beside else ""
        lines.append(f"{past.label:>4}  {past.at or 'not readable'}  {past.why or '-'}  {past.says}{side}")
        lines += [f"      ! {trouble}" for trouble in (past.trouble, past.doubt) if trouble]
    return answer(json, [{key: getattr(past, key) for key in past.__slots__} for past in versions], lines)


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

    :param before: one version (the last but one)
    :param after: the other (the newest)
    :param with_: another saved job, to compare with
    """
    name, folder = profile.name, profile.profiles
    among = core.places.versions(profile.home)
    if with_ is None and before is None and len(among) > 1:
        before = core.places.label(among[-2], among)
    one, other = core.keeping.load(name, folder, before), core.keeping.load(with_ or name, folder, after)
    changes = core.changes.profile_changes(one.profile, other.profile, "in" if inches else "mm")
    title = f"from {one.profile.saved.name}, version {one.label}, to {other.profile.saved.name}, {other.label}:"
    lines = [f"  {change.text}" for change in changes] or ["  nothing differs"]
    return answer(json, [str(change) for change in changes], [title, *lines])


def restore(profile: Stored, /, *, version: Version = None) -> int:
    """Make an older version the newest, or take back a deleted job.

    Example: rotary profile restore "regatta bottle" --version 2
    """
    if version is not None:
        return report_saved(core.history.restore(profile.home, version), "restored")
    return report([f"taken back: {core.history.restore_from_bin(profile.name, profile.profiles)}"])


def resolve(profile: Stored, version: Annotated[str, Parameter(name="N")], /) -> int:
    """Choose which version becomes the newest, if there are two newest.

    Example: rotary profile resolve "regatta bottle" 5

    :param version: the version that becomes the newest
    """
    return report_saved(core.history.choose(profile.home, version), "resolved:")


def delete(profile: Stored, /) -> int:
    """Move a saved job with its history to the bin.

    Example: rotary profile delete "old mug"
    """
    place = core.history.discard(profile.name, profile.profiles)
    return report([f"in the bin: {place}. To take it back: rotary profile restore"])


def bin(*, json: Json = False, store: Store = None) -> int:  # noqa: A001
    """List deleted jobs.

    Example: rotary profile bin
    """
    deleted = core.history.bin_entries(store_of(store))
    data = [{"name": one.entry.name, "versions": one.entry.count, "deleted": one.at} for one in deleted]
    lines = [f"{one.entry.name}  {one.entry.count} versions  deleted {one.at or 'by hand'}" for one in deleted]
    back = ['take one back with: rotary profile restore "NAME"']
    return answer(json, data, [*lines, *back] if lines else ["the bin is empty"])


def repair(*, store: Store = None) -> int:
    """Repair saved jobs: set damaged files aside, bring back those deleted by hand.

    Example: rotary profile repair
    """
    done = core.history.mend(store_of(store))
    lines = []
    for one in done.done:
        stands = f"version {one.good} stands" if one.good else "no version of it can be opened"
        lines.append(f"{one.name}, version {one.label}: {brief(one.reason, 200)}. {stands}. {one.aside}")
    report([*lines, f"{len(done.done)} versions repaired, {done.left_over} leftovers of broken-off saves cleared"])
    for trouble in done.troubles:
        complain(f"still in trouble: {trouble}")
    return FILE_TROUBLE if done.troubles else OK


def export(*names: Names, to: File, store: Store = None) -> int:
    """Write saved jobs and their runs to one file.

    Example: rotary profile export "regatta bottle" --to bottles.zip

    :param names: the saved jobs (all if none is named)
    :param to: the file to write
    """
    count = core.transfer.export(names, store_of(store), to, over() != "no")
    return report([f"{count} saved job{'s' if count != 1 else ''} written to {to}"])


def import_(file: File, /, *names: Names, store: Store = None) -> int:
    """Compare an exported file with your saved jobs, then import it. --dry-run only compares.

    Example: rotary profile import bottles.zip --dry-run

    :param file: a file that rotary profile export wrote
    :param names: the saved jobs to import (all if none is named)
    """
    folder = store_of(store)
    coming = core.transfer.preview(file, folder)
    say(coming.lines())
    if is_dry_run():
        return say(["nothing was written. Without --dry-run they are imported"])
    return report(core.transfer.take(coming, folder, names or None) or ["there was nothing to import"])


app = group(
    *profile_commands.COMMANDS, copy, rename, history, compare, restore, resolve, delete, bin, repair, export, import_
)
