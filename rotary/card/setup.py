"""The setup card as plain text, to print and to follow at the machine."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby
from math import degrees
from typing import Final

from rotary.card.keying import numbers_to_key_in
from rotary.card.lines import (
    WIDTH,
    clock,
    few,
    figures,
    large,
    listed,
    packed,
    percent,
    table,
    title,
    wrapped,
)
from rotary.card.sizes import Sizes
from rotary.errors import one_line
from rotary.passes.removal import PassRow
from rotary.plan import Plan
from rotary.slices import KeyIn
from rotary.witness import witness_ticks

MOST_BOXES: Final = 240
"""More boxes than this are not ticked by anybody; then a slice has one box for all its passes."""


LEAST_SHIM_MM: Final = 0.05
"""A sheet of paper is thicker."""


def card_lines(plan: Plan, system: str = "mm", day: date | None = None) -> list[str]:
    """The setup card, line by line, at most 100 columns wide; `system` is "mm" or "in", `day` goes on top."""
    sizes = Sizes(system)
    return _joined(
        _head(plan, sizes, day or date.today()),
        _first(plan),
        _set_up(plan, sizes),
        _key_in(numbers_to_key_in(plan, system)),
        _must_show(plan),
        _focus(plan, sizes),
        _artwork(plan, sizes),
        _split(plan, sizes),
        _joints(plan, sizes),
        _passes(plan, sizes),
        _cautions(plan),
        _boxes(plan),
        _notes(),
    )


def answer_lines(plan: Plan, system: str = "mm") -> list[str]:
    """The short answer: what is keyed in, how it is focused, which passes; without boxes and tables of errors."""
    sizes = Sizes(system)
    return _joined(
        wrapped(f"{plan.job.item.name}: {sizes.text(plan.item_state)}", ""),
        _first(plan),
        _key_in(numbers_to_key_in(plan, system)),
        _must_show(plan),
        _focus(plan, sizes),
        _passes(plan, sizes),
        [title("Cautions: on the card, rotary card JOB")],
    )


def _joined(*parts: Sequence[str]) -> list[str]:
    return [one_line(line).rstrip() for part in parts if part for line in [*part, ""]]


def _head(plan: Plan, sizes: Sizes, day: date) -> list[str]:
    name = plan.job.item.name
    lines = [f"SETUP CARD  {name}"[: WIDTH - 12].ljust(WIDTH - 10) + day.isoformat(), "=" * WIDTH]
    for text in (
        plan.job.note,
        sizes.text(f"Item: {plan.item_state}"),
        sizes.text(f"Drive: {plan.turning.state}"),
        f"Beam: {plan.optics.state}",
    ):
        if text:
            lines += wrapped(text)
    lines += listed(sizes.texts(f"Please check: {doubt}" for doubt in plan.doubts), "  ? ")
    return lines


def _first(plan: Plan) -> list[str]:
    stops = [caution.says for caution in plan.safety.cautions if caution.level == "stop"]
    return [*wrapped(plan.removal.first_line, ""), *listed((f"STOP: {text}" for text in stops), "  ! ")]


def _set_up(plan: Plan, sizes: Sizes) -> list[str]:
    notes = (*plan.turning.notes, witness_ticks(plan).says)
    return [title("Set up: the item on its drive"), *listed(sizes.texts(notes))]


def _key_in(entries: Sequence[KeyIn]) -> list[str]:
    lines = [title("Key in: in this order")]
    for place, entry in enumerate(entries, 1):
        strokes = large(entry.text)
        labels = ["", "", f"{place:>3}  {entry.label}"]
        if len(strokes[2]) > WIDTH - 60 or not strokes[1]:
            lines += ["", *wrapped(f"{entry.text} {entry.unit}", f"{labels[2]:<44}")]
        else:
            lines += [f"{label:<44}{stroke}" for label, stroke in zip(labels, strokes, strict=True)]
            lines[-1] += f"  {entry.unit}"
        lines += wrapped(entry.why, "       ") if entry.why else []
    return lines


def _must_show(plan: Plan) -> list[str]:
    if not plan.split.must_show:
        return []
    return [title("Before the first slice, see that"), *listed(plan.split.must_show, "  [ ] ")]


def _focus(plan: Plan, sizes: Sizes) -> list[str]:
    sharp = plan.focus
    over = "over the apex line" if sharp.plane_over_apex_mm >= 0 else "below the apex line"
    lines = [title("Focus")]
    lines += figures(
        [
            ("apex line over the bed", sizes.length(sharp.apex_height_mm)),
            ("focal plane over the bed", sizes.length(sharp.focal_plane_mm)),
            ("which is", f"{sizes.length(abs(sharp.plane_over_apex_mm))} {over}"),
            ("focused on the bed: move the head by", sizes.length(sharp.move_from_bed_mm, signed=True)),
            ("focused on the apex: move it by", sizes.length(sharp.move_from_apex_mm, signed=True)),
            *_level(plan, sizes),
        ]
    )
    if sharp.refocus:
        rows = [("from", "to", "focal plane over the bed", "")]
        rows += [
            (sizes.length(z.from_mm), sizes.length(z.to_mm), sizes.length(z.focal_plane_mm), "[ ]")
            for z in sharp.refocus
        ]
        lines += [f"  Refocus along the item, heights from the {plan.job.item.datum}:", *table(rows)]
    rows = [("focus budget", f"low [{sizes.unit}]", f"high [{sizes.unit}]", "")]
    rows += [(row.name, sizes.bare(row.low_mm), sizes.bare(row.high_mm), row.source) for row in sharp.budget]
    rows += [("in all", sizes.bare(sharp.total_low_mm), sizes.bare(sharp.total_high_mm), "")]
    rows += [("allowed", sizes.bare(sharp.allowed_low_mm), sizes.bare(sharp.allowed_high_mm), "")]
    return [*lines, *table(rows), *listed(sizes.texts(sharp.notes))]


def _level(plan: Plan, sizes: Sizes) -> list[tuple[str, str]]:
    """What goes under which end so that the apex line is level."""
    shim_mm = plan.focus.shim_mm
    if abs(shim_mm) < LEAST_SHIM_MM:
        return []
    name = "levelled, with" if plan.focus.levelled else "to level it, put"
    under = "under the rotary" if plan.job.drive.kind == "rollers" else "under the chuck's base"
    return [(name, f"{sizes.length(abs(shim_mm))} {under}, {'foot' if shim_mm > 0 else 'rim'} end")]


def _band(plan: Plan) -> tuple[float, float]:
    """The ends of the band from the item's own datum."""
    rows, lies = plan.layout.rows, plan.layout
    # Each row tells both heights, so their sum or difference is the datum's place.
    if plan.job.item.datum == "foot":
        return lies.band_from_mm, lies.band_to_mm
    length_mm = rows[0].s_mm + rows[0].from_datum_mm
    return length_mm - lies.band_from_mm, length_mm - lies.band_to_mm


def _artwork(plan: Plan, sizes: Sizes) -> list[str]:
    lies, art = plan.layout, plan.job.artwork
    lines = [title(f"Artwork on the item: {art.name}"[:80])]
    lines += figures(
        [
            ("flat size", f"{sizes.length(art.width_mm)} × {sizes.length(art.height_mm)}"),
            (f"band, from the {plan.job.item.datum}", " to ".join(map(sizes.length, sorted(_band(plan))))),
            ("laid on by the map", art.surface_map),
            ("turns through", f"{degrees(lies.total_angle_rad):.2f}°"),
            (
                "width at top, centre, bottom",
                ", ".join(map(sizes.length, (lies.width_top_mm, lies.width_centre_mm, lies.width_bottom_mm))),
            ),
            ("free round the item", sizes.length(lies.gap_mm)),
            ("seen from the front", percent(lies.seen_share)),
            ("stretched by", f"{lies.stretch_min:.4f} to {lies.stretch_max:.4f}"),
        ]
    )
    rows = [("from datum", "across", "width on wall", "this map ×", "plain artwork ×", "")]
    rows += [
        (
            sizes.length(row.from_datum_mm),
            sizes.length(2 * row.radius_mm),
            sizes.length(row.width_on_wall_mm),
            f"{row.correction:.4f}",
            f"{row.plain_correction:.4f}",
            "",
        )
        for row in few(lies.rows)
    ]
    what = "  What the artwork's width is multiplied by at each height to land as wide as it was drawn:"
    return [*lines, what, *table(rows), *listed(sizes.texts(lies.notes))]


def _split(plan: Plan, sizes: Sizes) -> list[str]:
    cut = plan.split
    what = "slice sheet" if cut.method == "sheet" else "plain artwork"
    lines = [title(f"Step split: {what}")]
    lines += figures(
        [
            ("slices", f"{cut.slices}, of which {cut.inked_slices} carry ink"),
            (
                "slice width, index",
                f"{sizes.length(cut.slice_width_mm)}, {degrees(cut.index_angle_rad):.4f}°, {cut.steps} steps",
            ),
            ("sag at a slice's edge", f"{sizes.fine(cut.sag_mm, signed=False)} {sizes.fine_unit}"),
            ("joint error, 95 %", f"{sizes.fine(cut.joint_95_mm, signed=False)} {sizes.fine_unit}"),
            ("drift over all indexes", f"{sizes.fine(cut.drift_mm)} {sizes.fine_unit}"),
            ("governed by", cut.governing),
        ]
    )
    rows = [("limit", f"widest [{sizes.unit}]", "", "why, and what would relax it")]
    rows += [
        (
            limit.name,
            "no bound" if limit.widest_mm is None else sizes.bare(limit.widest_mm),
            "<" if limit.governs else "",
            sizes.text(f"{limit.why}. To relax it: {limit.relax}" if limit.relax else limit.why),
        )
        for limit in cut.limits
    ]
    lines += table(rows)
    if cut.runners_up:
        taken: list[tuple[str, ...]] = [("steps", f"slice [{sizes.unit}]", "slices", "time", "not taken because")]
        taken += [
            (str(c.steps), sizes.bare(c.slice_width_mm), str(c.slices), clock(c.time_s), c.reason)
            for c in cut.runners_up[:5]
        ]
        lines += ["", *table(taken)]
    return [*lines, *listed(sizes.texts(cut.notes))]


def _joints(plan: Plan, sizes: Sizes) -> list[str]:
    rows = [("from datum", "plain", "95 %", "sheet", "95 %", "")]
    rows += [
        (
            sizes.length(row.from_datum_mm),
            sizes.fine(row.plain_nominal_mm),
            f"±{sizes.fine(row.plain_95_mm, signed=False)}",
            sizes.fine(row.sheet_nominal_mm),
            f"±{sizes.fine(row.sheet_95_mm, signed=False)}",
            "",
        )
        for row in few(plan.split.joints)
    ]
    return [title(f"Joint errors [{sizes.fine_unit}]: + gap, - marked twice"), *table(rows)]


def _passes(plan: Plan, sizes: Sizes) -> list[str]:
    steps = plan.removal
    lines = [title("Passes")]
    if steps.setting is None:
        lines += listed(steps.refused) + listed((f"would change it: {text}" for text in steps.would_change_it), "  > ")
        return [*lines, *listed(sizes.texts(steps.notes))]
    lines += figures(_setting_figures(plan))
    lines += listed((f"before: {text}" for text in steps.before), "  [ ] ")
    rows = [("pass", "kind", "power", "mm/s", "hatch mm", "hatch", "pause", "time", "wall °C", "look for")]
    rows += [
        (
            f"[ ] {same[0].number}" + (f" to {same[-1].number}" if len(same) > 1 else ""),
            same[0].kind,
            percent(same[0].power_share),
            f"{same[0].scan_speed_mm_s:.0f}",
            f"{same[0].hatch_mm:.3f}",
            same[0].hatch_direction,
            clock(same[0].pause_before_s),
            clock(same[0].time_s),
            f"{max(row.wall_peak_c for row in same):.0f}",
            same[0].look,
        )
        for same in _alike(steps.rows)
    ]
    lines += table(rows)
    all_round = "not on this drive" if steps.time_all_round_s is None else clock(steps.time_all_round_s)
    lines += figures(
        [
            ("order", f"{steps.order}: {steps.order_why}"),
            ("time slice by slice, all round", f"{clock(steps.time_slice_by_slice_s)}, {all_round}"),
        ]
    )
    lines += listed((f"after: {text}" for text in steps.after), "  [ ] ")
    return [
        *lines,
        *listed(sizes.texts(steps.notes)),
        *listed(sizes.texts(f"surer by: {text}" for text in steps.would_change_it), "  > "),
    ]


def _alike(rows: Sequence[PassRow]) -> list[list[PassRow]]:
    """Passes that follow each other and are run alike, together: one line does for all of them."""

    def how(row: PassRow) -> tuple[object, ...]:
        return (*(getattr(row, name) for name in _RUN_BY), row.look)

    return [list(same) for _, same in groupby(rows, how)]


_RUN_BY: Final = ("kind", "power_share", "scan_speed_mm_s", "hatch_mm", "hatch_direction", "pause_before_s", "time_s")


def _setting_figures(plan: Plan) -> list[tuple[str, str]]:
    steps, setting = plan.removal, plan.removal.setting
    if setting is None:
        return []
    pairs = [
        ("power", f"{percent(setting.power_share)} = {setting.power_w:.2f} W"),
        ("repetition rate, pulse duration", f"{setting.rate_khz:g} kHz, {setting.pulse_ns:g} ns"),
        ("scan speed, hatch spacing", f"{setting.scan_speed_mm_s:.0f} mm/s, {setting.hatch_mm:.3f} mm"),
        ("pulse energy", f"{setting.pulse_mj:.3f} mJ"),
        ("spot and peak fluence there", f"{setting.spot_at_surface_um:.0f} µm, {setting.peak_fluence_j_cm2:.2f} J/cm²"),
    ]
    chances = map(percent, (steps.chance_clear, steps.chance_unmarked, steps.chance))
    if steps.draws:
        pairs += [
            (
                "chance clear, unmarked, both",
                f"{', '.join(chances)} of {steps.draws} draws",
            ),
            ("wall in bulk, 5, 50, 95 %", f"{steps.wall_c_5:.0f}, {steps.wall_c_50:.0f}, {steps.wall_c_95:.0f} °C"),
        ]
    return pairs


def _cautions(plan: Plan) -> list[str]:
    warned = plan.safety
    lines = [title("Cautions: local rules and licensed practice go first")]
    for caution in warned.cautions:
        lines += wrapped(
            f"{caution.about}: {caution.says}", {"stop": "  ! ", "warn": "  * "}.get(caution.level, "  - ")
        )
    said = " ".join(caution.says for caution in warned.cautions)
    for eye in warned.eyes:
        scale = f" ({eye.scale_number})" if eye.scale_number not in ("", "none") else ""
        density = f"optical density {eye.optical_density:.1f} or more at {eye.wavelength_nm:g} nm{scale}"
        limits = f"exposure {eye.exposure_w_m2:.3g} against a limit of {eye.limit_w_m2:.3g} W/m²"
        verdict = "" if eye.verdict in said else f"; {eye.verdict}"
        lines += wrapped(f"Eyes, {eye.source}: {density}; {limits}{verdict}", "  * ")
    return lines


def _boxes(plan: Plan) -> list[str]:
    """Boxes to tick: one a slice and pass, in the order in which they are run."""
    slices, passes = plan.split.slices, len(plan.removal.rows)
    if plan.removal.setting is None:
        return []
    if slices * passes > MOST_BOXES:
        boxes = [f"{number:>4}[ ]" for number in range(1, slices + 1)]
        return [title(f"Tick off: a slice once all its {passes} passes are done"), *packed(boxes, 0)]
    if plan.removal.order == "all-round":
        boxes = [f"{number:>4}[ ]" for number in range(1, slices + 1)]
        rounds = [packed([f"pass {number:<4}", *boxes], 0) for number in range(1, passes + 1)]
        return [title("Tick off: a line a pass, a box a slice"), *(line for lines in rounds for line in lines)]
    groups = [f"slice {number:<4}" + "[ ]" * passes for number in range(1, slices + 1)]
    return [title(f"Tick off: {passes} passes, slice by slice"), *packed(groups, 4)]


def _notes() -> list[str]:
    return [title("What happened (date, who, what was seen)"), *("  " + "_" * (WIDTH - 4) for _ in range(4))]
