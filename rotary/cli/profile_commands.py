"""Saved jobs: what worked, to be found and repeated."""

from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli import core, output
from rotary.cli.jobs import NamedJob, SavedJob
from rotary.cli.options import PaperTo, Stored, options, store_of
from rotary.cli.values import CHOICE, Files, Json, Length, Note, Number, Plain, Store, Text, Typed, Version, whole
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, NoPlan


@options
class RunJob(SavedJob):
    """A saved job that was run, and what you can say about the run.

    :param passes: how many passes the first slice took
    :param power: the power that came clean, "26 %" (the first of the plan)
    :param numbers: which numbers you ran: saved (as in the saved job) or now (today's plan)
    :param file: a file you imported into the marking program; its fingerprint is saved
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
        with output.typed({"power": "--power"}):
            return core.run.CameClean(self.passes, core.logbook.power_from_text(self.power))

    @property
    def files(self) -> "tuple[core.record.ArtworkFile, ...]":
        """The files that the marking program was given."""
        return tuple(map(core.noting.artwork_file, self.file or ()))


@options
class Today:
    """What is different today from when the job was proven.

    :param today: a job with the turning and laser in the shop today
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
    :param drawing: a drawing you mark: its fingerprint is saved (drawings in the job are found anyway)
    """
    content = job.job()
    name = as_ if as_ is not None else content.item.name
    with output.typed():
        core.naming.checked_name(name)
    plan = job.plan_of_marks()
    stamp = core.keeping.load(name, job.profiles, follows).version.stamp if follows is not None else None
    with waiting("laying out the artwork"):
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
    """List or search the saved jobs, those proven last first.

    Example: rotary profile list green --at-most "90 mm"

    :param words: words to find in name, note, coating or laser
    :param at_least: only items at least this thick everywhere
    :param at_most: only items nowhere thicker than this diameter
    :param coating: only this coating
    :param laser: only this laser and lens
    :param proven: only those that are proven
    """
    if at_least is not None and at_most is not None and at_least > at_most:
        raise BadArgument(f"no item is at least {at_least:g} mm and at most {at_most:g} mm: swap the two")
    folder = store_of(store)
    everything = core.index.entries(folder)
    chosen = core.index.search(everything, " ".join(words), at_least, at_most, coating, laser, proven)
    lines = [line for entry in chosen for line in _lines(entry, folder)]
    if not everything:
        lines = [f"nothing is saved in {folder} yet. To save a job: rotary profile save JOB --as NAME"]
    data = [{**asdict(entry), "path": str(folder / entry.home)} for entry in chosen]
    return output.answer(json, data, lines or [f"none of the {len(everything)} saved jobs fits"])


def _lines(entry: "core.index.ProfileEntry", folder: Path) -> list[str]:
    state = entry.says if entry.at else "not readable"
    lines = [f"{entry.name}  version {entry.label or '-'}  {entry.at[:10] or '-'}  {state}  {folder / entry.home}"]
    both = " and ".join(entry.beside)
    beside = f"there are two newest versions, {both}: rotary profile compare, rotary profile resolve" if both else ""
    return [*lines, *(f"    ! {text}" for text in (entry.trouble, entry.read_only, entry.doubt, beside) if text)]


def find(job: NamedJob, json: Json = False) -> int:
    """List the saved jobs nearest to an item you just measured.

    Example: rotary profile find cup.toml
    """
    near = core.finding.nearest(job.job().item, core.index.entries(job.profiles), system=job.system)
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
    from rotary.cli.papers import printed_repeat, refuse_lines

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
        return printed_repeat(named, how, sheet, plain)
    actions = core.actions.actions_of_repeat(how, named.drawings) if how.run is not None else None
    output.deliver(core.repeat_lines.repeat_json(how, actions) + "\n", sheet.to, named.sources, json=True)
    return output.OK if how.run is not None else output.verdict(how.today())


def proven(profile: RunJob, version: Version = None) -> int:
    """Mark a saved job proven: you ran it, and it came out as wanted.

    Example: rotary profile proven "regatta bottle" --batch April
    """
    came, files, how = profile.came, profile.files, profile.repeat_of(profile.opened(version))
    try:
        with output.typed({"numbers": "--numbers"}):
            saved = core.profiles.prove_run(how, profile.numbers or "", came, profile.batch, profile.note, files)
    except NoPlan as none:
        output.complain(str(none))
        return output.NO_PASSES
    return output.report_saved(saved, "proven:")


def note(profile: Stored, text: Annotated[Text, Parameter(name="TEXT")], /) -> int:
    """Add a remark to a saved job.

    Example: rotary profile note "regatta bottle" "wipe twice"
    """
    if not text.strip() or len(text) > 2000:
        raise BadArgument("a remark has 1 to 2000 letters: write what to know next time")
    return output.report_saved(core.noting.add_note(profile.home, text), "noted in")


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
    :param shows: what it showed
    :param place: where: the cell, the height
    :param ignore: ignore reading N; it stays on file
    """
    if ignore is not None:
        return output.report_saved(core.noting.strike_reading(profile.home, ignore), "left out in")
    if of is None or shows is None:
        raise BadArgument('a reading needs a name and a result: write --of "test patch" --shows clean')
    entry = output.wish_of(
        core.record.RunReading, {"on": core.record.now(), "of": of, "shows": shows, "place": place, "note": note}
    )
    return output.report_saved(core.noting.add_reading(profile.home, entry), "written into")


COMMANDS: Final = (save, list_, find, show, repeat, proven, note, reading)
