"""The actions of a job, as fronts show them and profiles store them: one shape of row throughout."""

from collections.abc import Callable
from typing import Any, Final, Literal

from pydantic import Field, SerializerFunctionWrapHandler, create_model, model_serializer

from rotary.model import Model

State = Literal["not ready", "test first", "ready", "proven"]
"""How a job stands, in the order of precedence."""

Reason = Literal[
    "missing_fact", "impossible_fact", "coating_refused", "no_passes", "sample_laser", "steps_assumed", "seams_unknown",
    "coating_untried", "settings_untried", "readings_doubtful", "depth_untried", "changed", "rebuilt", "never_run",
    "readings", "run_well", "ran_badly", "marked_by_you", "other_batch",
]  # fmt: skip
StepId = Literal[
    "fill", "other_coating", "own_laser", "enter_steps", "turn_test", "measure_height", "edge_here", "measure_diameter",
    "machine_test", "motor_test", "gap_ladder", "test_patch", "trial_cut",
    "scrap_first", "program", "file_per_slice", "write_file", "print_sheet", "seam_test", "new_plan", "what_helps",
]  # fmt: skip
Deed = Literal[
    "edit", "laser", "tests", "patch", "depth", "program", "write_file", "write_slices", "print", "seam_test",
    "compare", "suggest",
]  # fmt: skip
"""What a front does for a step: a key of the screen, a command of the command line."""


class ActionRow(Model):
    """One thing to do or to see.

    `value` is a number, or a word where it can be none; `unit` is its unit, "" for counts and words. `label` and `text`
    are what it is called and what to do, in words. `rebuilt` marks a row that an older proof did not store.

    Some rows say more: `high` is a second length beside a width, `factor` how many times as large as drawn. `figure` is
    a number as it is typed, digit by digit; `of` what turns (roller or chuck); `real` what that field would truthfully
    hold where the number is deliberately another, and `leave` the warning beside it, `leave_in` for who measures in
    inches; `yours` what the person's own program calls the field. `end` is an end of the item, `base` the length from
    the end that stays down to where something is put under [mm], `from_at` and `rim_at` other heights [mm], `sense`
    which way an angle counts, `apex_over_bed` and `focus_over_bed` heights over the bed [mm], `steps` how many steps of
    the motor it is, `step` what makes a file that is not written yet, `about` names the piece of artwork, the part of
    the heights that has a focus of its own, or what shows where the front is, and lies `about_at` ° to the right of it.
    `first_letter` is where words begin round the item [°], `on_wall` an angle's length on the wall [mm]. Absent where
    there is nothing to say.
    """

    id: str = Field(max_length=40)
    value: int | float | str
    unit: str = Field(default="", max_length=20)
    label: str = Field(default="", max_length=200)
    text: str = Field(default="", max_length=2000)
    rebuilt: bool | None = None
    figure: str | None = Field(default=None, max_length=40)
    of: str | None = Field(default=None, max_length=40)
    real: float | str | None = None
    leave: str | None = Field(default=None, max_length=200)
    leave_in: str | None = Field(default=None, max_length=200)
    yours: str | None = Field(default=None, max_length=60)
    high: float | None = None
    factor: float | None = None
    end: str | None = Field(default=None, max_length=40)
    base: float | None = None
    from_at: float | None = None
    rim_at: float | None = None
    sense: str | None = Field(default=None, max_length=40)
    apex_over_bed: float | None = None
    focus_over_bed: float | None = None
    steps: int | None = None
    first_letter: float | None = None
    on_wall: float | None = None
    step: str | None = Field(default=None, max_length=40)
    about: str | None = Field(default=None, max_length=200)
    about_at: float | None = None

    @model_serializer(mode="wrap")
    def _without_absent(self, whole: SerializerFunctionWrapHandler):  # type: ignore[no-untyped-def]
        return {name: value for name, value in whole(self).items() if value is not None}


class Verdict(Model):
    """How a job stands, and why. `example` where laser and lens are a shipped example's.

    The chances, 0 to 1 and together 1, are those of a coated job: comes off clean, stays coated, metal marked. Of bare
    metal `depth_low` and `depth_high` [mm] are what 5 and 95 of 100 samples stay below. `good` of `count` items came
    out well with these numbers, where runs are logged; `on` is the day of the proof, `batch` the coating's. `last_run`
    is how the last run came out where it ran badly.
    """

    state: State
    example: bool = False
    reasons: tuple[Reason, ...] = ()
    text: str = ""
    chance_clean: float | None = None
    chance_coated: float | None = None
    chance_marked: float | None = None
    depth_low: float | None = None
    depth_high: float | None = None
    good: int | None = None
    count: int | None = None
    on: str = ""
    batch: str = ""
    last_run: str = ""


class Step(Model):
    """What to do next: why, with its figure in `value` and `unit`, how long it takes (an estimate), and what does it.

    `where` names the field that a `fill` is about, or that a `write_file` needs filled first. `now` and `then` are how
    far a figure may be off (95 %) before and after, `end` the end of the item that a height is measured from, `also`
    further heights to measure.
    """

    id: StepId
    value: int | float | str
    unit: str = ""
    text: str = ""
    minutes: float
    does: Deed
    where: str = ""
    now: float | None = None
    then: float | None = None
    end: str = ""
    also: tuple[float, ...] = ()


class Files(Model):
    """The files to import, "" where there is none: the first slice alone, the second, all others, and all at once.

    The slices' numbers count from the first in the file; None while the artwork is not laid out. `zones` are the files
    of a long taper by its parts from the foot up, "" where one has no ink; `whole` is the one that holds the first. Of
    words on several faces `faces` are the files in their order; a coating is tried on `first` of them.
    """

    first: str = Field(default="", max_length=200)
    second: str = Field(default="", max_length=200)
    rest: str = Field(default="", max_length=200)
    whole: str = Field(default="", max_length=200)
    zones: tuple[str, ...] = ()
    faces: tuple[str, ...] = ()
    first_slice: int | None = None
    second_slice: int | None = None


class Rung(Model):
    """Power to type [%], how many passes at most, and after how many of them one stops and looks."""

    power: float
    passes: int
    look_after: int


class LastPass(Model):
    """The weaker last pass: power [%], speed [mm/s], how far its lines are shifted [mm], and when it is run.

    `only_if_uneven` for films that are bleached, of which it takes nothing off.
    """

    power: float
    speed: float
    line_spacing: float
    fill_direction: Literal["around", "along"]
    line_shift: float
    when: Literal["each slice", "after all"]
    only_if_uneven: bool = False


class PassStep(Model):
    """Passes that follow each other and are run alike: power [%], speed [mm/s], lines, pause before each [s].

    `depth_um` is how deep bare metal is expected to be after the last of them.
    """

    first: int
    last: int
    kind: Literal["removal", "last", "cut"]
    power: float
    speed: float
    line_spacing: float
    fill_direction: Literal["around", "along"]
    pause: float
    depth_um: float | None = None


class RunActions(Model):
    """How it is run. Temperatures [degC] are for what is typed; `wall_wish_c` is None where no limit holds.

    `like_first` is an item of a list that gets as many passes as the first one took.

    `second_slice` is the slice that the count is taken on again, None where there is none or it is not known yet.
    `file_per_slice` where each slice has a file of its own and is run by hand until clean; `stored_start` whether the
    program goes back to a stored start, None where nobody was asked; `turns` what turns the item; `before` and `after`
    what is done then, by id. `depth_check_after` is after how many passes in bare metal the depth is measured.
    `texts` is what to do, in order.
    """

    files: Files
    rungs: tuple[Rung, ...] = ()
    second_slice: int | None = None
    last_pass: LastPass | None = None
    order: Literal["slice by slice", "all round"] = "slice by slice"
    passes: tuple[PassStep, ...] = ()
    counted: int | None = None
    like_first: bool = False
    file_per_slice: bool = False
    stored_start: bool | None = None
    turns: Literal["roller", "chuck"] = "chuck"
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    depth_check_after: int | None = None
    wall_c_95: float | None = None
    wall_wish_c: float | None = None
    chance_clean: float | None = None
    chance_coated: float | None = None
    chance_marked: float | None = None
    texts: tuple[str, ...] = ()


class Distortion(Model):
    """How wide artwork lies on the wall at its middle, through how much of a turn at most, how much it is stretched.

    `stretch_low` and `stretch_high` are the least and the largest factor that a short line on it is stretched by,
    `visible_share` the share of its area within 60 degrees of its middle; `ring` where it goes all round. `text` says
    all of it in one line.
    """

    width_mm: float
    angle_deg: float
    ring: bool
    stretch_low: float
    stretch_high: float
    visible_share: float
    text: str = ""


class JobTime(Model):
    """How long the items of a job take [s]: one of them by its parts, then all.

    `marking`, `turning` and `pauses` are the machine's; `looking` and `handling` are done by hand, shared out by an
    estimate; `piece` is their sum. `once` is done once for all. `total` is the middle of what so many `pieces` take, of
    one where nobody said how many, `low` and `high` hold 90 %. `runs` are those that taught, `others` those of other
    jobs where it has none; an `estimate` until it has two. `begun` and `done` are o'clock today, where pieces are
    wanted. `text` says all of it in one line.
    """

    marking: float
    turning: float
    pauses: float
    looking: float
    handling: float
    piece: float
    once: float
    pieces: int | None
    total: float
    low: float
    high: float
    runs: int
    others: int = 0
    estimate: bool
    begun: str = ""
    done: str = ""
    text: str = ""


class ActionCaution(Model):
    """A caution in one short sentence and in whole, with where it comes from.

    Of eyewear `value` is the optical density and `marks` the scale numbers that it needs at `wavelength_nm` for the
    laser that it is `about`.
    """

    id: str
    level: Literal["stop", "warn", "note"]
    value: float | None = None
    wavelength_nm: float | None = None
    marks: str = ""
    about: str = ""
    short: str = ""
    long: str = ""
    source: str = ""


class _Standing(Model):
    verdict: Verdict
    steps: tuple[Step, ...] = Field(default=(), max_length=3)
    cautions: tuple[ActionCaution, ...] = ()


# The key is a keyword of Python, so it can't be declared like the others.
_IMPORT: dict[str, Any] = {"import": (tuple[ActionRow, ...], ())}
_WithImport = create_model("_WithImport", __base__=_Standing, **_IMPORT)


class Actions(_WithImport):
    """All that a person does for a job, in the order in which it is done, cautions before the first of it; see
    `ActionRow` for the shape of each.

    `on_item` is how the artwork will lie there, None while nothing is planned; `time` how long it takes, which no proof
    stores.
    """

    type: tuple[ActionRow, ...] = ()
    by_hand: tuple[ActionRow, ...] = ()
    check: tuple[ActionRow, ...] = ()
    run: RunActions
    on_item: Distortion | None = None
    time: JobTime | None = None

    @property
    def to_import(self) -> tuple[ActionRow, ...]:
        """The rows under `import`: the file, the size that the program must show, which edge is up."""
        rows: tuple[ActionRow, ...] = getattr(self, "import")
        return rows

    @property
    def is_turned(self) -> bool:
        """Whether the item turns while it is marked, or may; what lies level has no rows of that."""
        return "slices_shown" in self.rows

    @property
    def rows(self) -> dict[str, ActionRow]:
        """All rows by their ids."""
        return {row.id: row for name in ROWS for row in getattr(self, name)}

    def without(self, name: str) -> "Actions":
        """The same without a row that is set by hand."""
        return self.model_copy(update={"by_hand": tuple(row for row in self.by_hand if row.id != name)})

    def with_each(self, change: Callable[[ActionRow], ActionRow]) -> "Actions":
        """The same with every row as `change` gives it."""
        return self.model_copy(update={name: tuple(map(change, getattr(self, name))) for name in ROWS})


ROWS: Final = ("import", "type", "by_hand", "check")
"""Where rows stand, in the order in which a person comes to them."""


def kind_of(row_id: str) -> str:
    """The id of a row without the number that tells several of a kind apart.

    >>> kind_of("focus_2"), kind_of("file")
    ('focus', 'file')
    """
    name, _, number = row_id.rpartition("_")
    return name if number.isdigit() else row_id
