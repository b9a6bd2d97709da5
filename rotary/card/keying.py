"""Everything that is keyed in or set, in the order in which one does it: split, focus, laser."""

from dataclasses import replace

from rotary.artwork.models import size_texts
from rotary.papers.model import Entry
from rotary.plan import Plan
from rotary.sentences.files import import_order
from rotary.sentences.running import BLANK
from rotary.slices import KeyIn


def numbers_to_key_in(plan: Plan, system: str = "mm", is_turned: bool = True) -> tuple[KeyIn, ...]:
    """The numbers of the step split, then the height of the head, then the laser's settings; of what is not turned
    those alone.

    With `system` "in" the move of the head is in inches; what the marking program takes in mm stays in mm.
    """
    return (*plan.split.key_in, _height(plan, system), *_laser(plan)) if is_turned else _laser(plan)


def entries(plan: Plan, system: str = "mm", is_turned: bool = True) -> tuple[Entry, ...]:
    """The same as papers and lines have them, in brackets what the person's own program calls a field."""
    labels = plan.job.program.labels
    return tuple(
        replace(key.entry(system), label=f"{key.label} ({labels[key.id]})") if key.id in labels else key.entry(system)
        for key in numbers_to_key_in(plan, system, is_turned)
    )


def checks(plan: Plan, system: str = "mm") -> tuple[str, ...]:
    """What to see before the first slice: how large the artwork is marked, then what the program must show."""
    return (*size_texts(plan.layout.pieces, system), *plan.split.must_show, *import_order(plan.trial))


def _height(plan: Plan, system: str) -> KeyIn:
    move_mm, plane_mm = plan.focus.move_from_apex_mm, plan.focus.focal_plane_mm
    inches = system == "in"
    return KeyIn(
        id="focus",
        label=f"Focus on the apex, then {'raise' if move_mm >= 0 else 'lower'} the head",
        text=f"{abs(move_mm) / 25.4:.4f}" if inches else f"{abs(move_mm):.2f}",
        unit=system,
        why=f"the focal plane then stands {plane_mm / 25.4:.4f} in over the bed"
        if inches
        else f"the focal plane then stands {plane_mm:.2f} mm over the bed",
    )


def _laser(plan: Plan) -> tuple[KeyIn, ...]:
    setting = plan.removal.setting
    if setting is None:
        return ()
    numbers = [
        ("power", "Power", f"{100 * setting.power_share:g}", "%", f"which is {setting.power_w:.2f} W"),
        ("frequency", "Repetition rate", f"{setting.rate_khz:g}", "kHz", ""),
        ("speed", "Scan speed", f"{setting.scan_speed_mm_s:.0f}", "mm/s", ""),
        ("line_spacing", "Hatch spacing", f"{setting.hatch_mm:.3f}", "mm", ""),
    ]
    if len(plan.job.head.pulse_durations_ns) > 1:
        numbers.insert(2, ("pulse_width", "Pulse duration", f"{setting.pulse_ns:g}", "ns", ""))
    return (*_entries(numbers), *passes_typed(plan, "slice" if plan.split.slices > 1 else ""))


def _entries(numbers: list[tuple[str, str, str, str, str]]) -> tuple[KeyIn, ...]:
    return tuple(KeyIn(id=name, label=label, text=text, unit=unit, why=why) for name, label, text, unit, why in numbers)


def passes_typed(plan: Plan, tried_on: str) -> tuple[KeyIn, ...]:
    """As planned in bare metal; on a coating one at first, what that took for all others, and the last pass.

    `tried_on` is what a coating is tried on, where others follow it; "" where nothing does.
    """
    steps, last = plan.removal, plan.removal.last_pass
    if not steps.rows:
        return ()
    if not steps.removes_coating:
        return _entries([("passes", "Passes", f"{steps.typed_passes}", "", "")])
    what = "slice" if tried_on == "slice" else "file"
    found: list[tuple[str, str, str, str, str]] = []
    if not steps.typed_passes:
        times = "Times round" if steps.order == "all-round" else "Passes"
        found.append(("passes", times, BLANK, "", "what the first item of the list took"))
    else:
        label = f"Passes, first {what} alone" if tried_on else "Passes"
        many = f"look, then again: {steps.passes_at_most} at most"
        found.append(("passes", label, f"{steps.typed_passes}", "", many))
        if tried_on:
            # All round pass by pass one pass stays typed, and the file is run again.
            times = "Times round" if steps.order == "all-round" and what == "slice" else "Passes"
            found.append(("passes_rest", f"{times}, all others", BLANK, "", f"what the first {what} took"))
    if last is None:
        return _entries(found)
    lines = f", lines shifted {last.line_shift_mm:.3f} mm" if last.line_shift_mm else ", lines along the item"
    found.append(("last_power", "Last pass, power", f"{100 * last.power_share:g}", "%", f"once each{lines}"))
    if last.scan_speed_mm_s != steps.rows[0].scan_speed_mm_s:
        found.append(("last_speed", "Last pass, speed", f"{last.scan_speed_mm_s:.0f}", "mm/s", ""))
    return _entries(found)
