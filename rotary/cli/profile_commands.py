"""Saved jobs: what worked, to be found and repeated."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli.jobs import NamedJob
from rotary.cli.options import (
    CHOICE,
    HERE,
    Files,
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
    Typed,
    Version,
    Where,
    group,
    store_of,
    whole,
)
from rotary.cli.output import NO_PASSES, OK, complain, report, say_json, say_lines
from rotary.errors import BadArgument, NoPlan

if TYPE_CHECKING:
    from rotary.repeat.run import CameClean
    from rotary.store.index import ProfileEntry
    from rotary.store.keeping import OpenedProfile, Saved
    from rotary.store.record import ArtworkFile

Note = Annotated[Text, Parameter(help="a remark that is stored with it")]


@Parameter(name="*")
@dataclass(frozen=True, kw_only=True)
class RunSaid:
    """What a person says of a run."""

    passes: Annotated[int | None, whole(0, 1000), Parameter(help="how many passes the first slice took")] = None
    power: Annotated[Typed, Parameter(help='at which power it came clean, "26 %" (the first of the plan)')] = None
    numbers: Annotated[
        Literal["saved", "now"] | None,
        CHOICE,
        Parameter(help="which numbers were run: saved (as in the profile) or now (today's plan)"),
    ] = None
    file: Annotated[
        list[Path] | None,
        Parameter(negative="", help="a file the marking program was given; its fingerprint is stored"),
    ] = None
    batch: Annotated[str, Parameter(help="which batch of the coating")] = ""
    note: Note = ""

    @property
    def came(self) -> "CameClean":
        """How the first slice came clean; raises Refused where the power is none."""
        from rotary.repeat.run import CameClean
        from rotary.store.logbook import power_from_text

        return CameClean(self.passes, power_from_text(self.power))

    @property
    def files(self) -> "tuple[ArtworkFile, ...]":
        """The files that the marking program was given."""
        from rotary.store.noting import artwork_file

        return tuple(map(artwork_file, self.file or ()))


NOTHING_SAID: Final = RunSaid()

app = group("profile", "Saved jobs: what worked, to be found and repeated.")


def home_of(name: str, store: Path | None) -> Path:
    """The folder of a profile."""
    from rotary.store.keeping import located

    folder = store_of(store)
    return folder / located(name, folder).home


def report_saved(saved: "Saved", done: str) -> int:
    """Say which version was saved; the exit code."""
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
        saved = save_job(content, answer, wish, where.profiles, named.drawings, drawn_marks)
    report_saved(saved, "saved as")
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

        actions = actions_of_repeat(how, named.drawings) if how.run is not None else None
        deliver(repeat_json(how, actions) + "\n", to, named.sources, json=True)
        return OK if how.run is not None else verdict(how.today())
    return printed_repeat(named, how, to, paper, plain)


@app.command
def proven(
    name: ProfileName,
    /,
    *,
    version: Version = None,
    said: RunSaid = NOTHING_SAID,
    where: Where = HERE,
) -> int:
    """Mark a profile proven: it was run, and came out as wanted.

    Example: rotary profile proven "regatta bottle" --batch April
    """
    from rotary.cli.answers import typed
    from rotary.services.profiles import prove_run

    profile = opened(name, where.store, version)
    with typed():
        came, files = said.came, said.files
    how = NamedJob("-", where).repeat_of(profile, profile.profile.job)
    try:
        saved = prove_run(how, said.numbers or "", came, said.batch, said.note, files)
    except NoPlan as none:
        complain(str(none))
        return NO_PASSES
    return report_saved(saved, "proven:")


@app.command(name="note")
def note_(name: ProfileName, text: Annotated[Text, Parameter(name="TEXT")], /, *, store: Store = None) -> int:
    """Add a remark to a profile.

    Example: rotary profile note "regatta bottle" "wipe twice"
    """
    from rotary.store.noting import add_note

    if not text.strip() or len(text) > 2000:
        raise BadArgument("a remark has 1 to 2000 letters: write what should be known next time")
    return report_saved(add_note(home_of(name, store), text), "noted in")


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
    from rotary.cli.answers import typed, wish_of
    from rotary.store.noting import add_reading, strike_reading
    from rotary.store.record import RunReading, now

    home = home_of(name, store)
    if ignore is not None:
        with typed():
            return report_saved(strike_reading(home, ignore), "left out in")
    if of is None or shows is None:
        raise BadArgument('say what was read and what it shows: write --of "test patch" --shows clean')
    entry = wish_of(RunReading, {"on": now(), "of": of, "shows": shows, "place": place, "note": note})
    return report_saved(add_reading(home, entry), "written into")
