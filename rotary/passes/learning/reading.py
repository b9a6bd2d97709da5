"""A reading: what was seen where one setting was marked, with everything it was marked with."""

from typing import Final, Literal, NamedTuple

from pydantic import Field

from rotary.faults import built
from rotary.job import Job
from rotary.laser import optics
from rotary.model import Energy, Length, Model, PulseDuration, Rate, Share, Speed, Thin, Time
from rotary.passes.plan.setting import Setting
from rotary.wishes import CONTROLS

Outcome = Literal["covered", "haze", "clear", "tinted", "cut", "not read"]
NOT_READ: Final = "not read"

OUTCOME_NAMES: Final[dict[Outcome, str]] = {
    "covered": "coating left", "haze": "residue", "clear": "clean", "tinted": "heat tint", "cut": "engraved",
    NOT_READ: "not read",
}  # fmt: skip
"""What a person reads for what is stored."""

OUTCOMES: Final[dict[Outcome, str]] = {
    "covered": "coating is left",
    "haze": "residue that wipes or scrapes off",
    "clear": "bare, unmarked metal",
    "tinted": "bare, but straw, brown or blue",
    "cut": "dull, frosted or engraved",
}
"""The five things that a person may see in a cell, and how each is told from the others."""


class Reading(Model):
    """One cell or one real job as it was marked and read; never a fitted number alone.

    A cell that is not read yet, or never will be, is there as "not read". `ignored` readings stay in the
    file but teach nothing. `inked_*` are the sides of what was marked in one place: the cell, or the
    ink of a slice. `item` is the name of what it was chosen for, `surface` where its cells lie and `row` and
    `column` its place among them; readings from before these were kept have none.
    """

    number: int = Field(ge=1)
    day: str = Field(pattern=r"^\d{4}-\d{2}-\d{2}$")
    source: Literal["patch", "job"]
    patch: str = ""
    cell: int | None = Field(default=None, ge=1)
    outcome: Outcome
    note: str = Field(default="", max_length=400)
    ignored: bool = False
    item: str = ""
    surface: Literal["", "scrap", "item"] = ""
    row: int | None = Field(default=None, ge=1)
    column: int | None = Field(default=None, ge=1)
    coating: str = Field(min_length=1)
    metal: str = Field(min_length=1)
    thickness_um: Thin | None = Field(default=None, gt=0)
    wall_mm: Length | None = Field(default=None, gt=0)
    laser: str = Field(min_length=1)
    spot_um: Thin = Field(gt=0)
    rayleigh_mm: Length = Field(gt=0)
    power_share: Share = Field(gt=0, le=1)
    frequency_khz: Rate = Field(gt=0)
    pulse_width_ns: PulseDuration = Field(gt=0)
    energy_mj: Energy = Field(gt=0)
    speed_mm_s: Speed = Field(gt=0)
    line_spacing_mm: Length = Field(gt=0)
    defocus_mm: Length
    passes: int = Field(ge=1)
    pause_s: Time = Field(ge=0)
    inked_width_mm: Length = Field(gt=0)
    inked_height_mm: Length = Field(gt=0)
    focus_mm: Length = Field(default=1.0, ge=0)


class Look(NamedTuple):
    """What a reading says of the look itself."""

    outcome: Outcome
    day: str
    source: Literal["patch", "job"] = "patch"
    number: int = 1
    patch: str = ""
    cell: int | None = None
    note: str = ""


ABOUT_THE_LOOK: Final = frozenset({*Look._fields, "ignored"})
"""What a reading says of the look itself; every other field is a setting, and stands on every paper of a patch."""


def reading_of(job: Job, setting: Setting, look: Look, inked_mm: tuple[float, float] = (5.0, 5.0)) -> Reading:
    """A reading of a setting on this job's item with its laser."""
    item, laser, beam = job.item, job.laser, optics(job.laser)
    return built(
        Reading,
        **look._asdict(),
        item=item.name,
        coating=item.coating or "none",
        metal=item.metal,
        thickness_um=item.coating_thickness_um,
        wall_mm=None if item.solid else item.wall_mm,
        laser=laser.name,
        spot_um=beam.spot_um,
        rayleigh_mm=beam.rayleigh_mm,
        **{name: getattr(setting, name) for name in (*CONTROLS, "passes", "pause_s")},
        energy_mj=setting.pulse_mj,
        inked_width_mm=inked_mm[0],
        inked_height_mm=inked_mm[1],
        focus_mm=job.tolerances.focus_mm,
    )
