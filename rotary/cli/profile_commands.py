"""Saved jobs: what worked, to be found and repeated."""

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.answers import deliver, refuse_file, refuse_two_forms, report_saved, typed, verdict, wish_of
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, TO_OUTPUT, PaperTo, Where, options, store_of
from rotary.cli.output import NO_PASSES, OK, answer, complain, say_lines
from rotary.cli.values import (
    CHOICE,
    Files,
    JobName,
    Json,
    Length,
    Note,
    Number,
    Plain,
    ProfileName,
    Store,
    Text,
    Typed,
    Version,
    whole,
)
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, NoPlan


@options
class RunSaid:
    """What a person says of a run.

    :param passes: how many passes the first slice took
    :param power: at which power it came clean, "26 %" (the first of the plan)
    :param numbers: which numbers were run: saved (as in the profile) or now (today's plan)
    :param file: a file the marking program was given; its fingerprint is stored
    :param batch: which batch of the coating
    """

    passes: Annotated[int | None, whole(0, 1000)] = None
    power: Typed = None
    numbers: Annotated[Literal["saved", "now"] | None, CHOICE] = None
    file: Files = None
    batch: str = ""
    note: Note = ""

    @property
    def came(self) -> "core.run.CameClean":
        """How the first slice came clean; raises BadArgument where the power is none."""
        with typed({"power": "--power"}):
            return core.run.CameClean(self.passes, core.logbook.power_from_text(self.power))

    @property
    def files(self) -> "tuple[core.record.ArtworkFile, ...]":
        """The files that the marking program was given."""
        return tuple(map(core.noting.artwork_file, self.file or ()))


NOTHING_SAID: Final = RunSaid()


@options
class Today:
    """What is otherwise today than when a profile was proven.

    :param today: a job whose drive and laser are in the shop today
    :param batch: which batch of the coating is on today's items
    :param anew: today's plan in place of the numbers that were run
    """

    today: str | None = None
    batch: str = ""
    anew: bool = False


AS_PROVEN: Final = Today()


def home_of(name: str, store: Path | None) -> Path:
    """The folder of a profile."""
    folder = store_of(store)
    return folder / core.keeping.located(name, folder).home


def opened(
    name: str, store: Path | None, version: str | None = None, alone: bool = True
) -> "core.keeping.OpenedProfile":
    """A profile; where two versions stand side by side and none is asked for, the person has to say which."""
    try:
        profile = core.keeping.load(name, store_of(store), version)
    except core.keeping.Damaged as damaged:
        complain(str(damaged))
        _complain_of(core.spare.edits(damaged.version))
        offer = f"--version {damaged.good} uses the last good one; " if damaged.good else ""
        raise BadArgument(f"{offer}rotary profile repair sets the damaged file aside, or put the line right") from None
    if alone and profile.beside and version is None:
        both = " and ".join(profile.beside)
        says = f"versions {both} stand side by side: look with rotary profile compare, say which with rotary profile"
        raise BadArgument(f"{says} resolve, or name one with --version")
    if profile.doubt:
        _complain_of(core.spare.edits(profile.version))
    return profile


def _complain_of(edits: Sequence[object]) -> None:
    for edit in edits[:10]:
        complain(f"since it was saved, {edit}")


def save(
    job: JobName, /, *, as_: str | None = None, follows: str | None = None, drawing: Files = None, where: Where = HERE
) -> int:
    """Plan a job and save it as a profile.

    Example: rotary profile save bottle.toml --as "regatta bottle"

    :param as_: the profile's name (the item's name if left out)
    :param follows: the version that the job was made from (the newest if left out)
    :param drawing: a drawing that is marked: its fingerprint is stored (those in the job are found anyway)
    """
    named = NamedJob(job, where)
    content = named.job()
    name = as_ if as_ is not None else content.item.name
    with typed():
        core.naming.checked_name(name)
    plan = named.plan_of_marks()
    stamp = core.keeping.load(name, where.profiles, follows).version.stamp if follows is not None else None
    with waiting("laying out the artwork"):
        wish = core.profiles.SaveWish(name, stamp, tuple(drawing or ()))
        saved = core.profiles.save_job(content, plan, wish, where.profiles, named.drawings, core.drawn_marks)
    report_saved(saved, "saved as")
    return verdict(plan)


def list_(
    *words: Annotated[str, Parameter(name="WORD")],
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

    :param words: words that must occur in name, note, coating or laser
    :param at_least: only items nowhere thinner than this diameter
    :param at_most: only items nowhere thicker than this diameter
    :param coating: only this coating
    :param head: only this laser and lens
    :param proven: only those that are proven
    """
    folder = store_of(store)
    everything = core.index.entries(folder)
    chosen = core.index.search(everything, " ".join(words), at_least, at_most, coating, head, proven)
    if json:
        return answer(True, [{**asdict(entry), "path": str(folder / entry.home)} for entry in chosen], ())
    if not everything:
        return say_lines([f"nothing is saved in {folder} yet; save a job with: rotary profile save JOB --as NAME"])
    if not chosen:
        return say_lines([f"none of the {len(everything)} profiles fits"])
    return say_lines(line for entry in chosen for line in _entry_lines(entry, folder))


def _entry_lines(entry: "core.index.ProfileEntry", folder: Path) -> list[str]:
    state = entry.says if entry.at else "not readable"
    lines = [f"{entry.name}  version {entry.label or '-'}  {entry.at[:10] or '-'}  {state}  {folder / entry.home}"]
    lines += [f"    ! {trouble}" for trouble in (entry.trouble, entry.read_only, entry.doubt) if trouble]
    if entry.beside:
        both = " and ".join(entry.beside)
        lines.append(f"    ! versions {both} stand side by side: rotary profile compare, rotary profile resolve")
    return lines


def find(job: JobName, /, *, json: Json = False, where: Where = HERE) -> int:
    """List the profiles nearest to an item that was just measured.

    Example: rotary profile find cup.toml
    """
    near = core.finding.nearest(
        NamedJob(job, where).job().item, core.index.entries(where.profiles), system=where.system
    )
    data = [{"name": one.entry.name, "off_mm": one.off_mm, "differs": one.differs} for one in near]
    lines = [line for one in near for line in (one.summary(where.system), *(f"    ! {text}" for text in one.differs))]
    return answer(json, data, lines or ["no profile of such an item is saved"])


def show(name: ProfileName, /, *, version: Version = None, json: Json = False, store: Store = None) -> int:
    """Print a profile as its file has it.

    Example: rotary profile show "regatta bottle"
    """
    profile = opened(name, store, version, alone=False)
    answer(json, profile.profile, core.places.read(profile.version.path).decode("utf-8-sig").splitlines())
    for text in filter(None, () if json else (profile.read_only, profile.doubt)):
        complain(text)
    return OK


def repeat(
    name: ProfileName,
    /,
    *,
    version: Version = None,
    now: Today = AS_PROVEN,
    json: Json = False,
    plain: Plain = False,
    sheet: PaperTo = TO_OUTPUT,
    where: Where = HERE,
) -> int:
    """Print a profile for a repeat: the numbers that were run, what to check first, what was changed.

    Example: rotary profile repeat "regatta bottle" --to repeat.pdf
    """
    from rotary.cli.print_commands import printed_repeat, refuse_lines

    # Its artwork lies where it is called from, or beside the job that names today's setup.
    named = NamedJob(now.today or "-", where)
    refuse_two_forms(json, plain)
    refuse_lines(sheet.to, plain)
    refuse_file(sheet.to, named.sources)
    profile = opened(name, where.store, version)
    job = profile.profile.job
    how = named.repeat_of(profile, core.checks.with_setup_of(job, named.job()) if now.today else job)
    how = how.on_batch(now.batch) if now.batch else how
    how = how.as_planned_anew() if now.anew else how
    if not json:
        return printed_repeat(named, how, sheet, plain)
    actions = core.actions.actions_of_repeat(how, named.drawings) if how.run is not None else None
    deliver(core.telling.repeat_json(how, actions) + "\n", sheet.to, named.sources, json=True)
    return OK if how.run is not None else verdict(how.today())


def proven(name: ProfileName, /, *, version: Version = None, said: RunSaid = NOTHING_SAID, where: Where = HERE) -> int:
    """Mark a profile proven: it was run, and came out as wanted.

    Example: rotary profile proven "regatta bottle" --batch April
    """
    profile = opened(name, where.store, version)
    came, files = said.came, said.files
    how = NamedJob("-", where).repeat_of(profile, profile.profile.job)
    try:
        with typed({"numbers": "--numbers"}):
            saved = core.profiles.prove_run(how, said.numbers or "", came, said.batch, said.note, files)
    except NoPlan as none:
        complain(str(none))
        return NO_PASSES
    return report_saved(saved, "proven:")


def note(name: ProfileName, text: Annotated[Text, Parameter(name="TEXT")], /, *, store: Store = None) -> int:
    """Add a remark to a profile.

    Example: rotary profile note "regatta bottle" "wipe twice"
    """
    if not text.strip() or len(text) > 2000:
        raise BadArgument("a remark has 1 to 2000 letters: write what should be known next time")
    return report_saved(core.noting.add_note(home_of(name, store), text), "noted in")


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
    home = home_of(name, store)
    if ignore is not None:
        with typed():
            return report_saved(core.noting.strike_reading(home, ignore), "left out in")
    if of is None or shows is None:
        raise BadArgument('say what was read and what it shows: write --of "test patch" --shows clean')
    entry = wish_of(
        core.record.RunReading, {"on": core.record.now(), "of": of, "shows": shows, "place": place, "note": note}
    )
    return report_saved(core.noting.add_reading(home, entry), "written into")


COMMANDS: Final = (save, list_, find, show, repeat, proven, note, reading)
