"""The one-line state of each group: what it comes to, read off the plan or, before one is there, off the fields."""

from collections.abc import Iterator
from math import atan, degrees, pi
from typing import TYPE_CHECKING

from rotary import units
from rotary.defaults import ON_A_WALL_MM
from rotary.papers.lines import in_inches
from tui.catalogue.passes import PASSES
from tui.catalogue.words import WORDS
from tui.drawings.words import sentences
from tui.form.fields import Group, each_field
from tui.form.job_form import Session
from tui.form.own_coating import COLOUR, KIND, NONE, OWN
from tui.form.values import OWN_LASER

if TYPE_CHECKING:
    from rotary.plan import Plan


def state(session: Session, group: Group) -> str:
    """What a group comes to, in one line."""
    faults = session.group_faults(group)
    if faults:
        return f"{faults} fields to correct" if faults > 1 else "1 field to correct"
    says = _STATES[group.key](session, session.plan)
    return in_inches(says) if session.system == "in" else says


def length(session: Session, mm: float, digits: int = 4) -> str:
    """A length in the unit system that is shown."""
    return units.text_from_value(mm, "mm", session.system, digits=digits)


def _item(session: Session, plan: "Plan | None") -> str:
    if plan is not None:
        return sentences(plan).item
    return measured(session) or session.text("item.name")


def measured(session: Session) -> str:
    """Diameter and taper from the stations that are typed, while the rest of the job is still empty.

    A cone's ends are drawn out to foot and rim as the core does it; of more stations only the range is told.
    """
    typed = sorted(_typed_measurements(session))
    if not typed or any(across <= 0 for _, across in typed):
        return ""
    least, most = min(across for _, across in typed), max(across for _, across in typed)
    if len(typed) == 1:
        return f"⌀{most:.5g} mm, measured at one height"
    if len({at for at, _ in typed}) < len(typed):
        return ""
    if most - least <= (session.value("item.measuring_tolerance") or ON_A_WALL_MM):
        return f"⌀{(least + most) / 2:.5g} mm, straight"
    if len(typed) > 2:
        return f"⌀{least:.4g} to ⌀{most:.4g} mm at {len(typed)} heights"
    (low, first), (high, second) = typed
    slope = (second - first) / (high - low)
    ends = [first - slope * low, first + slope * ((session.value("item.length") or high) - low)]
    foot, rim = ends if session.text("item.heights_from") == "base" else ends[::-1]
    return f"⌀{foot:.4g} → ⌀{rim:.4g} mm, taper {degrees(abs(atan(slope / 2))):.1f}°"


def _typed_measurements(session: Session) -> Iterator[tuple[float, float]]:
    """Height and diameter [mm] of every station that has both."""
    for row in range(session.rows(session.tables["item.measurements"])):
        at, across, tape = (session.value(f"item.measurements.{row}.{name}") for name in ("at", "across", "round"))
        if at is not None and (across is None) != (tape is None):
            yield at, across if across is not None else (tape or 0.0) / pi


def _drive(session: Session, plan: "Plan | None") -> str:
    return sentences(plan).steps if plan is not None else session.text("turning.kind") + _as_with(session)


def _head(session: Session, plan: "Plan | None") -> str:
    if is_invented(session):
        return "an example: enter your own"
    return sentences(plan).beam if plan is not None else session.text("use_laser") + _as_with(session)


def _as_with(session: Session) -> str:
    """Which job the machine of a new one was taken from."""
    return f", as in {session.machine_of}" if session.machine_of else ""


def is_invented(session: Session) -> bool:
    """Whether the laser is one that ships with the tool, whatever was typed beside it, and the machine has no other."""
    is_planned_with_own = not session.stale and session.plan is not None and not session.plan.job.laser.use
    return session.text("use_laser") != OWN_LASER and not is_planned_with_own


def _artwork(session: Session, plan: "Plan | None") -> str:
    size = " × ".join(session.text(f"artwork.{side}") for side in ("width", "height"))
    if plan is None:
        return size
    lies = plan.layout
    return f"{size}, {degrees(lies.total_angle_rad):.0f}° round the item, you see {lies.visible_share:.0%} at once"


def _coating(session: Session, _plan: "Plan | None") -> str:
    chosen, metal = session.text("item.coating"), session.text("item.metal")
    metal = WORDS["metal"].get(metal, metal)
    if chosen == NONE:
        return f"bare {metal}"
    own = f"{session.text(COLOUR)} {session.text(KIND)}"
    coating = own if chosen == OWN else WORDS["coating"].get(chosen, chosen)
    colour = session.text("item.colour")
    return f"{coating}{', ' * bool(colour)}{colour}, on {metal}"


def _passes(session: Session, _plan: "Plan | None") -> str:
    held = [
        f"{field.label} {session.text(field.key)}" for field in each_field((PASSES,)) if session.text(field.key).strip()
    ]
    return ", ".join(held) or "rotary chooses them all"


def _tolerances(session: Session, plan: "Plan | None") -> str:
    seam = session.text("tolerances.seam") or session.stands("tolerances.seam")
    made = f", {plan.split.method} file" if plan is not None else ""
    return f"seams off by {seam} at most{made}"


def _shop(session: Session, plan: "Plan | None") -> str:
    """What counts of what is typed; an example's pairs and lasers are counted in that example alone."""
    pairs, lasers = typed = [session.rows(session.tables[f"shop.{name}"]) for name in ("eyewear", "other_lasers")]
    if plan is not None and session.machine_told:
        # Its machine's file may have others.
        pairs, lasers = typed = [len(rows) for rows in (plan.job.shop.eyewear, plan.job.shop.other_lasers)]
    if plan is not None:
        left_out = plan.safety.pairs_left_out, plan.safety.lasers_left_out
        pairs, lasers = (max(rows - less, 0) for rows, less in zip(typed, left_out, strict=True))
    worn = f"{pairs or 'no'} pair{'' if pairs == 1 else 's'} of eyewear"
    counts = f"{worn}, {lasers or 'no'} other laser{'' if lasers == 1 else 's'}"
    return counts if [pairs, lasers] == typed else f"{counts} (those of the example not counted)"


_STATES = {
    "item": _item, "turning": _drive, "laser": _head, "artwork": _artwork,
    "coating": _coating, "passes": _passes, "tolerances": _tolerances, "shop": _shop,
}  # fmt: skip
