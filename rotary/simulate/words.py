"""A forecast in sentences."""

from collections.abc import Iterator

from rotary.sentences.files import slices_text
from rotary.simulate.chances import MISSED_MM
from rotary.simulate.forecast import Forecast
from rotary.simulate.nearest import FARTHEST_MM

SAME_MM = 0.005  # ways of dividing whose seams differ by less come out the same

DIVIDES = {"left": "left edge", "centre": "centre"}
ROUNDS = {
    "each-index": "rounds each turn by itself",
    "absolute": "rounds each place that it counts from the start",
    "truncate": "rounds each turn down",
}


def sentences(forecast: Forecast, wanted_seam_mm: float, back: bool = False) -> tuple[str, ...]:
    """What will happen, the most important first; `wanted_seam_mm` is what a person accepts at a seam. `back`: the
    program counts slices from the item's right."""
    return (*_nominal(forecast, back), *_chances(forecast, wanted_seam_mm), *_rules(forecast))


def _nominal(forecast: Forecast, back: bool) -> Iterator[str]:
    if forecast.part:
        held = slices_text(forecast.part, forecast.columns, back)
        yield f"This file holds {held}. rotary checked no other file."
    if forecast.missed_points:
        yield (
            f"{forecast.missed_points} of {forecast.outline_points} points of the drawing miss the item: "
            "this file was drawn for another item."
        )
    if forecast.placement_mm is not None and forecast.missing_mm is not None:
        yield from _placed(forecast.placement_mm, forecast.missing_mm)
    if forecast.seam_places:
        yield (
            f"Seams cross the artwork in {forecast.seam_places} places: gaps there are at most "
            f"{_um(forecast.seam_open_mm)} wider than planned, and overlaps at most "
            f"{_um(forecast.seam_double_mm)} wider."
        )
    elif forecast.flats:
        yield "You mark each flat on its own: there are no seams."
    elif forecast.placement_mm is not None:
        yield "No seam crosses the artwork."
    if forecast.lost_seam_places:
        yield f"In {forecast.lost_seam_places} of these places the mark on one side of the seam is missing."


def _placed(placement_mm: float, missing_mm: float) -> list[str]:
    """How far marks and artwork lie apart; what lies very far is not measured to the end."""
    if max(placement_mm, missing_mm) < FARTHEST_MM:
        off = _um(max(placement_mm, missing_mm))
        return [f"If everything you measured is exact, the marks lie at most {off} from where the artwork belongs."]
    far = [
        f"{what} {_um(FARTHEST_MM)}"
        for amount, what in (
            (placement_mm, "some marks lie away from the artwork by more than"),
            (missing_mm, "some parts of the artwork have no mark within"),
        )
        if amount >= FARTHEST_MM
    ]
    return [
        f"If everything you measured is exact, {' and '.join(far)}. So this file belongs to another job or artwork: "
        "write the file again, or name the artwork that it was drawn from."
    ]


def _chances(forecast: Forecast, wanted_seam_mm: float) -> Iterator[str]:
    if forecast.draws and forecast.seam_places:
        verdict = "less than" if forecast.seam_95_mm <= wanted_seam_mm else "more than"
        yield (
            f"On 19 of 20 items gaps and overlaps at seams are at most {_um(forecast.seam_95_mm)} wide, {verdict} the "
            f"{_um(wanted_seam_mm)} that you accept. Lines that cross a seam can jump by up to "
            f"{_um(forecast.seam_offset_95_mm)} along the item."
        )
    if forecast.draws:
        yield _whole(forecast.placement_95_mm)
    ends = dict.fromkeys(f"{100 * share:.0f}" for share in (forecast.fluence_low, forecast.fluence_high))
    yield f"Every place of the artwork gets {' to '.join(ends)} % of the planned energy."


def _whole(placement_95_mm: float) -> str:
    """How far all of the artwork may be off."""
    why = "mostly because the axis is not exactly under the field's middle"
    if placement_95_mm >= MISSED_MM:
        return f"On more than 1 in 20 items the beam can miss the item, {why}: line the axis up with the pointer first."
    return f"On 19 of 20 items the whole artwork lies at most {placement_95_mm:.2g} mm out of place, {why}."


def _rules(forecast: Forecast) -> list[str]:
    usual = max(forecast.seam_open_mm, forecast.seam_double_mm)
    out = []
    for row in forecast.rules:
        program = f"A program that divides from the {DIVIDES[row.origin]} and {ROUNDS[row.rounding]}"
        if row.seam_open_mm is None or row.seam_double_mm is None:
            out.append(f"{program} makes {row.columns} slices, not {forecast.columns}: don't use that setting.")
        elif max(row.seam_open_mm, row.seam_double_mm) > usual + SAME_MM:
            off = _um(max(row.seam_open_mm, row.seam_double_mm))
            out.append(f"{program} makes gaps or overlaps {off} wider than planned.")
    if not out and forecast.placement_mm is None and not forecast.flats:
        return [
            f"Your program makes {forecast.columns} slices, whether it divides the file from the left edge or the "
            "centre."
        ]
    return out or [
        "Your program may divide the file from its left edge or its centre, and may round turns in any way: the result "
        "is the same."
    ]


def _um(mm: float) -> str:
    return f"{1000 * mm:.1f} µm" if mm < 0.01 else f"{1000 * mm:.0f} µm" if mm < 1 else f"{mm:.2f} mm"
