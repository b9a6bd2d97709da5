"""What the passes' planning gives: a setting, a choice with its chances, the plan in rows."""

from typing import Final, Literal

from pydantic import Field

from rotary.model import Model, Values

Direction = Literal["around", "along"]
BeforeId = Literal["clean", "test_patch", "tape"]
AfterId = Literal["cool", "wipe", "seams"]

OrderWhy = Literal["rollers", "creep", "quicker", "cooler", "rests", "program", "nothing"]
LastWhen = Literal["each slice", "after all"]
HotWall = Literal["wall_too_thin", "wall_unpaused"]
PassRemarkId = Literal[
    HotWall, "coating_refused", "too_near", "too_little_known", "other_item", "let_go", "test_patch",
    "gauge_coating", "measure_spot", "what_helps", "other_process", "edges", "defocused", "worst_places", "stays_below",
    "heat_no_limit", "hotter_than_wished", "cool_costs", "bleached", "beliefs", "depth_is_linear",
    "polished", "thin_wall", "other_heads", "gauged",
]  # fmt: skip

FAIR: Final = 0.05
"""Below one in twenty there is nothing worth offering."""

BEFORE: Final[tuple[BeforeId, ...]] = ("clean", "test_patch", "tape")
AFTER: Final[tuple[AfterId, ...]] = ("cool", "wipe", "seams")

ROOM_C: Final = 20.0

GOOD: Final = 0.70
"""A plan with a lower chance is in doubt."""


class Setting(Model):
    """What is keyed into the laser, and what the surface then sees.

    `passes` are the lifting (or cutting) passes at this setting; a finishing pass comes on top.
    """

    power_share: float
    power_w: float
    frequency_khz: float
    pulse_width_ns: float
    pulse_mj: float
    speed_mm_s: float
    line_spacing_mm: float
    defocus_mm: float
    passes: int
    pause_s: float
    spot_at_surface_um: float
    peak_fluence_j_cm2: float
    pulses_per_place: float
    dose_j_mm2: float

    @property
    def overlaps(self) -> tuple[float, float]:
        """How much of the spot at the surface a pulse shares with the one before, and a line with its neighbour.

        1 less the distance over the spot's width; negative where they leave a gap.
        """
        pitch_mm = self.speed_mm_s / (1e3 * self.frequency_khz)
        along, across = (1 - 1e3 * each / self.spot_at_surface_um for each in (pitch_mm, self.line_spacing_mm))
        return along, across

    def at_power(self, power_share: float) -> "Setting":
        """The same at another power."""
        more = power_share / self.power_share
        names = ("power_w", "pulse_mj", "peak_fluence_j_cm2", "dose_j_mm2")
        scaled = {name: getattr(self, name) * more for name in names}
        return self.but(**scaled, power_share=power_share)


class PowerRung(Model):
    """A rung of the ladder: power and how many passes at it, a look after each."""

    power_share: float
    passes: int


class PassRemark(Model):
    """What has to be known of the passes, by its id, with what its sentence needs."""

    id: PassRemarkId
    values: Values = Field(default_factory=dict)


class Choice(Model):
    """The setting that came out best before the slices are known; `setting` None with the reasons why, and no chance.

    `chance` is for all its passes run blind, `chance_with_looks` for a person who looks after
    each pass and stops at the first clear look. All are 0 where `draws` is 0.
    """

    setting: Setting | None
    chance_clean: float = 0.0
    chance_unmarked: float = 0.0
    chance: float = 0.0
    samples: int
    refused: tuple[PassRemark, ...] = ()
    would_change_it: tuple[PassRemark, ...] = ()
    chance_with_looks: float = 0.0
    look_after: tuple[int, ...] = ()
    rungs: tuple[PowerRung, ...] = ()

    @property
    def defocus_mm(self) -> float:
        """The focal plane's height over the apex line, signed; in focus where nothing is chosen."""
        return self.setting.defocus_mm if self.setting else 0.0


class PassRow(Model):
    """One pass, in order. `wall_peak_c` is the wall's bulk temperature after it, 95 % of the draws [degC].

    `line_shift_mm` is how far its lines are shifted against those of the passes before.
    """

    number: int
    kind: Literal["lift", "finish", "cut"]
    power_share: float
    speed_mm_s: float
    line_spacing_mm: float
    fill_direction: Direction
    pause_before_s: float
    time_s: float
    wall_peak_c: float
    line_shift_mm: float = 0.0


class Edges(Model):
    """How far the chosen setting stands from the edges of the process window.

    The power, as a share of the source's, and the passes between which the chance of the rung at which it is expected
    to come clean stays above half of what it is; not told without draws, since the central figures know no chance.
    The search goes to a quarter and to four times the power, and to thirty passes.
    """

    power_low: float
    power_high: float
    passes_low: int
    passes_high: int


class Removal(Model):
    """The passes in order, with chances and heat over all beliefs; without a setting, no passes and a cold wall.

    `chance*` hold for the best and worst place of a slice, with the focus budget used up. Of a person who looks
    after each pass, `chance_with_looks` is that it comes out clean, `chance_left_coated` that coating is left after
    the last pass worth trying and the metal unmarked; the rest is metal that is marked.
    Temperatures are of the wall in bulk [degC], 5, 50 and 95 % of the draws. `order` is what
    is recommended; both orders' times are given, None where the drive forbids one.
    `depth_um_*` is what bare metal loses over all passes, 5, 50 and 95 %; 0 where a coating is lifted.
    `typed_passes` is the number of passes to type first: all of them in bare metal; on a coating 1, marked on the
    first slice alone and looked at, again up to `passes_at_most`; the others then get the number that it took. 0 is for
    an item that gets what an earlier one took. Where that number was counted on an earlier run, it is `counted_passes`
    and typed at once, and `passes_at_most` is 0. `last_when` is when the last pass is marked, None where there is none;
    with `file_per_slice` each slice has a file of its own, which is run by hand, one pass at a time. `before` and
    `after` are what is done then, by id. `readings` and `depth_readings` are how many taught; `near_readings` are those
    that were made here with this setting, as well as looks can tell. After `safe_passes` in bare metal hardly a part is
    deeper than wanted; None where no depth is.
    """

    setting: Setting | None
    rows: tuple[PassRow, ...] = ()
    chance_clean: float = 0.0
    chance_unmarked: float = 0.0
    chance: float = 0.0
    samples: int
    wall_c_5: float = ROOM_C
    wall_c_50: float = ROOM_C
    wall_c_95: float = ROOM_C
    order: Literal["slice-by-slice", "all-round"] = "slice-by-slice"
    order_why: OrderWhy = "nothing"
    time_slice_by_slice_s: float = 0.0
    time_all_round_s: float | None = None
    refused: tuple[PassRemark, ...] = ()
    would_change_it: tuple[PassRemark, ...] = ()
    before: tuple[BeforeId, ...] = ()
    after: tuple[AfterId, ...] = ()
    remarks: tuple[PassRemark, ...] = ()
    chance_with_looks: float = 0.0
    chance_left_coated: float = 0.0
    look_after: tuple[int, ...] = ()
    rungs: tuple[PowerRung, ...] = ()
    wall_wish_c: float | None = None
    typed_passes: int = 0
    passes_at_most: int = 0
    counted_passes: int = 0
    depth_um_5: float = 0.0
    depth_um_50: float = 0.0
    depth_um_95: float = 0.0
    last_when: LastWhen | None = None
    file_per_slice: bool = False
    edges: Edges | None = None
    readings: int = 0
    near_readings: int = 0
    depth_readings: int = 0
    safe_passes: int | None = None

    @property
    def in_doubt(self) -> bool:
        """Whether it is too likely that the coating stays or the metal is marked."""
        return self.samples > 0 and self.removes_coating and self.chance_with_looks < GOOD

    @property
    def is_too_hot(self) -> bool:
        """Whether the wall gets hotter than it should."""
        return any(remark.id == "hotter_than_wished" for remark in self.remarks)

    @property
    def is_counted(self) -> bool:
        """Whether the number of passes is known from an earlier run, so that no slice is tried first."""
        return self.passes_at_most == 0 and self.removes_coating

    @property
    def removes_coating(self) -> bool:
        """Whether a coating is removed; in bare metal, and where no passes are offered, none is."""
        return bool(self.rows) and self.rows[0].kind == "lift"

    @property
    def pause_s(self) -> float:
        """The pause between two passes of a slice [s]."""
        return self.setting.pause_s if self.setting else 0.0

    @property
    def rung_settings(self) -> tuple[Setting, ...]:
        """The setting of each rung of the ladder; the one setting where it has none."""
        at = self.setting
        if at is None or not self.rungs:
            return () if at is None else (at,)
        return tuple(at.at_power(rung.power_share) for rung in self.rungs)

    @property
    def last_pass(self) -> PassRow | None:
        """The weaker last pass of a coating, with settings of its own; None where the program can't run it."""
        return self.rows[-1] if self.rows and self.rows[-1].kind == "finish" else None

    def as_first_item(self) -> "Removal":
        """The plan for an item that gets the number of passes which an earlier one took."""
        return self.but(typed_passes=0) if self.removes_coating else self

    def as_counted(self, passes: int) -> "Removal":
        """The plan for a repeat whose passes were counted: their number is typed at once, no slice is tried first."""
        if not self.removes_coating:
            return self
        typed = 1 if self.order == "all-round" or self.file_per_slice else passes
        return self.but(typed_passes=typed, passes_at_most=0, counted_passes=passes)
