"""A forecast in sentences."""

from rotary.sentences.files import slices_text
from rotary.simulate.chances import MISSED_MM
from rotary.simulate.forecast import Forecast
from rotary.simulate.nearest import FARTHEST_MM

SAME_MM = 0.005  # ways of dividing whose seams differ by less come out the same

DIVIDES = {"left": "left edge", "centre": "centre"}
ROUNDS = {
    "each-index": "rounds each turn by itself",
    "absolute": "rounds each place, counted from the start",
    "truncate": "rounds each turn down",
}


def sentences(forecast: Forecast, wanted_seam_mm: float) -> tuple[str, ...]:
    """What will happen, the most important first; `wanted_seam_mm` is what a person accepts at a seam."""
    return (*_nominal(forecast), *_chances(forecast, wanted_seam_mm), *_rules(forecast))


def _nominal(forecast: Forecast) -> list[str]:
    out = []
    if forecast.part:
        held = slices_text(forecast.part, forecast.columns)
        out.append(f"This file holds {held}. Other files are not checked here.")
    if forecast.missed_points:
        out.append(
            f"{forecast.missed_points} of {forecast.outline_points} points of the drawing miss the item: "
            "this file was not drawn for it."
        )
    if forecast.placement_mm is not None and forecast.missing_mm is not None:
        out += _placed(forecast.placement_mm, forecast.missing_mm)
    if forecast.seam_places:
        out.append(
            f"Seams cross the artwork in {forecast.seam_places} places: gaps there are at most "
            f"{_um(forecast.seam_open_mm)} wider than planned, and overlaps at most {_um(forecast.seam_double_mm)}."
        )
    elif forecast.flats:
        out.append("You mark each flat on its own: there are no seams.")
    elif forecast.placement_mm is not None:
        out.append("No seam crosses the artwork.")
    if forecast.lost_seam_places:
        out.append(f"At {forecast.lost_seam_places} of these places only one of the two slices has a mark.")
    return out


def _placed(placement_mm: float, missing_mm: float) -> list[str]:
    """How far marks and artwork lie apart; what lies very far is not measured to the end."""
    if max(placement_mm, missing_mm) < FARTHEST_MM:
        return [
            f"If everything you measured is exact, marks lie within {_um(placement_mm)} of where the artwork belongs, "
            f"and every part of its outline has a mark within {_um(missing_mm)}."
        ]
    return [
        f"If everything you measured is exact, {what} more than {_um(FARTHEST_MM)}: this file does not belong to this "
        "job and artwork. Write the file again, or name the artwork that the file was drawn from."
        for amount, what in (
            (placement_mm, "marks lie off the artwork's outline by"),
            (missing_mm, "parts of the artwork's outline have no mark near them, the nearest mark is off by"),
        )
        if amount >= FARTHEST_MM
    ]


def _chances(forecast: Forecast, wanted_seam_mm: float) -> list[str]:
    out = []
    if forecast.draws and forecast.seam_places:
        verdict = "less than" if forecast.seam_95_mm <= wanted_seam_mm else "more than"
        out.append(
            f"On 19 of 20 items no gap or overlap at a seam is wider than {_um(forecast.seam_95_mm)}, {verdict} the "
            f"{_um(wanted_seam_mm)} you accept. Lines that cross a seam may be offset by up to "
            f"{_um(forecast.seam_offset_95_mm)} along the item."
        )
    if forecast.draws:
        out.append(_whole(forecast.placement_95_mm))
    out.append(
        f"The marks get {100 * forecast.fluence_low:.0f} to {100 * forecast.fluence_high:.0f} % of the energy per "
        "area that the apex gets at the artwork's middle."
    )
    return out


def _whole(placement_95_mm: float) -> str:
    """How far all of the artwork may be off."""
    why = "mostly because the axis is off the field's middle"
    if placement_95_mm >= MISSED_MM:
        return f"On more than 1 in 20 items the beam may miss the item, {why}: find the item's apex first."
    return f"On 19 of 20 items all of the artwork lies at most {placement_95_mm:.2g} mm off its place, {why}."


def _rules(forecast: Forecast) -> list[str]:
    usual = max(forecast.seam_open_mm, forecast.seam_double_mm)
    out = []
    for row in forecast.rules:
        program = f"A program that divides from the {DIVIDES[row.origin]} and {ROUNDS[row.rounding]}"
        if row.seam_open_mm is None or row.seam_double_mm is None:
            out.append(f"{program} makes {row.columns} slices, not {forecast.columns}: don't use that setting.")
        elif max(row.seam_open_mm, row.seam_double_mm) > usual + SAME_MM:
            out.append(f"{program} leaves seams off by {_um(max(row.seam_open_mm, row.seam_double_mm))}.")
    if not out and forecast.placement_mm is None and not forecast.flats:
        return [
            f"A program makes the same {forecast.columns} slices, whether it divides from the left edge or the "
            "centre. Seams are measured only for artwork with outlines."
        ]
    return out or [
        "However your program divides (from the left edge or the centre) and rounds, the result is the same."
    ]


def _um(mm: float) -> str:
    return f"{1000 * mm:.1f} µm" if mm < 0.01 else f"{1000 * mm:.0f} µm" if mm < 1 else f"{mm:.2f} mm"
