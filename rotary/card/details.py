"""What a sheet with its details says after its first page: cautions in whole, reasons, pictures, figures."""

from math import degrees

from rotary.actions.models import ActionCaution, Actions
from rotary.papers.drawing import PaperPicture
from rotary.papers.lines import clock, few, percent
from rotary.papers.model import Block, Pairs, PictureRow, Section, Sentences, Table
from rotary.papers.sizes import Sizes
from rotary.plan import Plan
from rotary.sentences import artwork, focus, item, laser, passes, seams, slices, turning
from rotary.sentences.changes import WORDS
from rotary.sentences.rows import entries
from rotary.sentences.safety import capital


def details(
    plan: Plan, actions: Actions, pictures: tuple[PaperPicture, ...], system: str = "mm"
) -> tuple[Section, ...]:
    """All that stands after the first page of a plan's sheet."""
    sizes, note = Sizes(system), " ".join(plan.job.note.split())
    passes_table = _passes(actions)
    return (
        *([Section("Note for this job", (Sentences((note,), "none"),))] if note else []),
        cautions_in_whole(plan, actions.cautions),
        _item(plan, sizes),
        _reasons(plan, actions, system),
        *([Section("Passes, one by one", (passes_table,))] if passes_table.rows else []),
        *figures_behind(plan, sizes),
        *([Section("Pictures", (PictureRow(pictures),))] if pictures else []),
    )


def cautions_in_whole(plan: Plan | None, cautions: tuple[ActionCaution, ...]) -> Section:
    """Every caution with its source, eyes with their figures."""
    eyes = [
        f"Eyes, {eye.source}: {eye.verdict}"
        for eye in (plan.safety.eyes if plan else ())
        # A pair that is missing, or whose marks are not known, has a caution of its own.
        if not (eye.uncovered or eye.unmarked)
    ]
    texts = {level: tuple(f"{one.long} ({one.source})" for one in cautions if one.level == level) for level in _LEVELS}
    blocks = (Sentences((*eyes, *texts["stop"], *texts["warn"]), "warn"), Sentences(texts["note"]))
    return Section("Cautions: local rules and licensed experts come first", tuple(one for one in blocks if one.texts))


_LEVELS = ("stop", "warn", "note")


def _item(plan: Plan, sizes: Sizes) -> Section:
    states = (
        ("item", sizes.text(item.summary(plan.shape))),
        ("turning", sizes.text(turning.summary(plan.turning))),
        ("beam", laser.summary(plan.optics)),
    )
    notes = Sentences(tuple(sizes.texts(turning.notes(plan.turning, plan.job.item))))
    return Section("Item, turning, laser", (Pairs(states), *([notes] if notes.texts else [])))


def _reasons(plan: Plan, actions: Actions, system: str) -> Section:
    """What each number that is typed means."""
    whys = {key.id: key.why for key in plan.split.key_in}
    rows = tuple(
        (one.label, f"{one.figure}. {capital(whys[one.id])}")
        for one in entries(actions.type, system)
        if whys.get(one.id)
    )
    return Section("What you type, and why", (Pairs(rows),))


def _passes(actions: Actions) -> Table:
    """The planned passes in their order, alike ones in one row."""
    head: tuple[str, ...] = ("pass", "kind", "power %", "speed mm/s", "line spacing mm", "lines go", "pause s")
    rows: tuple[tuple[str, ...], ...] = tuple(
        (f"{one.first} to {one.last}" if one.last > one.first else f"{one.first}", one.kind, f"{one.power:g}",
         f"{one.speed:g}", f"{one.line_spacing:.3f}", one.fill_direction, f"{one.pause:g}")
        for one in actions.run.passes
    )  # fmt: skip
    depths = ["" if one.depth_um is None else f"{one.depth_um:.1f}" for one in actions.run.passes]
    if any(depths):
        head = (*head, "depth, about \u00b5m")
        rows = tuple((*row, depth) for row, depth in zip(rows, depths, strict=True))
    tried = "" if actions.run.depth_check_after else " (the first slice shows how many you really need)"
    return Table(head, rows, f"the planned passes{tried}")


def figures_behind(plan: Plan, sizes: Sizes) -> tuple[Section, ...]:
    """The sections that nobody follows at the machine, but that say where its numbers come from."""
    return (
        _split(plan, sizes),
        _seams(plan, sizes),
        _artwork(plan, sizes),
        _budget(plan, sizes),
        _chances(plan, sizes),
    )


def _split(plan: Plan, sizes: Sizes) -> Section:
    cut = plan.split
    what = "sliced file" if cut.method == "sliced" else "flat file"
    drift = sizes.fine(abs(cut.drift_mm), signed=False)
    turn, flats = f"{degrees(cut.index_angle_rad):.4f}° ({cut.steps} steps)", plan.shape.flats
    facts = Pairs(
        (
            ("slices", f"{cut.slices}, {cut.inked_slices} of them with artwork"),
            (
                ("from flat to flat", f"the item turns {turn}: whole steps come no nearer to 1/{flats} of a turn")
                if flats
                else (
                    "each slice on the item",
                    f"{sizes.length(cut.slice_width_mm)} wide. The item turns {turn} from slice to slice",
                )
            ),
            ("drop at the slice's edge", f"{sizes.fine(cut.edge_drop_mm, signed=False)} {sizes.fine_unit}"),
            (
                "seams gap or overlap by at most",
                f"{sizes.fine(plan.seams.within_mm, signed=False)} {sizes.fine_unit} on 19 of 20 items",
            ),
            (
                "all slices together turn",
                "exactly as far as planned"
                if float(drift) == 0
                else f"{drift} {sizes.fine_unit} too {'far' if cut.drift_mm >= 0 else 'little'}",
            ),
            ("limit that sets the slice width", slices.NAMES[cut.governing]),
        )
    )
    limits = Table(
        ("limit", f"slices up to [{sizes.unit}]", "", "why, and what helps"),
        tuple(
            (
                text.name,
                "not reached" if limit.widest_mm is None else sizes.bare(limit.widest_mm),
                "<" if limit.governs else "",
                sizes.text(
                    f"{capital(text.why)}. What helps? {capital(text.relax)}"
                    if limit.widest_mm is not None or limit.governs
                    else capital(text.why)
                ),
            )
            for limit in cut.limits
            for text in (slices.limit_text(limit, cut.remarks),)
        ),
        "how wide each limit lets a slice be (< marks the one that sets the width)",
        wide=3,
    )
    blocks: list[Block] = [facts, limits]
    if cut.runners_up:
        rows = tuple(
            (
                str(c.steps),
                sizes.bare(c.slice_width_mm),
                str(c.slices),
                clock(c.time_s),
                slices.reason(c, cut, plan.turning.cycle_steps),
            )
            for c in cut.runners_up[:5]
        )
        head = ("steps", f"slice [{sizes.unit}]", "slices", "turning takes", "not taken because")
        blocks.append(Table(head, rows, "other widths, and why they were not taken", wide=4))
    return Section(
        f"Slices: {what}",
        (*blocks, Sentences(tuple(sizes.texts((*seams.notes(plan), *slices.notes(cut, plan.seams.within_mm)))))),
    )


def _seams(plan: Plan, sizes: Sizes) -> Section:
    rows = tuple(
        (
            sizes.length(row.from_end_mm),
            sizes.fine(row.plain_nominal_mm),
            f"±{sizes.fine(row.plain_95_mm, signed=False)}",
            sizes.fine(row.sheet_nominal_mm),
            f"±{sizes.fine(row.sheet_95_mm, signed=False)}",
        )
        for row in few(plan.split.seam_rows)
    )
    table = Table(
        (
            f"from {plan.job.item.end_words(plan.job.item.heights_from)}",
            "flat file",
            "on 19 of 20",
            "sliced file",
            "on 19 of 20",
        ),
        rows,
        "how far off a seam is at each height: as expected, and by how much more or less on 19 of 20 seams",
    )
    return Section(f"Seams [{sizes.fine_unit}]: + gap, - marked twice", (table,))


def _band(plan: Plan) -> tuple[float, float]:
    """The ends of the band from the item's own datum."""
    rows, lies = plan.layout.rows, plan.layout
    # Each row tells both heights, so their sum or difference is the datum's place.
    if plan.job.item.heights_from == "base":
        return lies.artwork_from_mm, lies.artwork_to_mm
    length_mm = rows[0].s_mm + rows[0].from_end_mm
    return length_mm - lies.artwork_from_mm, length_mm - lies.artwork_to_mm


def _artwork(plan: Plan, sizes: Sizes) -> Section:
    lies, art, is_straight = plan.layout, plan.job.artwork, plan.shape.shape == "straight"
    low, high = (f"{times:.4f}" for times in (lies.stretch_min, lies.stretch_max))
    facts = Pairs(
        (
            ("artwork's frame (the room for it)", f"{sizes.length(art.width_mm)} × {sizes.length(art.height_mm)}"),
            (
                f"heights, from {plan.job.item.end_words(plan.job.item.heights_from)}",
                " to ".join(map(sizes.length, sorted(_band(plan)))),
            ),
            *(() if is_straight else (("on a taper", WORDS[art.surface_map]),)),
            ("the artwork goes round by", f"{degrees(lies.total_angle_rad):.2f}°"),
            (
                "width at top, middle, bottom",
                ", ".join(map(sizes.length, (lies.width_top_mm, lies.width_centre_mm, lies.width_bottom_mm))),
            ),
            ("unmarked, the rest of the way round", sizes.length(lies.gap_mm)),
            ("well seen from its front", f"{percent(lies.visible_share)} of the artwork (within 60° of its middle)"),
            ("how much it is stretched", "not at all" if low == high == "1.0000" else f"{low} to {high} times"),
        )
    )
    rows = tuple(
        (
            sizes.length(row.from_end_mm),
            sizes.length(2 * row.radius_mm),
            sizes.length(row.width_on_wall_mm),
            f"{row.correction:.4f}",
            f"{row.plain_correction:.4f}",
        )
        for row in few(lies.rows)
    )
    head = ("height", "diameter", "width on the wall", "sliced file: times as wide", "flat file: times as wide")
    what = (
        "At each height the file's artwork is wider or narrower than your drawing, as many times as the table says. So "
        "it comes out as wide as you drew it. The table shows what the item's shape needs, not what the leaning beam "
        "needs."
    )
    blocks = (
        facts,
        Sentences((what,), "none"),
        Table(head, rows, "corrections of the width, height by height"),
        Sentences(tuple(sizes.texts(artwork.notes(lies)))),
    )
    return Section(f"Artwork on the item: {art.name}"[:80], blocks)


def _budget(plan: Plan, sizes: Sizes) -> Section:
    sharp = plan.focus
    rows = [
        (name, sizes.bare(row.low_mm), sizes.bare(row.high_mm), source)
        for row in sharp.budget
        for name, source in (focus.BUDGET[row.id],)
    ]
    rows += [("in all", sizes.bare(sharp.total_low_mm), sizes.bare(sharp.total_high_mm), "")]
    rows += [("allowed", sizes.bare(sharp.allowed_low_mm), sizes.bare(sharp.allowed_high_mm), "")]
    head = ("cause", f"low [{sizes.unit}]", f"high [{sizes.unit}]", "")
    table = Table(head, tuple(rows), "how far each cause puts the surface off (- too low, + too high)", wide=3)
    return Section(
        "Focus budget: how far off its planned height the surface can be",
        (table, Sentences(tuple(sizes.texts(focus.notes(plan, sizes.length))))),
    )


def _chances(plan: Plan, sizes: Sizes) -> Section:
    steps = plan.removal
    blocks: list[Block] = [Pairs(tuple(_setting_figures(plan))), Sentences(tuple(sizes.texts(passes.notes(plan))))]
    if steps.setting:
        round_s = steps.time_all_round_s
        all_round = "" if round_s is None else f", {clock(round_s)} if you mark each pass on all slices before the next"
        climbs = (
            " You look for the power on the first slice: all others need fewer passes, so an item takes less time."
            * (len(steps.rungs) > 1)
        )
        order = (
            f"Order: {steps.order.replace('-', ' ')}. {capital(passes.order_why(plan))}. All {len(steps.rows)} planned "
            f"passes on every slice take {clock(steps.time_slice_by_slice_s)} if you finish slice by slice"
        )
        all_round = f"{all_round}.{climbs}"
        blocks.append(Sentences((f"{order}{all_round}",), "none"))
    if steps.setting:
        surer = tuple(sizes.texts(f"for better odds, {text}" for text in passes.remarks(plan, steps.would_change_it)))
        blocks.append(Sentences(surer, "better"))
    return Section("Passes: energy, odds, ways to better odds", tuple(blocks))


def _setting_figures(plan: Plan) -> list[tuple[str, str]]:
    steps, setting = plan.removal, plan.removal.setting
    if setting is None:
        return []
    pairs = [
        ("pulse energy", f"{setting.pulse_mj:.3f} mJ"),
        (
            "spot on the surface, as planned",
            f"{setting.spot_at_surface_um:.0f} µm wide, {setting.peak_fluence_j_cm2:.2f} J/cm² in its middle",
        ),
        *zip(("pulses overlap by", "lines overlap by"), map(percent, setting.overlaps), strict=True),
    ]
    clean, unmarked, both = map(percent, (steps.chance_clean, steps.chance_unmarked, steps.chance))
    if steps.samples and steps.removes_coating:
        pairs += [
            (
                f"of {steps.samples} simulated items",
                f"coating off on {clean}, metal unmarked on {unmarked}, both on {both}",
            )
        ]
    if steps.samples:
        pairs += [
            (
                "the hottest the wall gets",
                f"under {steps.wall_c_50:.0f} °C on half of the items, under {steps.wall_c_95:.0f} °C on 19 of 20",
            ),
        ]
    return pairs
