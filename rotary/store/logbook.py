"""The logbook: what was run, when, with which settings, with what outcome; a file a run, never written over."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from pydantic import Field, ValidationError

from rotary.errors import Fault, FileTrouble, Refused, brief, counted, refuse, refuse_all
from rotary.faults import faults_of, model_from_texts
from rotary.files import toml_tables, write_new
from rotary.model import Model, Time
from rotary.sentences.runs import duration
from rotary.store import places
from rotary.store.old_sheets import with_actions
from rotary.store.profile_names import token
from rotary.store.profile_text import table_lines
from rotary.store.profiles import OpenedProfile
from rotary.store.record import OUTCOME_LABELS, ArtworkFile, AsRun, Moment, Name, Outcome, now
from rotary.toml import toml_trouble

MOST_ITEMS: Final = 100_000


class Run(Model):
    """One run: of which profile and version, how many items, how it came out, what was keyed in.

    `photo` is a photograph of the result, under the name that its copy has beside the versions of the profile,
    `machine_s` what the machine needed for one item by the plan, which runs logged by older tools lack [s].
    """

    on: Moment
    profile: str = Field(pattern=r"^[a-z0-9][a-z0-9-]{0,79}$")
    name: Name = Field(alias="as")
    version: str = Field(default="", max_length=40)
    outcome: Outcome
    items: int = Field(default=1, ge=1, le=MOST_ITEMS)
    spoiled: int = Field(default=0, ge=0, le=MOST_ITEMS)
    took_s: Time | None = Field(default=None, ge=0)
    machine_s: Time | None = Field(default=None, ge=0)
    batch: str = Field(default="", max_length=120)
    note: str = Field(default="", max_length=2000)
    files: tuple[ArtworkFile, ...] = ()
    photo: ArtworkFile | None = None
    plan: AsRun | None = None

    @property
    def summary(self) -> str:
        """The run in one line."""
        spoiled = f", {self.spoiled} spoiled" if self.spoiled else ""
        extra = "  ".join(filter(None, (self.batch, self.note)))
        pieces = f"{OUTCOME_LABELS[self.outcome]}  {counted(self.items, 'item')}{spoiled}"
        return f"{self.on:%Y-%m-%d %H:%M}  {self.name}  {pieces}  {extra}"


@dataclass(frozen=True, slots=True)
class Logbook:
    """Runs, the latest first, and what could not be read."""

    runs: tuple[Run, ...]
    troubles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Totals:
    """Runs in all."""

    runs: int
    items: int
    spoiled: int
    time_s: float
    outcomes: dict[Outcome, int]

    def summary(self) -> str:
        """One line for a person."""
        outcomes = ", ".join(f"{count} {OUTCOME_LABELS[name]}" for name, count in sorted(self.outcomes.items()))
        took = f", {duration(self.time_s)} at the machine" if self.time_s else ""
        spoiled = f", {self.spoiled} spoiled ({100 * self.spoiled / self.items:.1f} %)" if self.items else ""
        return (
            f"{counted(self.runs, 'run')} ({outcomes}), {counted(self.items, 'item')}{spoiled}{took}"
            if self.runs
            else "you have logged no runs yet"
        )


Numbers = Callable[[int | None, float | None], AsRun | None]
"""The numbers that were run, by how many passes the first slice took, and at which power [%]."""


def run_of(found: OpenedProfile, values: Mapping[str, Any]) -> Run:
    """A run of a profile's version as it was opened, now; raises Refused with every fault at once."""
    kept = found.profile.saved
    run = {"on": now(), "profile": kept.id, "as": kept.name, "version": found.version.stamp, "plan": kept.plan}
    entry = model_from_texts(Run, run | dict(values))
    if entry.spoiled > entry.items:
        raise refuse("spoiled", f"{entry.spoiled} of {entry.items} items can't be spoiled: write at most {entry.items}")
    return entry


def run_from_texts(texts: Mapping[str, str], found: OpenedProfile, numbers: Numbers) -> Run:
    """A run as a person fills it in: texts by the names of `Run`, with `passes` and `power` [%] of the first slice.

    A bare number of `took` is minutes. Raises Refused with every fault at once.
    """
    values: dict[str, Any] = {name: text.strip() for name, text in texts.items() if text.strip()}
    faults = []
    for name in ("items", "spoiled", "passes"):
        if name in values and not re.fullmatch("[0-9]{1,6}", values[name]):
            faults.append(Fault(name, f'"{brief(values[name])}" is not a count: type a whole number, like 12'))
        elif name in values:
            values[name] = int(values[name])
    passes, power = values.pop("passes", None), None
    try:
        power = power_from_text(values.pop("power", None))
    except Refused as refused:
        faults += refused.faults
    refuse_all(faults)
    if re.fullmatch(r"[0-9]+([.,][0-9]+)?", values.get("took", "")):
        values["took"] += " min"
    return run_of(found, values).but(plan=numbers(passes, power))


def power_from_text(text: str | None) -> float | None:
    """A power [%] as a person types it, "26" or "26 %"; raises Refused."""
    if text is None:
        return None
    if not re.fullmatch(r"[0-9]{1,3}([.,][0-9]{1,3})? ?%?", text):
        raise refuse("power", f"{brief(text) or 'nothing'} is not a power: type it in per cent, like 26")
    power = float(text.rstrip("% ").replace(",", "."))
    if not 0 < power <= 100:
        raise refuse("power", f"{power:g} % can't be set: write the power that cleaned the first slice, like 26 %")
    return power


def log(run: Run, folder: Path) -> Path:
    """Write a run into the logbook; when this returns, it is on disk whole. Raises FileTrouble."""
    text = "\n".join(table_lines(run)) + "\n"
    month = places.month_in(folder, run.on.strftime("%Y-%m"))
    while True:
        # Runs of the same second come back in the order in which they were logged.
        before = len([*month.glob(f"{places.dated(run.on)}-*.toml")])
        path = month / f"{places.dated(run.on)}-{before:02d}{token(4)}.toml"
        if write_new(path, text.encode()):
            return path


def run_from_bytes(raw: bytes, source: str) -> Run:
    """A run from its file; raises Refused."""
    try:
        tables: dict[str, Any] = toml_tables(raw[: places.LARGEST_BYTES].decode("utf-8-sig"))
        if "plan" in tables:
            tables["plan"] = with_actions(tables["plan"], {}, "plan")
        return Run.model_validate(tables, context={"units": "must"})
    except ValidationError as error:
        raise Refused(faults_of(error, Run)) from None
    except (ValueError, RecursionError) as trouble:
        raise refuse("", toml_trouble(source, trouble, "move the file to another folder")) from None


def logbook(folder: Path, profile: str = "", since: date | None = None) -> Logbook:
    """The runs of a store, of one profile's id if one is given, from a day on if one is given."""
    runs: list[Run] = []
    troubles: list[str] = []
    for path in places.run_files(folder, troubles):
        if since is not None and path.parent.name < since.strftime("%Y-%m"):
            continue
        try:
            run = run_from_bytes(places.read(path), path.name)
        except (Refused, FileTrouble) as trouble:
            troubles.append(f"{path.parent.name}/{path.name}: {str(trouble).splitlines()[0]}")
            continue
        if (not profile or run.profile == profile) and (since is None or run.on.date() >= since):
            runs.append(run)
    runs.sort(key=lambda run: run.on)
    return Logbook(tuple(reversed(runs)), tuple(troubles))


def totals(runs: Iterable[Run]) -> Totals:
    """Runs, items, spoiled ones and time in all."""
    listed = list(runs)
    return Totals(
        len(listed),
        sum(run.items for run in listed),
        sum(run.spoiled for run in listed),
        sum(run.took_s or 0.0 for run in listed),
        dict(Counter(run.outcome for run in listed)),
    )
