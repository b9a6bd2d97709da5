"""The actions of a plan, or of a job that can't be planned yet."""

from collections.abc import Sequence
from math import degrees
from typing import Final

from rotary.actions.by_hand import by_hand_rows, check_rows, face_rows
from rotary.actions.files import FileFacts, file_facts, import_rows, rim_row
from rotary.actions.models import ActionCaution, Actions, Distortion, Files, Reason, RunActions, Verdict, kind_of
from rotary.actions.run import run_of
from rotary.actions.typed_rows import typed_rows
from rotary.actions.verdict import ProofStanding, steps_of, steps_to_fill, verdict_of
from rotary.artwork.models import Layout
from rotary.errors import Fault, Missing
from rotary.plan import Plan
from rotary.safety import Safety

OF_A_FACE: Final = (
    "file", "scale", "power", "frequency", "pulse_width", "speed", "line_spacing", "fill_direction", "passes", "pause",
    "vessel", "corner_ticks",
)  # fmt: skip
"""Rows that what is not turned has too, beside those of how its face lies."""


def actions_of(
    plan: Plan, drawn: FileFacts | None = None, proof: ProofStanding | None = None, newer: bool = False
) -> Actions:
    """What a person does with this plan; `drawn` is what is known of its files, `proof` what the saved job can show,
    `newer` whether another plan than the proven one would be made today. Words are put in by `sentences.actions`."""
    drawn = drawn or file_facts(plan)
    verdict = verdict_of(plan, proof)
    standing = Actions(
        verdict=verdict,
        steps=steps_of(plan, verdict, drawn, newer),
        cautions=cautions_of(plan.safety),
        run=RunActions(files=Files()),
    )
    if "coating_refused" in verdict.reasons:
        # What must not be marked is not imported, typed or set up either.
        return standing
    rows = {
        "import": import_rows(plan, drawn),
        "type": typed_rows(plan),
        "by_hand": by_hand_rows(plan, drawn),
        "check": check_rows(plan, drawn),
    }
    if drawn.face is not None:
        on_face = {name: tuple(row for row in some if kind_of(row.id) in OF_A_FACE) for name, some in rows.items()}
        if drawn.face.kind == "flats":
            on_face["import"] = (*on_face["import"], rim_row(plan))
        on_face["by_hand"] = (*face_rows(plan, drawn.face, len(drawn.files.faces)), *on_face["by_hand"])
        return standing.but(**on_face, run=run_of(plan, drawn))
    return standing.but(**rows, run=run_of(plan, drawn), on_item=distortion_of(plan.layout))


def distortion_of(layout: Layout) -> Distortion:
    """How the artwork lies on the item, in figures."""
    return Distortion(
        width_mm=layout.width_centre_mm,
        angle_deg=degrees(layout.total_angle_rad),
        ring=layout.is_ring,
        stretch_low=layout.stretch_min,
        stretch_high=layout.stretch_max,
        visible_share=layout.visible_share,
    )


def cautions_of(safety: Safety) -> tuple[ActionCaution, ...]:
    """What eyes need against each laser, then all others, the worst first."""
    eyes = [
        ActionCaution(
            id=f"eyewear_{number}",
            level="warn",
            value=eye.optical_density,
            wavelength_nm=eye.wavelength_nm,
            marks=eye.scale_number,
            about=eye.source,
        )
        for number, eye in enumerate(safety.eyes, 1)
        if eye.judged
    ]
    return (*eyes, *(ActionCaution(id=one.id, level=one.level, about=one.about) for one in safety.cautions))


def actions_of_refused(faults: Sequence[Fault], example: bool = False) -> Actions:
    """What a person does where nothing can be planned yet: fill in what is missing, or put right what is impossible."""
    of_kind: dict[bool, Reason] = {True: "missing_fact", False: "impossible_fact"}
    reasons = tuple(dict.fromkeys(of_kind[isinstance(fault.says, Missing)] for fault in faults))
    verdict = Verdict(state="not ready", example=example, reasons=reasons)
    return Actions(verdict=verdict, steps=steps_to_fill(faults), run=RunActions(files=Files()))
