"""What the person's own marking program can do, and what it calls the fields that are typed into it."""

from typing import Final, Literal, get_args

from pydantic import Field, field_validator

from rotary.errors import brief, listing, single_line
from rotary.model import Model, Time

RowId = Literal[
    "file_slice_width", "extra_per_slice", "typed_steps_per_turn", "typed_diameter", "roller_diameter",
    "angle_per_slice", "power", "frequency", "pulse_width", "speed", "line_spacing", "fill_direction",
    "passes", "pause",
]  # fmt: skip
"""The rows that are typed, by their ids."""

ROW_IDS: Final[tuple[RowId, ...]] = get_args(RowId)
LONGEST_LABEL: Final = 60
MOST_PAUSE_S: Final = 600.0


class Program(Model):
    """What the marking program can do; None where nobody was asked, and the plan is made as if it could.

    `can_pause`: wait between the passes of one slice, from `least_pause_s` on. `can_change_setting`: two settings on
    one slice before it turns. `can_repeat_slice`: several passes on one slice before it turns. `can_store_start`: a
    start angle that is stored with the file. `labels` are what the program calls the rows that are typed, by their
    ids; the tool brings none of its own.
    """

    can_pause: bool | None = None
    least_pause_s: Time = Field(default=0.0, ge=0, le=MOST_PAUSE_S)
    can_change_setting: bool | None = None
    can_repeat_slice: bool | None = None
    can_store_start: bool | None = None
    labels: dict[str, str] = Field(default_factory=dict)

    def takes_pause(self, pause_s: float) -> bool:
        """Whether it can wait so long between passes [s]; not waiting at all it always can."""
        return pause_s == 0 or (self.can_pause is not False and pause_s >= self.least_pause_s)

    @field_validator("labels")
    @classmethod
    def _readable(cls, labels: dict[str, str]) -> dict[str, str]:
        if unknown := [key for key in labels if key not in ROW_IDS]:
            raise ValueError(f"the setup sheet has no row named {brief(unknown[0])}: write {listing(ROW_IDS, 'or')}")
        for key, text in labels.items():
            if not text.strip() or text != single_line(text) or len(text.strip()) > LONGEST_LABEL:
                says = f"write the name that your program uses, on one line, at most {LONGEST_LABEL} letters"
                raise ValueError(f"the label of {key} can't be used: {says}. Or leave the label out")
        return {key: labels[key].strip() for key in ROW_IDS if key in labels}


UNASKED: Final = Program()
"""Nothing is known of it."""
