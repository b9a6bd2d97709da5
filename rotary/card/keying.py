"""Everything that is keyed in or set, in the order in which one does it: split, focus, laser."""

from rotary.artwork.models import sizes_told
from rotary.papers.model import Entry
from rotary.plan import Plan
from rotary.slices import KeyIn


def numbers_to_key_in(plan: Plan, system: str = "mm") -> tuple[KeyIn, ...]:
    """The numbers of the step split, then the height of the head, then the laser's settings.

    With `system` "in" the move of the head is in inches; what the marking program takes in mm stays in mm.
    """
    return (*plan.split.key_in, _height(plan, system), *_laser(plan))


def entries(plan: Plan, system: str = "mm") -> tuple[Entry, ...]:
    """The same as papers and lines have them."""
    return tuple(key.entry(system) for key in numbers_to_key_in(plan, system))


def checks(plan: Plan, system: str = "mm") -> tuple[str, ...]:
    """What to see before the first slice: how large the artwork is marked, then what the program must show."""
    return (*sizes_told(plan.layout.pieces, system), *plan.split.must_show)


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
    setting, rows = plan.removal.setting, plan.removal.rows
    if setting is None:
        return ()
    several = len({(row.power_share, row.scan_speed_mm_s, row.hatch_mm) for row in rows}) > 1
    numbers = [
        ("power", "Power", f"{100 * setting.power_share:g}", "%", f"which is {setting.power_w:.2f} W"),
        ("frequency", "Repetition rate", f"{setting.rate_khz:g}", "kHz", ""),
        ("speed", "Scan speed", f"{setting.scan_speed_mm_s:.0f}", "mm/s", ""),
        ("line_spacing", "Hatch spacing", f"{setting.hatch_mm:.3f}", "mm", ""),
        ("passes", "Passes", f"{len(rows)}", "", "not all alike: the table of passes has each" if several else ""),
    ]
    if len(plan.job.head.pulse_durations_ns) > 1:
        numbers.insert(2, ("pulse_width", "Pulse duration", f"{setting.pulse_ns:g}", "ns", ""))
    return tuple(KeyIn(id=name, label=label, text=text, unit=unit, why=why) for name, label, text, unit, why in numbers)
