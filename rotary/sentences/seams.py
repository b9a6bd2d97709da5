"""The seams of a plan in sentences: within what all are, what the gap that closes rests on, what to test."""

from rotary.formulas.estimate import HOLDS_95
from rotary.plan import Plan
from rotary.sentences.slices import all_seams_words


def notes(plan: Plan) -> tuple[str, ...]:
    """What has to be known of the seams, the most useful first; nothing where no slices meet."""
    seams, split, limit_mm = plan.seams, plan.split, plan.job.tolerances.accepted_seam_mm
    if not seams.seams:
        return ()
    within = all_seams_words(seams.within_mm)
    told = [f"{within[0].upper()}{within[1:]}. You accept {1000 * limit_mm:.0f} µm at a seam."]
    stops_mm = HOLDS_95 * split.stops_mm
    if not any(plan.turning.stops_tested) and stops_mm > limit_mm / 2:
        told.append(
            "Do the motor test on paper tape (10 minutes): it shows how exactly your motor stops. Until then its stops "
            f"may open a seam by up to {1000 * stops_mm:.0f} µm (19 of 20 seams)."
        )
    told.append(_gap(plan))
    return (*told, *_overlap(plan), *_narrowest(plan))


def _gap(plan: Plan) -> str:
    seams = plan.seams
    half = HOLDS_95 * seams.u_closing_gap_mm
    # Each figure has its unit: on a sheet in inches both are turned into thou.
    size = f"{1000 * seams.closing_gap_mm:.0f} µm"
    if seams.source == "measured":
        return f"Your gap ladder shows that marking closes gaps of up to {size}, give or take {1000 * half:.0f} µm."
    why = "You marked the gap ladder at other settings. " if seams.source == "other settings" else ""
    return (
        f"{why}Mark a gap ladder on scrap (10 minutes): it shows how wide a gap closes when you mark. Until then the "
        f"plan assumes {size}."
    )


def _overlap(plan: Plan) -> tuple[str, ...]:
    seams, split = plan.seams, plan.split
    flat = split.method == "flat"
    if seams.slit_mm > 0 and seams.goes_with(split.slice_width_mm):
        where = f"{'Flat files' if flat else 'Slices'} are drawn with a white gap"
        overlap = f", and marks then overlap by {1000 * seams.overlap_mm:.0f} µm" if seams.overlap_mm else ""
        return (f"{where} of {1000 * seams.slit_mm:.0f} µm at each seam. Marking closes it{overlap}.",)
    if flat:
        return ("Flat slices are drawn without a gap, because a gap would stay open here.",)
    return (f"Slices overlap by {1000 * -seams.slit_mm:.0f} µm at each seam.",)


def _narrowest(plan: Plan) -> tuple[str, ...]:
    """Why slices are no narrower, where a limit asks for that."""
    seams, split = plan.seams, plan.split
    widest_mm = split.plain_widest_mm if split.method == "flat" else split.sheet_widest_mm
    if seams.goes_with(widest_mm) or seams.slit_mm <= 0:
        return ()
    return (f"A slice narrower than {2000 * seams.slit_mm:.0f} µm would be mostly seam.",)
