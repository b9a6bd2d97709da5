"""How the item lies on its drive: height, tilt, and on rollers what touches."""

from typing import Final, NamedTuple

import numpy as np

from rotary.errors import refuse
from rotary.formulas import cradle, revolution
from rotary.item import Item
from rotary.shape import Shape
from rotary.turning.level import LEVEL_RAD, Stand, level_notes, level_over
from rotary.turning.models import Chuck, Cradle, Level, Rollers, TurnNote, TurnNoteId
from rotary.turning.places import Places, places, roller_span_mm

GIVE_MM: Final = 0.5
"""How far soft rollers give way, so what else touches than the one place (estimate)."""

GRAVITY_SHARE: Final = 0.1
"""Half width, over the item's length, of where its centre of gravity may be: base, lid, wall (estimate)."""

TIPPING_SHARE: Final = 0.1
"""Beyond the end of what can touch by more than this share of the length it tips, whatever the estimate is worth."""

SLIDES_RAD: Final = 0.5
"""Rollers tilted more than this let the item slide: tan of it is the friction of clean rubber on paint (estimate)."""

STRAIGHT: Final = ("straight", "flats")
"""Shapes of which nobody asks whether they lie level."""

WEDGED_RAD: Final = np.radians(60)
FLAT_RAD: Final = np.radians(15)


class Lie(NamedTuple):
    """How the item stands as planned, what levels it; on rollers the places that touch.

    `contact_mm` is (from, place, to); `u_contact` the relative standard uncertainty of the
    rolling radius that comes from not knowing where it touches.
    """

    stand: Stand
    level: Level
    contact_mm: tuple[float, float, float] | None
    rolling_mm: float | None
    u_contact: float
    cradle: Cradle | None
    notes: list[TurnNote]


def in_chuck(drive: Chuck, body: Shape, heights_mm: tuple[float, float]) -> Lie:
    """The axis is level, or tilted about the item's middle until the apex line is."""
    middle = body.length_mm / 2
    lies = Stand(drive.axis_height_mm, middle, 0.0)
    level = level_over(body, heights_mm, lies, about_its_ends=False)
    tilt = level.tilt_rad if drive.levelled else 0.0
    whole = places(body, 0.0, body.length_mm)
    clear = drive.axis_height_mm + (whole.s - middle) * np.sin(tilt) - whole.r * np.cos(tilt)
    if clear.min() <= 0:
        raise refuse(
            "turning.axis_height",
            f"with its axis {drive.axis_height_mm:g} mm above the bed the item would touch the bed: measure that "
            "height again. If it is right, raise the chuck until its axis is more than "
            f"{drive.axis_height_mm - clear.min():.4g} mm above the bed, and write the new height.",
        )
    notes = level_notes(level, lies, False, drive.levelled, body.shape in STRAIGHT)
    return Lie(lies._replace(tilt_rad=tilt), level, None, None, 0.0, None, notes)


def _rests(drive: Rollers, body: Shape, may_touch: Places, gravity: float) -> cradle.Resting:
    """How the body rests with its centre of gravity there; the cone by its closed form."""
    roller, centres = drive.roller_diameter_mm / 2, drive.centres_mm
    if body.shape == "profile":
        return cradle.profile_resting(*may_touch, gravity, roller, centres)
    radius, slope = (float(f(body.curve, gravity)) for f in (revolution.radius_mm, revolution.slope))
    lies = cradle.cone_resting(gravity, radius, float(np.arctan(slope)), roller, centres)
    first, last = may_touch.s[0], may_touch.s[-1]
    place = float(np.clip(lies.touch_from_mm, first, last))
    return lies._replace(touch_from_mm=place, touch_to_mm=place, beyond_mm=abs(lies.touch_from_mm - place))


def _widest_centres_mm(drive: Rollers, body: Shape, may_touch: Places, gravity: float) -> float:
    cosine = np.cos(np.arctan(may_touch.slope))
    if body.shape == "profile":
        return float(np.max(cradle.widest_centres_mm(may_touch.r, drive.roller_diameter_mm / 2 * cosine)))
    across = float(revolution.radius_mm(body.curve, gravity)) * float(cosine[0])
    return float(cradle.widest_centres_mm(across, drive.roller_diameter_mm / 2)) * float(cosine[0])


def _resting(drive: Rollers, body: Shape, may_touch: Places, gravity: float) -> cradle.Resting:
    """How it rests; raises Refused where it falls through or tips."""
    lies = _rests(drive, body, may_touch, gravity)
    if not np.isfinite(lies.height_mm):
        limit = _widest_centres_mm(drive, body, may_touch, gravity)
        usual = "" if "centres_mm" in drive.model_fields_set else " (the usual distance, as you gave none)"
        raise refuse(
            "turning.centres",
            f"the item falls between rollers whose axes are {drive.centres_mm:g} mm apart{usual}: bring the rollers "
            f"closer together, to less than {np.floor(limit * 10) / 10:g} mm between the axes, and write that "
            "distance.",
        )
    # Whoever says what touches has seen it lie there, so the estimated centre of gravity gives way.
    told = drive.contact_from_mm is not None or drive.contact_to_mm is not None
    if lies.beyond_mm > TIPPING_SHARE * body.length_mm and not told:
        raise refuse(
            "turning.kind",
            "the item would tip off the rollers, because they don't reach under its balance point: use a chuck. Or, if "
            "the item lies steady, give the heights between which the rollers touch the item.",
        )
    return lies


class _Touch(NamedTuple):
    from_mm: float
    place_mm: float
    to_mm: float
    radius_mm: float
    u: float


def _touch(drive: Rollers, body: Shape, may_touch: Places, lies: cradle.Resting, gravity: float) -> _Touch:
    """What touches, the radius that counts, and how well it is known."""
    given = drive.contact_from_mm is not None or drive.contact_to_mm is not None
    s, r, slope = may_touch
    soft = drive.covering == "soft"
    if body.shape == "straight" or (soft and given):
        touches = np.full(s.shape, True)
    elif soft:
        touches = cradle.gap_mm(lies, s, r, slope, gravity, drive.roller_diameter_mm / 2, drive.centres_mm) <= GIVE_MM
    else:
        touches = np.full(s.shape, False)
    ends = np.array([lies.touch_from_mm, lies.touch_to_mm])
    radii = np.append(r[touches], np.interp(ends, s, r))
    where = np.append(s[touches], ends)
    low, high = float(radii.min()), float(radii.max())
    u = (high - low) / (high + low) / 3**0.5
    if not soft and body.shape != "straight":
        off = GRAVITY_SHARE * body.length_mm / 3**0.5
        places_moved = []
        for at in (gravity - off, gravity + off):
            moved = _rests(drive, body, may_touch, at)
            place = (moved.touch_from_mm + moved.touch_to_mm) / 2
            # Where it would fall through it touches nowhere: it then lies about under its weight.
            places_moved.append(place if np.isfinite(place) else at)
        radii_moved = np.interp(places_moved, s, r)
        u = float(np.hypot(u, abs(radii_moved[1] - radii_moved[0]) / (high + low)))
    return _Touch(float(where.min()), float(where.min() + where.max()) / 2, float(where.max()), (low + high) / 2, u)


def on_rollers(drive: Rollers, item: Item, body: Shape, heights_mm: tuple[float, float]) -> Lie:
    """How the item lies in the two rollers; raises Refused where it falls through, tips or meets the bed."""
    span = roller_span_mm(drive, item, body)
    may_touch = places(body, *span)
    whole = places(body, 0.0, body.length_mm)
    gravity = cradle.centre_of_gravity_mm(whole.s, whole.r, item.solid)
    lies = _resting(drive, body, may_touch, gravity)
    touch = _touch(drive, body, may_touch, lies, gravity)
    sine, cosine = np.sin(lies.tilt_rad), np.cos(lies.tilt_rad)
    at_gravity = drive.axis_height_mm + lies.height_mm
    low = float(np.min(at_gravity + (whole.s - gravity) * sine - whole.r * cosine))
    if low <= 0:
        raise refuse(
            "turning.axis_height",
            f"with the roller axes {drive.axis_height_mm:g} mm above the bed the item would touch the bed: measure "
            "that height again. If it is right, raise the rollers until their axes are more than "
            f"{drive.axis_height_mm - low:.4g} mm above the bed, and write the new height.",
        )
    axis = float(at_gravity + (touch.place_mm - gravity) * sine)
    stand = Stand(axis, touch.place_mm, lies.tilt_rad)
    level = level_over(body, heights_mm, stand, about_its_ends=True)
    climbs = lies.tilt_rad - level.tilt_rad
    if drive.levelled and abs(climbs) > SLIDES_RAD:
        raise refuse(
            "turning.levelled",
            f"to level this item the rollers would have to tilt by {np.degrees(abs(climbs)):.0f} degrees, and the item "
            'would slide: use a chuck that can be tilted, or choose no under "apex levelled".',
        )
    held = Cradle(
        axis_height_mm=axis,
        apex_height_mm=axis + float(np.interp(touch.place_mm, whole.s, whole.r)) * float(cosine),
        contact_angle_rad=lies.contact_angle_rad,
        tilt_rad=lies.tilt_rad,
        apex_tilt_rad=climbs,
        walks=abs(lies.tilt_rad) > LEVEL_RAD,
    )
    return Lie(
        Stand(level.axis_height_mm, touch.place_mm, level.tilt_rad) if drive.levelled else stand,
        level,
        (touch.from_mm, touch.place_mm, touch.to_mm),
        touch.radius_mm * lies.rolling_share,
        touch.u,
        held,
        [
            *_walking(held, item),
            *level_notes(level, stand, True, drive.levelled, body.shape in STRAIGHT),
            *_lying(drive, may_touch, lies),
        ],
    )


def _walking(held: Cradle, item: Item) -> list[TurnNote]:
    if not held.walks:
        return []
    end = "rim" if held.tilt_rad > 0 else "base"
    climbs_deg = float(np.degrees(abs(held.tilt_rad)))
    return [TurnNote(id="walks", values={"climbs_deg": climbs_deg, "end": end, "stop": item.heights_from})]


def _lying(drive: Rollers, may_touch: Places, lies: cradle.Resting) -> list[TurnNote]:
    hangs = 2 * (may_touch.r + drive.roller_diameter_mm / 2) <= drive.centres_mm
    held: dict[TurnNoteId, bool] = {
        "may_tip": lies.beyond_mm > 0,
        "hangs_between": bool(hangs.any()),
        "may_wedge": lies.contact_angle_rad > WEDGED_RAD,
        "may_roll_off": lies.contact_angle_rad < FLAT_RAD,
    }
    return [TurnNote(id=name) for name, is_so in held.items() if is_so]
