"""What is typed into the marking program, in keying order: what comes with the file, the turning, the laser."""

from collections.abc import Iterator
from typing import Final, Literal

from rotary.actions.models import ActionRow
from rotary.passes.plan.setting import Direction, PassRow
from rotary.plan import Plan
from rotary.program import ROW_IDS
from rotary.slices.models import KeyIn

TURNS: Final[dict[str, Literal["roller", "chuck"]]] = {"rollers": "roller", "chuck": "chuck"}
"""What the steps of one turn are of."""


def typed_rows(plan: Plan) -> tuple[ActionRow, ...]:
    """The rows that are typed; without passes where the plan offers none."""
    yours = plan.job.program.labels
    rows = (*map(turning_row, plan.split.key_in), *_laser(plan))
    places: dict[str, int] = {name: place for place, name in enumerate(ROW_IDS)}
    placed = sorted((row for row in rows if row.id in places), key=lambda row: places[row.id])
    turns = TURNS[plan.job.turning.kind]
    return tuple(
        row.but(yours=yours.get(row.id), of=turns if row.id == "typed_steps_per_turn" else None) for row in placed
    )


def turning_row(key: KeyIn) -> ActionRow:
    """A number that the split gives, with what warns of it."""
    number = float(key.text)
    return ActionRow(
        id=key.id,
        value=int(number) if number.is_integer() and "." not in key.text else number,
        unit=key.unit,
        figure=key.text,
        real=_number(key.real) if key.leave else None,
        leave=key.leave or None,
        leave_in=key.leave_in or None,
    )


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _laser(plan: Plan) -> Iterator[ActionRow]:
    setting, steps = plan.removal.setting, plan.removal
    if setting is None:
        return
    yield _typed("power", round(100 * setting.power_share, 4), "%", "g")
    yield _typed("frequency", setting.frequency_khz, "kHz", "g")
    if len(plan.job.laser.pulse_widths_ns) > 1:
        yield _typed("pulse_width", setting.pulse_width_ns, "ns", "g")
    yield _typed("speed", round(setting.speed_mm_s), "mm/s", "d")
    yield _typed("line_spacing", round(setting.line_spacing_mm, 3), "mm", ".3f")
    ways = {fill_direction(plan, row) for row in steps.rows if row.kind != "finish"}
    lines = "both ways" if len(ways) > 1 else steps.rows[0].fill_direction
    yield ActionRow(id="fill_direction", value=lines, figure=lines)
    if steps.typed_passes:
        # All round a program marks each slice once and turns on.
        yield _typed("passes", 1 if steps.order == "all-round" else steps.typed_passes, "", "d")
    # By hand, file by file, no program waits.
    if plan.job.program.can_pause is not False and not steps.file_per_slice:
        yield _typed("pause", setting.pause_s, "s", "g")


def fill_direction(plan: Plan, row: PassRow) -> Direction:
    """Which way the lines of a pass run; in bare metal always the same where the program can't change it on a slice."""
    fixed = row.kind == "cut" and plan.job.program.can_change_setting is False and plan.removal.order != "all-round"
    return "around" if fixed else row.fill_direction


def _typed(name: str, value: float, unit: str, form: str) -> ActionRow:
    return ActionRow(id=name, value=value, unit=unit, figure=f"{value:{form}}")
