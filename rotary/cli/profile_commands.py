"""Saved jobs: what worked, to be found and repeated."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from cyclopts import Parameter

from rotary.cli.jobs import NamedJob
from rotary.cli.options import (
    CHOICE,
    HERE,
    Files,
    Inches,
    JobName,
    Json,
    Length,
    Number,
    Paper,
    Plain,
    ProfileName,
    Store,
    Text,
    ToFile,
    Version,
    Where,
    group,
    store_of,
    whole,
)
from rotary.cli.output import FILE_TROUBLE, NO_PASSES, OK, complain, over, report, say_json, say_lines
from rotary.errors import BadArgument, NoPlan, brief

if TYPE_CHECKING:
    from rotary.store.index import ProfileEntry
    from rotary.store.keeping import OpenedProfile, Saved

Numbers = Annotated[
    Literal["saved", "now"] | None,
    CHOICE,
    Parameter(help="which numbers were run: saved (as in the profile) or now (today's plan)"),
]
FirstPasses = Annotated[int | None, whole(0, 1000), Parameter(help="how many passes the first slice took")]
RunFiles = Annotated[
    list[Path] | None, Parameter(negative="", help="a file the marking program was given; its fingerprint is stored")
]
Batch = Annotated[str, Parameter(help="which batch of the coating")]
Note = Annotated[Text, Parameter(help="a remark that is stored with it")]

app = group("profile", "Saved jobs: what worked, to be found and repeated.")


def _home(name: str, store: Path | None) -> Path:
    from rotary.store.keeping import located

    folder = store_of(store)
    return folder / located(name, folder).home


def _saved(saved: "Saved", done: str) -> int:
    if saved.conflict:
        complain(f"{saved.conflict}: rotary profile compare, rotary profile resolve")
    return report([f"{done} {saved.name}, version {saved.label}: {saved.path}"])


def opened(name: str, store: Path | None, version: str | None = None, alone: bool = True) -> "OpenedProfile":
    """A profile; where two versions stand side by side and none is asked for, the person has to say which."""
    from rotary.store.keeping import Damaged, load
    from rotary.store.spare import edits

    try:
        profile = load(name, store_of(store), version)
    except Damaged as damaged:
        complain(str(damaged))
        for edit in edits(damaged.version)[:10]:
            complain(f"since it was saved, {edit}")
        offer = f"--version {damaged.good} uses the last good one; " if damaged.good else ""
        raise BadArgument(f"{offer}rotary profile repair sets the damaged file aside, or put the line right") from None
    if alone and profile.beside and version is None:
        both = " and ".join(profile.beside)
        says = f"versions {both} stand side by side: look with rotary profile compare, say which with rotary profile"
        raise BadArgument(f"{says} resolve, or name one with --version")
    if profile.doubt:
        for edit in edits(profile.version)[:10]:
            complain(f"since it was saved, {edit}")
    return profile


@app.command
def save(
    job: JobName,
    /,
    *,
    as_: Annotated[str | None, Parameter(name="--as", help="the profile's name (the item's name if left out)")] = None,
    follows: str | None = None,
    drawing: Files = None,
    where: Where = HERE,
) -> int:
    """Plan a job and save it as a profile.

    Example: rotary profile save bottle.toml --as "regatta bottle"

    :param follows: the version that the job was made from (the newest if left out)
    :param drawing: a drawing that is marked: its fingerprint is stored (those in the job are found anyway)
    """
    from rotary.cli.answers import typed, verdict
    from rotary.cli.waiting import waiting
    from rotary.inscription.actions import drawn_marks
    from rotary.services.profiles import SaveWish, save_job
    from rotary.store.keeping import load
    from rotary.store.naming import checked_name

    named = NamedJob(job, where)
    content = named.job()
    with typed():
        checked_name(as_ if as_ is not None else content.item.name)
    answer = named.with_words(named.plan())
    name = as_ if as_ is not None else content.item.name
    stamp = load(name, where.profiles, follows).version.stamp if follows is not None else None
    with waiting("laying out the artwork"):
        wish = SaveWish(name, stamp, tuple(drawing or ()))
        saved = save_job(content, answer, wish, where.profiles, named.beside, drawn_marks)
    _saved(saved, "saved as")
    return verdict(answer)


@app.command(name="list")
def list_(
    *words: Annotated[str, Parameter(name="WORD", help="words that must occur in name, note, coating or laser")],
    at_least: Length | None = None,
    at_most: Length | None = None,
    coating: str = "",
    head: str = "",
    proven: bool = False,
    json: Json = False,
    store: Store = None,
) -> int:
    """List or search the saved profiles, those proven last first.

    Example: rotary profile list green --at-most "90 mm"

    :param at_least: only items nowhere thinner than this diameter
    :param at_most: only items nowhere thicker than this diameter
    :param coating: only this coating
    :param head: only this laser and lens
    :param proven: only those that are proven
    """
    from rotary.store.index import entries, search

    folder = store_of(store)
    everything = entries(folder)
    chosen = search(everything, " ".join(words), at_least, at_most, coating, head, proven)
    if json:
        return say_json([_entry_data(entry, folder) for entry in chosen])
    if not everything:
        return say_lines([f"nothing is saved in {folder} yet; save a job with: rotary profile save JOB --as NAME"])
    if not chosen:
        return say_lines([f"none of the {len(everything)} profiles fits"])
    return say_lines(line for entry in chosen for line in _entry_lines(entry, folder))


def _entry_data(entry: "ProfileEntry", folder: Path) -> dict[str, object]:
    from dataclasses import asdict

    return {**asdict(entry), "path": str(folder / entry.home)}


def _entry_lines(entry: "ProfileEntry", folder: Path) -> list[str]:
    state = "not readable" if not entry.at else entry.says
    where = str(folder / entry.home)
    lines = [f"{entry.name}  version {entry.label or '-'}  {entry.at[:10] or '-'}  {state}  {where}"]
    lines += [f"    ! {trouble}" for trouble in (entry.trouble, entry.read_only, entry.doubt) if trouble]
    if entry.beside:
        both = " and ".join(entry.beside)
        lines.append(f"    ! versions {both} stand side by side: rotary profile compare, rotary profile resolve")
    return lines


@app.command
def find(job: JobName, /, *, json: Json = False, where: Where = HERE) -> int:
    """List the profiles nearest to an item that was just measured.

    Example: rotary profile find cup.toml
    """
    from rotary.store.finding import nearest
    from rotary.store.index import entries

    item = NamedJob(job, where).job().item
    near = nearest(item, entries(where.profiles), system=where.system)
    if json:
        keys = ("off_mm", "differs")
        return say_json([{"name": one.entry.name, **{key: getattr(one, key) for key in keys}} for one in near])
    lines = [line for one in near for line in (one.summary(where.system), *(f"    ! {text}" for text in one.differs))]
    return say_lines(lines or ["no profile of such an item is saved"])


@app.command
def show(name: ProfileName, /, *, version: Version = None, json: Json = False, store: Store = None) -> int:
    """Print a profile as its file has it.

    Example: rotary profile show "regatta bottle"
    """
    from rotary.store.places import read

    profile = opened(name, store, version, alone=False)
    if json:
        return say_json(profile.profile.model_dump(mode="json"))
    say_lines(read(profile.version.path).decode("utf-8-sig").splitlines())
    for text in (profile.read_only, profile.doubt):
        if text:
            complain(text)
    return OK


@app.command
def repeat(
    name: ProfileName,
    /,
    *,
    version: Version = None,
    today: Annotated[str | None, Parameter(help="a job whose drive and laser are in the shop today")] = None,
    batch: Annotated[str, Parameter(help="which batch of the coating is on today's items")] = "",
    anew: bool = False,
    json: Json = False,
    plain: Plain = False,
    to: ToFile = None,
    paper: Paper = None,
    where: Where = HERE,
) -> int:
    """Print a profile for a repeat: the numbers that were run, what to check first, what was changed.

    Example: rotary profile repeat "regatta bottle" --to repeat.pdf

    :param anew: today's plan in place of the numbers that were run
    """
    from rotary.cli.answers import deliver, refuse_file_asked_for
    from rotary.cli.print_commands import printed_repeat, refuse_lines
    from rotary.repeat.checks import with_setup_of

    # Its artwork lies where it is called from, or beside the job that names today's setup.
    named = NamedJob(today or "-", where)
    refuse_lines(to, plain)
    refuse_file_asked_for(to, named.sources)
    profile = opened(name, where.store, version)
    job = profile.profile.job
    how = named.repeat_of(profile, with_setup_of(job, named.job()) if today else job)
    how = how.on_batch(batch) if batch else how
    how = how.as_planned_anew() if anew else how
    if json:
        from rotary.cli.answers import verdict
        from rotary.repeat.telling import repeat_json
        from rotary.services.actions import actions_of_repeat

        actions = actions_of_repeat(how, named.beside) if how.run is not None else None
        deliver(repeat_json(how, actions) + "\n", to, named.sources, json=True)
        return OK if how.run is not None else verdict(how.today())
    return printed_repeat(named, how, to, paper, plain)


@app.command
def proven(
    name: ProfileName,
    /,
    *,
    version: Version = None,
    passes: FirstPasses = None,
    numbers: Numbers = None,
    file: RunFiles = None,
    batch: Batch = "",
    note: Note = "",
    where: Where = HERE,
) -> int:
    """Mark a profile proven: it was run, and came out as wanted.

    Example: rotary profile proven "regatta bottle" --batch April
    """
    from rotary.services.profiles import prove_run
    from rotary.store.noting import artwork_file

    profile = opened(name, where.store, version)
    how = NamedJob("-", where).repeat_of(profile, profile.profile.job)
    try:
        files = tuple(artwork_file(path) for path in file or ())
        saved = prove_run(how, numbers or "", passes, batch, note, files)
    except NoPlan as none:
        complain(str(none))
        return NO_PASSES
    return _saved(saved, "proven:")


@app.command(name="note")
def note_(name: ProfileName, text: Annotated[Text, Parameter(name="TEXT")], /, *, store: Store = None) -> int:
    """Add a remark to a profile.

    Example: rotary profile note "regatta bottle" "wipe twice"
    """
    from rotary.store.noting import add_note

    if not text.strip() or len(text) > 2000:
        raise BadArgument("a remark has 1 to 2000 letters: write what should be known next time")
    return _saved(add_note(_home(name, store), text), "noted in")


@app.command
def reading(
    name: ProfileName,
    /,
    *,
    of: str | None = None,
    shows: str | None = None,
    place: str = "",
    note: Note = "",
    ignore: Number | None = None,
    store: Store = None,
) -> int:
    """Add something that was read to a profile, or leave one out.

    Example: rotary profile reading "regatta bottle" --of "test patch" --shows clean

    :param of: what was read: a patch, a seam test, a diameter
    :param shows: what it shows
    :param place: where: the cell, the height
    :param ignore: leave reading N out; it stays on file
    """
    from rotary.cli.answers import typed
    from rotary.faults import model_from_texts
    from rotary.store.noting import add_reading, strike_reading
    from rotary.store.record import RunReading, now

    home = _home(name, store)
    with typed():
        if ignore is not None:
            return _saved(strike_reading(home, ignore), "left out in")
        given = {"on": now(), "of": of, "shows": shows, "place": place, "note": note}
        entry = model_from_texts(RunReading, {key: value for key, value in given.items() if value is not None})
    return _saved(add_reading(home, entry), "written into")


@app.command
def copy(
    name: ProfileName,
    new: Annotated[str, Parameter(name="NEW", help="the other name")],
    /,
    *,
    version: Version = None,
    store: Store = None,
) -> int:
    """Copy a profile to another name.

    Example: rotary profile copy "mug" "blue mug"
    """
    from rotary.cli.answers import typed
    from rotary.store.keeping import copy as copied

    with typed():
        return _saved(copied(name, new, store_of(store), version), "copied to")


@app.command
def rename(
    name: ProfileName, new: Annotated[str, Parameter(name="NEW", help="the other name")], /, *, store: Store = None
) -> int:
    """Give a profile another name.

    Example: rotary profile rename "mug" "old mug"
    """
    from rotary.cli.answers import typed
    from rotary.store.keeping import rename as renamed

    with typed():
        return _saved(renamed(name, new, store_of(store)), "now called")


@app.command
def history(name: ProfileName, /, *, json: Json = False, store: Store = None) -> int:
    """List the versions of a profile.

    Example: rotary profile history "regatta bottle"
    """
    from rotary.store.history import history_of

    versions = history_of(_home(name, store))
    if json:
        return say_json([{key: getattr(past, key) for key in past.__slots__} for past in versions])
    lines = []
    for past in versions:
        side = "  stands beside another" if past.beside else ""
        lines.append(f"{past.label:>4}  {past.at or 'not readable'}  {past.why or '-'}  {past.says}{side}")
        lines += [f"      ! {trouble}" for trouble in (past.trouble, past.doubt) if trouble]
    return say_lines(lines)


@app.command
def compare(
    name: ProfileName,
    before: Annotated[str | None, Parameter(name="N", help="one version (the last but one)")] = None,
    after: Annotated[str | None, Parameter(name="M", help="the other (the newest)")] = None,
    /,
    *,
    with_: Annotated[str | None, Parameter(name="--with", help="another profile, to compare with that")] = None,
    inches: Inches = False,
    json: Json = False,
    store: Store = None,
) -> int:
    """Say what changed between two versions of a profile.

    Example: rotary profile compare "regatta bottle" 2 5
    """
    from rotary.store.changes import profile_changes
    from rotary.store.keeping import load
    from rotary.store.places import label, versions

    folder = store_of(store)
    among = versions(_home(name, store))
    if with_ is None and before is None and len(among) > 1:
        before = label(among[-2], among)
    one, other = load(name, folder, before), load(with_ or name, folder, after)
    changes = [str(change) for change in profile_changes(one.profile, other.profile, "in" if inches else "mm")]
    if json:
        return say_json(changes)
    title = f"from {one.profile.kept.name}, version {one.label}, to {other.profile.kept.name}, {other.label}:"
    return say_lines([title, *(f"  {change}" for change in changes or ["nothing differs"])])


@app.command
def restore(name: ProfileName, /, *, version: Version = None, store: Store = None) -> int:
    """Make an older version the newest, or take back a profile that was deleted.

    Example: rotary profile restore "regatta bottle" --version 2
    """
    from rotary.store.history import restore as restored
    from rotary.store.history import taken_back

    if version is not None:
        return _saved(restored(_home(name, store), version), "restored")
    return report([f"taken back: {taken_back(name, store_of(store))}"])


@app.command
def resolve(
    name: ProfileName,
    version: Annotated[str, Parameter(name="N", help="the version that goes on")],
    /,
    *,
    store: Store = None,
) -> int:
    """Say which of the versions that stand side by side goes on.

    Example: rotary profile resolve "regatta bottle" 5
    """
    from rotary.store.history import choose

    return _saved(choose(_home(name, store), version), "resolved:")


@app.command
def delete(name: ProfileName, /, *, store: Store = None) -> int:
    """Move a profile with its history to the bin.

    Example: rotary profile delete "old mug"
    """
    from rotary.store.history import discard

    return report([f"in the bin: {discard(name, store_of(store))}; rotary profile restore takes it back"])


@app.command
def bin(*, json: Json = False, store: Store = None) -> int:  # noqa: A001
    """List what was deleted, here or by hand.

    Example: rotary profile bin
    """
    from rotary.store.history import binned

    deleted = binned(store_of(store))
    if json:
        return say_json([{"name": one.entry.name, "versions": one.entry.count, "deleted": one.at} for one in deleted])
    lines = [
        f"{one.entry.name}  {one.entry.count} versions  {f'deleted {one.at}' if one.at else 'deleted by hand'}"
        for one in deleted
    ]
    return say_lines([*lines, 'take one back with: rotary profile restore "NAME"'] if lines else ["the bin is empty"])


@app.command
def repair(*, store: Store = None) -> int:
    """Look through all profiles: set damaged files aside, bring back what was deleted by hand.

    Example: rotary profile repair
    """
    from rotary.store.history import mend

    done = mend(store_of(store))
    lines = []
    for one in done.done:
        stands = f"version {one.good} stands" if one.good else "no version of it can be opened"
        lines.append(f"{one.name}, version {one.label}: {brief(one.reason, 200)}; {stands}; {one.aside}")
    report([*lines, f"{len(done.done)} versions put right, {done.left_over} left-overs of broken-off saves cleared"])
    for trouble in done.troubles:
        complain(f"still in trouble: {trouble}")
    return FILE_TROUBLE if done.troubles else OK


@app.command
def export(
    *names: Annotated[str, Parameter(name="NAME", help="the profiles (all if none is named)")],
    to: Annotated[Path, Parameter(help="the file to write")],
    store: Store = None,
) -> int:
    """Write profiles and their runs to one file.

    Example: rotary profile export "regatta bottle" --to bottles.zip
    """
    from rotary.store.carrying import export as exported

    count = exported(names, store_of(store), to, over() != "no")
    return report([f"{count} profile{'s' if count != 1 else ''} written to {to}"])


@app.command(name="import")
def import_(
    file: Annotated[Path, Parameter(name="FILE", help="a file that rotary profile export wrote")],
    /,
    *names: Annotated[str, Parameter(name="NAME", help="the profiles to import (all if none is named)")],
    store: Store = None,
) -> int:
    """Compare an exported file with your profiles, then import it; --dry-run only compares.

    Example: rotary profile import bottles.zip --dry-run
    """
    from rotary.files import only_said
    from rotary.store.carrying import preview, take

    folder = store_of(store)
    coming = preview(file, folder)
    say_lines(coming.lines())
    if only_said():
        return say_lines(["nothing was written; without --dry-run they are imported"])
    return report(take(coming, folder, names or None) or ["there was nothing to import"])
