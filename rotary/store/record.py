"""What is kept of an item: the job it was planned from, and everything that was found out on it since."""

import re
import unicodedata
from datetime import UTC, date, datetime
from typing import Annotated, Any, Final, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from rotary.actions.models import Actions
from rotary.errors import brief
from rotary.job import Job
from rotary.model import Angle, Length, Model, PulseDuration, Rate, Share, Speed
from rotary.plan import Plan
from rotary.shipped import tool_version
from rotary.wishes import CONTROLS

FORMAT: Final = 7
"""The format that this tool writes; older ones are brought up to it when they are opened."""

LONGEST_NAME: Final = 400


def _moment(value: Any) -> Any:
    if isinstance(value, datetime):
        return value if value.tzinfo else value.astimezone()
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day).astimezone()
    raise ValueError(
        f"{brief(value) or 'an empty text'} is not a date: write it without quotes, like 2026-05-01T09:30:00Z"
    )


Moment = Annotated[datetime, BeforeValidator(_moment), WithJsonSchema({"type": "string", "format": "date-time"})]
"""A date with its time, as TOML has it: without quotes; one without a time zone is the local time."""


def _name(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    plain = " ".join(unicodedata.normalize("NFC", value).split())
    if not any(unicodedata.category(sign)[0] in "LNS" for sign in plain):
        raise ValueError(f'"{brief(plain)}" has no letter or digit: write a name such as "regatta bottle"')
    if len(plain) > LONGEST_NAME:
        raise ValueError(f"{brief(plain, 24)} has {len(plain)} letters: write a name of at most {LONGEST_NAME}")
    return plain


Name = Annotated[str, BeforeValidator(_name)]


def _bare_file_name(value: Any) -> Any:
    if isinstance(value, str) and (re.search(r"[/\\:]", value) or value.strip(". ") == ""):
        raise ValueError(f'{brief(value)} is a path: write only the name of the file, like "oars.svg"')
    return value


class ArtworkFile(Model):
    """Which drawing was marked: its name alone, never where it lay, and its fingerprint."""

    name: Annotated[str, BeforeValidator(_bare_file_name)] = Field(min_length=1, max_length=200)
    sha256: str = Field(pattern="^[0-9a-f]{64}$")
    size_bytes: int = Field(ge=0)


class AsRun(Model):
    """The numbers of a plan that were keyed in and set, so that a later plan can be held against them.

    `passes` are those planned, the last one too; `passes_counted` how many the first slice took before the last pass,
    where somebody counted. `actions` is all that was typed and done, in mm, which runs stored by older tools lack.
    """

    method: Literal["sliced", "flat"]
    slices: int = Field(ge=0)
    slice_width_mm: Length
    steps: int
    index_angle_rad: Angle
    focal_plane_mm: Length
    power_share: Share | None = None
    frequency_khz: Rate | None = None
    pulse_width_ns: PulseDuration | None = None
    speed_mm_s: Speed | None = None
    line_spacing_mm: Length | None = None
    defocus_mm: Length | None = None
    passes: int = Field(default=0, ge=0)
    chance_share: Share | None = None
    by: str = Field(default="", max_length=80)
    passes_counted: int | None = Field(default=None, ge=0, le=1000)
    actions: Actions | None = None


Outcome = Literal["clear", "coating-left", "metal-marked", "seams-show", "stopped", "spoiled"]
"""How a run came out; "clear" is what was wanted: the mark is there and the metal unharmed."""

OUTCOME_LABELS: Final[dict[Outcome, str]] = {
    "clear": "good", "coating-left": "coating left", "metal-marked": "engraved", "seams-show": "seams show",
    "stopped": "stopped", "spoiled": "spoiled",
}  # fmt: skip
"""What a person reads for each."""


class RunReading(Model):
    """One thing that was read off the item, a patch or a strip; struck ones stay but do not count."""

    on: Moment
    of: str = Field(min_length=1, max_length=80)
    place: str = Field(default="", max_length=80)
    shows: str = Field(min_length=1, max_length=200)
    power_share: Share | None = None
    frequency_khz: Rate | None = None
    pulse_width_ns: PulseDuration | None = None
    speed_mm_s: Speed | None = None
    line_spacing_mm: Length | None = None
    defocus_mm: Length | None = None
    passes: int | None = Field(default=None, ge=0)
    ignored: bool = False
    note: str = Field(default="", max_length=2000)


class Note(Model):
    """A dated remark."""

    on: Moment
    text: str = Field(min_length=1, max_length=2000)


class MachineReading(Model):
    """One reading of the machine, as it was when a run came out as wanted."""

    on: Moment
    of: str = Field(min_length=1, max_length=120)
    shows: str = Field(default="", max_length=2000)


class Proof(Model):
    """That a run came out as wanted: when, on which batch of the coating, and the whole job it was run with.

    `job` is stored in full, so that changes since then are listed by name and number. Where the plan was made for the
    machine as measured, `machine` names it and `machine_readings` are those that it rested on. `files` are those that
    the marking program was given.
    """

    on: Moment
    batch: str = Field(default="", max_length=120)
    note: str = Field(default="", max_length=2000)
    machine: str = Field(default="", max_length=120)
    machine_readings: tuple[MachineReading, ...] = ()
    files: tuple[ArtworkFile, ...] = ()
    plan: AsRun | None = None
    job: Job


class Record(Model):
    """What a profile says beyond its job: the table ``[saved]`` of the file.

    `id` stays the same through every version and name; `follows` holds the stamps of the
    versions that this one follows, two where a person chose between two that stood side by side.
    """

    format: int = FORMAT
    id: str = Field(pattern=r"^[a-z0-9][a-z0-9-]{0,79}$")
    name: Name = Field(alias="as")
    at: Moment
    by: str = Field(default="", max_length=80)
    follows: tuple[str, ...] = ()
    why: str = Field(default="", max_length=200)
    drawings: tuple[ArtworkFile, ...] = ()
    plan: AsRun | None = None
    proof: Proof | None = None
    readings: tuple[RunReading, ...] = ()
    notes: tuple[Note, ...] = ()


class Profile(Model):
    """An item profile: its job, and what is kept beside it."""

    job: Job
    saved: Record


def without_paths(job: Job) -> Job:
    """The job with its drawings and fonts by name alone: where they lie on one machine means nothing on another."""
    pieces = tuple(
        piece.model_copy(update={name: _last(own) for name in ("file", "font") if (own := getattr(piece, name))})
        for piece in job.artwork.pieces
    )
    if pieces != job.artwork.pieces:
        job = job.with_artwork(pieces=pieces)
    words = job.inscription
    if words is not None and words.font is not None and words.font != _last(words.font):
        job = job.but(inscription=words.but(font=_last(words.font)))
    return job


def _last(path: str) -> str:
    return re.split(r"[/\\:]", path)[-1].strip(". ") or "drawing"


def as_run(plan: Plan) -> AsRun:
    """The numbers of a plan that a profile keeps."""
    setting = plan.removal.setting
    laser = (
        {
            **{name: _short(getattr(setting, name)) for name in CONTROLS},
            "passes": len(plan.removal.rows),
            "chance_share": round(plan.choice.chance, 3) if plan.choice.samples else None,
        }
        if setting
        else {}
    )
    return AsRun(
        method=plan.split.method,
        slices=plan.split.slices,
        slice_width_mm=_short(plan.split.slice_width_mm),
        steps=plan.split.steps,
        index_angle_rad=_short(plan.split.index_angle_rad),
        focal_plane_mm=_short(plan.focus.focal_plane_mm),
        by=author(),
        **laser,
    )


def _short(value: float) -> float:
    """Six digits: finer than anything that can be set, and pleasant to read in a file."""
    return float(f"{value:.6g}")


def author() -> str:
    """This tool and its version, as files have it."""
    return f"rotary {tool_version()}"


def now() -> datetime:
    """The present moment, with its time zone, to the second."""
    return datetime.now(UTC).astimezone().replace(microsecond=0)
