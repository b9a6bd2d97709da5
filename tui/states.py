"""The one-line state of each group: what it comes to, read off the plan or, before one is there, off the fields."""

from math import degrees
from typing import Any

from rotary import units
from tui.catalogue.passes import PASSES
from tui.fields import Group, each_field
from tui.held import NO_COATING
from tui.own_coating import COLOUR, KIND, OWN
from tui.session import Session


def state(session: Session, group: Group) -> str:
    """What a group comes to, in one line."""
    faults = session.group_faults(group)
    if faults:
        return f"{faults} to put right" if faults > 1 else "1 to put right"
    return _STATES[group.key](session, session.plan)


def length(session: Session, mm: float, digits: int = 4) -> str:
    """A length in the unit system that is shown."""
    return units.text_from_value(mm, "mm", session.system, digits=digits)


def _item(session: Session, plan: Any) -> str:
    if plan is not None:
        return str(plan.item_state)
    return session.text("item.name")


def _drive(session: Session, plan: Any) -> str:
    return str(plan.turning.state) if plan is not None else session.text("drive.kind")


def _head(session: Session, plan: Any) -> str:
    return str(plan.optics.state) if plan is not None else session.text("use_head")


def _artwork(session: Session, plan: Any) -> str:
    size = " × ".join(session.text(f"artwork.{side}") for side in ("width", "height"))
    if plan is None:
        return size
    return f"{size}, {degrees(plan.layout.total_angle_rad):.0f}° round, {plan.layout.seen_share:.0%} seen"


def _coating(session: Session, _plan: Any) -> str:
    coating, metal = session.text("item.coating"), session.text("item.metal")
    if coating == OWN:
        coating = f"{session.text(COLOUR)} {session.text(KIND)}"
    return f"bare {metal}" if coating == NO_COATING else f"{coating} on {metal}"


def _passes(session: Session, _plan: Any) -> str:
    held = [
        f"{field.label} {session.text(field.key)}" for field in each_field((PASSES,)) if session.text(field.key).strip()
    ]
    return ", ".join(held) or "all of them chosen"


def _tolerances(session: Session, plan: Any) -> str:
    joint = session.text("tolerances.joint") or session.stands("tolerances.joint")
    made = f", {plan.split.method}" if plan is not None else ""
    return f"joint {joint}{made}"


def _shop(session: Session, _plan: Any) -> str:
    pairs, lasers = (session.rows(session.tables[f"shop.{name}"]) for name in ("eyewear", "other_lasers"))
    worn = f"{pairs or 'no'} pair{'' if pairs == 1 else 's'} of eyewear"
    return f"{worn}, {lasers or 'no'} other laser{'' if lasers == 1 else 's'}"


_STATES = {
    "item": _item, "drive": _drive, "head": _head, "artwork": _artwork,
    "coating": _coating, "passes": _passes, "tolerances": _tolerances, "shop": _shop,
}  # fmt: skip
