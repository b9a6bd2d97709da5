"""What matters most: each input's share in the seam error and in the fluence error of this job.

Half widths that hold 95 %, carried through by the law of propagation; the input that pays is the one whose
measuring takes most off the error, and where none does, more measuring is no use.
"""

import math
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.beam import peak_fluence_factor
from rotary.formulas.estimate import HOLDS_95, propagated_u, shares_of_variance
from rotary.model import Model
from rotary.papers.sizes import Sizes
from rotary.plan import Plan
from rotary.sentences.slices import cost_words

WORTH_SHARE: Final = 0.1
"""An input that brings less than a tenth off the error is not worth measuring."""

STRIP_CURES: Final = ("diameter", "focus", "field_scale", "turn")

_INPUTS: Final = {
    "diameter": ("diameter", "calipers, at three places within the artwork's heights"),
    "focus": ("focus", "the test focus-lines (on the screen: page focus)"),
    "runout": ("runout", "a dial indicator on the apex over one turn, then centre the item better"),
    "field_scale": ("field scale", "the test field"),
    "turn": ("one full turn", "the test full-turn"),
    "pupil": ("pupil height", "the test two-heights"),
    "stops": ("motor's stops", "the tests motor-whole and motor-free (to stop more exactly, fit a slower gear)"),
    "offset": ("axis beside the middle", "the test edge"),
    "spot": ("spot", "the test focus-lines (on the screen: page focus)"),
}
"""What each input is called, and how it is measured."""

SPOT_SHARE: Final = 0.1
"""How far a computed spot is off, 95 %: real ones are 1 to 1.5 times as wide (estimate), taken about their middle."""


class Input(Model):
    """One input: how well it is known (95 %, in `unit`), what that makes at a seam and of the fluence, its shares.

    `measurable` is whether a reading of it would help. `part_of_seam` and `part_of_fluence` are of the variance and
    add up to 1 over all inputs; `seam_without_mm` and `fluence_without` is what the whole error (95 %) would be were
    this input known exactly.
    """

    id: str
    name: str
    half_95: float
    unit: str
    seam_mm: float
    part_of_seam: float
    seam_without_mm: float
    fluence: float
    part_of_fluence: float
    fluence_without: float
    how: str
    measurable: bool


class ErrorBudget(Model):
    """All inputs, the dearest at the seams first, the whole errors (95 %), and what to do about it in sentences."""

    inputs: tuple[Input, ...]
    seam_95_mm: float
    says: tuple[str, ...]


class _Effect(NamedTuple):
    id: str
    half: float
    unit: str
    seam: float
    height: float = 0.0
    fluence: float = 0.0


def error_budget(made: Plan) -> ErrorBudget:
    """Every input's share in the errors of a plan."""
    effects = _effects(made)
    seam = np.array([e.seam for e in effects])
    slope = _fluence_per_mm(made)
    fluence = np.array([math.hypot(e.height * slope, e.fluence) for e in effects])
    one = np.ones(len(effects))
    seam_share, fluence_share = shares_of_variance(one, seam), shares_of_variance(one, fluence)
    whole, whole_fluence = propagated_u(one, seam), propagated_u(one, fluence)
    inputs = []
    for k, e in enumerate(effects):
        others = np.arange(len(effects)) != k
        inputs.append(
            Input(
                id=e.id,
                name=_INPUTS[e.id][0],
                half_95=e.half,
                unit=e.unit,
                seam_mm=float(seam[k]),
                part_of_seam=float(seam_share[k]),
                seam_without_mm=propagated_u(one[others], seam[others]),
                fluence=float(fluence[k]),
                part_of_fluence=float(fluence_share[k]),
                fluence_without=propagated_u(one[others], fluence[others]),
                how=_INPUTS[e.id][1],
                measurable=e.id != "stops",
            )
        )
    inputs.sort(key=lambda i: -i.part_of_seam)
    return ErrorBudget(
        inputs=tuple(inputs),
        seam_95_mm=whole,
        says=(
            *_says(inputs, whole, whole_fluence, made.job.tolerances.accepted_seam_mm),
            *(cost_words(cost, made.split.slices) for cost in made.split.seam_costs),
        ),
    )


def _effects(made: Plan) -> list[_Effect]:
    """What each input's half width does to a seam [mm], to the height of the wall [mm], to the fluence (share)."""
    job, cut, optics, turning = made.job, made.split, made.optics, made.turning
    # Where the seams are worst, as the plan counts them.
    worst = max(cut.seam_rows, key=lambda row: row.sheet_95_mm)
    r = float(made.shape.radius_mm(worst.s_mm))
    told, width = job.tolerances, cut.index_angle_rad * r
    radius_half = float(made.radius_half_mm(worst.s_mm))
    stops = HOLDS_95 * turning.seam_stops_mm[int(cut.whole_cycles)] * r / made.shape.widest_radius_mm
    across = optics.pupil_y_mm if job.laser.field_axis == "x" else optics.pupil_x_mm
    plane = made.focus.plane_over_apex_mm + cut.edge_drop_mm
    pupil = math.inf if across is None else across + plane
    spread = (optics.pupil_high_share - optics.pupil_low_share) / 2
    offset, runout = abs(job.turning.offset_mm), job.item.runout_mm / 2
    spot = SPOT_SHARE if optics.spot_source == "computed" else 0.0
    return [
        _Effect("diameter", 2 * radius_half, "mm", width * radius_half / r, radius_half),
        _Effect("focus", told.focus_mm, "mm", width * told.focus_mm / pupil, told.focus_mm),
        _Effect("runout", runout, "mm", width * job.item.runout_mm / 2 / pupil, runout),
        _Effect("field_scale", told.field_scale_share, "", width * told.field_scale_share),
        _Effect("turn", HOLDS_95 * turning.u_scale, "", width * HOLDS_95 * turning.u_scale),
        _Effect("pupil", spread, "", width * spread * abs(plane) / pupil),
        _Effect("stops", stops, "mm", stops),
        _Effect("offset", offset, "mm", width * offset**2 / (2 * r * r), offset**2 / (2 * r)),
        _Effect("spot", spot, "", 0.0, 0.0, 2 * spot),
    ]


def _fluence_per_mm(made: Plan) -> float:
    """Share of the peak fluence that a millimetre of height costs; in focus, where the slope is nothing, the mean fall
    over the focus tolerance is taken."""
    z, rayleigh = made.focus.plane_over_apex_mm, made.optics.rayleigh_mm
    step = max(made.job.tolerances.focus_mm, 0.05)
    here = float(peak_fluence_factor(z, rayleigh))
    ends = [float(peak_fluence_factor(z + side * step, rayleigh)) for side in (-1, 1)]
    return float(max(abs(end / here - 1) for end in ends) / step)


def _says(inputs: list[Input], seam: float, fluence: float, wanted: float) -> list[str]:
    says = [
        f"With what you have measured so far, a single seam is off by at most {1000 * seam:.0f} µm, and the energy per "
        f"area by at most {100 * fluence:.0f} % (on 19 of 20 items). The setup sheet gives another number: that of the "
        "worst of all seams."
    ]
    curable = [i for i in inputs if i.measurable]
    best = max(curable, key=lambda i: seam - i.seam_without_mm)
    if seam > 0 and seam - best.seam_without_mm > WORTH_SHARE * seam:
        says.append(
            f"For better seams measure: {best.name}, with {best.how}. If you knew this exactly, a seam would be off by "
            f"at most {1000 * best.seam_without_mm:.0f} µm."
        )
        if best.id in STRIP_CURES:
            says.append("One seam test measures diameter, focus, field scale and full turn all at once.")
    else:
        says.append(f"Measuring more won't make the seams better. What puts seams off most is this: {inputs[0].name}.")
    if seam <= wanted:
        says.append(
            f"You accept {1000 * wanted:.0f} µm at a seam, so your readings are good enough. Better readings would "
            "only allow wider slices and less turning."
        )
    else:
        digits = 1 if round(1000 * seam) == round(1000 * wanted) else 0
        says.append(f"You accept {1000 * wanted:.0f} µm at a seam, so {1000 * seam:.{digits}f} µm is too much.")
    best = max(curable, key=lambda i: fluence - i.fluence_without)
    if fluence > 0 and fluence - best.fluence_without > WORTH_SHARE * fluence:
        says.append(
            f"For a steadier energy per area measure: {best.name}, with {best.how}. If you knew this exactly, the "
            f"energy would be off by at most {100 * best.fluence_without:.0f} %."
        )
    return says


def error_budget_lines(found: ErrorBudget, system: str = "mm", narrow: bool = False) -> list[str]:
    """The table as lines of text; `narrow` has what counts at the seams alone."""
    sizes = Sizes(system)
    head = f"{'may be off':>12}{'seam off by':>13}{'of all':>10}{'energy off by':>15}{'of all':>10}"
    lines = [f"{'cause':<22}{head}   how to measure it"]
    if narrow:
        lines = [f"{'cause':<22}{'seam off':>8}{'of all':>7}"]
    for i in found.inputs:
        half = f"{i.half_95:.3g} mm" if i.half_95 >= 0.001 else f"{1000 * i.half_95:.3g} µm"
        known = sizes.text(f"±{half}") if i.unit == "mm" else f"±{100 * i.half_95:.2g} %"
        seam = f"{i.seam_mm / 0.0254:.2f} thou" if system == "in" else f"{1000 * i.seam_mm:.1f} µm"
        if narrow:
            lines.append(f"{i.name:<22}{seam:>8}{100 * i.part_of_seam:>4.0f} %")
            continue
        lines.append(
            f"{i.name:<22}{known:>12}{seam:>13}{100 * i.part_of_seam:>8.0f} %"
            f"{100 * i.fluence:>13.1f} %{100 * i.part_of_fluence:>8.0f} %   {i.how}"
        )
    return [*lines, "share: this cause's part of the whole error", "", *sizes.texts(found.says)]
