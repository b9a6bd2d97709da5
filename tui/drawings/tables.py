"""Passes and cautions as lines."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from rotary.papers.lines import clock
from rotary.sentences.passes import in_ten, is_bleached
from tui.drawings.canvas import Line, Run, cells, fitted
from tui.drawings.words import is_on_end_face, length, sentence, sentences, shown_in, wrapped

if TYPE_CHECKING:
    from rotary.passes.plan.setting import PassRow
    from rotary.plan import Plan


def passes(plan: "Plan", system: str, width: int, _height: int, _ascii_only: bool = False) -> list[Line]:
    """The passes in order, with time, temperature and what to look for; then the reasons."""
    steps, told = plan.removal, sentences(plan)
    lines = wrapped("".join(shown_in(system, [told.first_line])), width - 1, "bad" if told.refused else "strong", " ")
    # Of a coated item they say what is typed, which stays in mm; of bare metal how deep it is cut.
    for text in told.run if steps.removes_coating else shown_in(system, told.run):
        lines += wrapped(text, width - 1, "plain", " [ ] ")
    if steps.rows:
        lines += _pass_rows(steps.rows, shown_in(system, told.looks), width)
        other, most = "", " (most items need fewer)" * steps.removes_coating
        if steps.time_all_round_s is not None:
            other = f" All planned passes, each on all slices before the next, take {clock(steps.time_all_round_s)}."
        lines += [
            [],
            *wrapped(
                f"Order: {steps.order.replace('-', ' ')}. {sentence(told.order_why)} "
                f"All planned passes, slice after slice, take {clock(steps.time_slice_by_slice_s)}{most}.{other}",
                width - 1, "plain", " ",
            ),
        ]  # fmt: skip
    if steps.samples and steps.rows:
        # Bare metal has no coating that could come off, and a film that is bleached stays on.
        off, whole = (
            ("film loses its colour", "film stays whole")
            if is_bleached(steps)
            else ("coating comes off", "metal stays unmarked")
        )
        odds = (
            f"The {off} on {in_ten(steps.chance_clean)} items. The {whole} on {in_ten(steps.chance_unmarked)} items. "
            f"Both: on {in_ten(steps.chance)} items. "
        )
        says = (
            f"{odds if steps.rows[0].kind == 'lift' else ''}On 19 of 20 items the wall stays under "
            f"{steps.wall_c_95:.0f} °C. Higher power makes the wall hotter."
        )
        lines += wrapped(says, width - 1, "plain", " ")
    for mark, texts, ink in (
        # The steps of a run have these in their places.
        (" before: ", () if told.run else told.before, "plain"), (" after:  ", () if told.run else told.after, "plain"),
        (" - ", told.passes, "muted"),
        (" for better odds, " if steps.rows else " what helps: ", told.would_change_it, "muted"),
    ):  # fmt: skip
        for text in shown_in(system, texts):
            lines += wrapped(text, width - 1, ink, mark, "muted")
    return lines


def _pass_rows(passes: "Sequence[PassRow]", looks: Sequence[str], width: int) -> list[Line]:
    room = max(width - 67, 0)
    head = f"{'':>3} {'pass':<7}{'power':>6}{'mm/s':>8}{'spacing':>9}{'lines go':>9}{'pause':>9}{'time':>9}{'wall':>6}"
    lines: list[Line] = [[Run(fitted(head + ("  look for" if room > 10 else ""), width), "muted")]]
    rows = [(str(row.number), str(row.kind), row, look) for row, look in zip(passes, looks, strict=True)]
    if passes[-1].kind == "finish":
        # How many removal passes there are, and at which power, shows on the first slice.
        names = "each" if len({row.power_share for row in passes[:-1]}) == 1 else "first", "last"
        rows = [("", name, *row[2:]) for name, row in zip(names, (rows[0], rows[-1]), strict=True)]
    for number, kind, row, look in rows:
        text = (
            f"{number:>3} {kind:<7}{row.power_share:>6.0%}{row.speed_mm_s:>8.0f}{row.line_spacing_mm:>9.3f}"
            f"{row.fill_direction:>9}{_short(row.pause_before_s):>9}{_short(row.time_s):>9}{row.wall_peak_c:>4.0f}°C"
        )
        fits = cells(look) + 2 <= room
        lines.append([Run(fitted(text, width), "plain"), Run(f"  {look}" if fits else "", "muted")])
        # A sentence that has no room beside its numbers stands below them; it is never cut.
        lines += wrapped(look, width - 1, "muted", "      ") if room > 10 and not fits else []
    return lines


def _short(seconds: float) -> str:
    return f"{seconds:.1f} s" if seconds < 60 else f"{int(seconds) // 60}:{int(seconds) % 60:02d}"


_LEVELS: Final = {"stop": ("STOP ", "bad"), "warn": ("   ! ", "warn"), "note": ("   - ", "plain")}


def cautions(plan: "Plan", _system: str, width: int, _height: int, _ascii_only: bool = False) -> list[Line]:
    """What must be said before this job is run, the worst first; then the eyes, source by source."""
    lines = wrapped(plan.safety.example, width - 1, "bad", " ") if plan.safety.example else []
    for caution in sentences(plan).cautions:
        mark, ink = _LEVELS[caution.level]
        lines += wrapped(f"{caution.about}: {caution.text}", width - 1, "plain" if ink == "plain" else ink, mark, ink)
    for eye in plan.safety.eyes:
        needs = (
            f"you need optical density {eye.optical_density:.1f} or more ({eye.scale_number}). " if eye.judged else ""
        )
        says = f"{eye.source}, {eye.wavelength_nm:g} nm: {needs}{eye.verdict}"
        lines += wrapped(says, width - 1, "plain", "   * ", "warn")
    lines += wrapped(
        "Follow local rules and licensed experts. These figures are only a check.",
        width - 1,
        "muted",
        "     ",
    )
    return lines


def notes(plan: "Plan", system: str, width: int, _height: int, _ascii_only: bool = False) -> list[Line]:
    """Questions to the person, what limits the slice width, and what each stage has to say."""
    lines: list[Line] = []
    says = sentences(plan)
    for text in shown_in(system, says.doubts):
        lines += wrapped(text, width - 1, "warn", " ? ")
    limits = () if is_on_end_face(plan) else plan.split.limits
    if limits:
        lines += wrapped(
            "How wide a slice can be. The limit marked > decides the slice width:", width - 1, "strong", " "
        )
    for limit in limits:
        free = "too small to set a limit here" if limit.id == "skew_offset" else "no limit here"
        widest = free if limit.widest_mm is None else f"at most {length(limit.widest_mm, system)}"
        widest = widest if limit.by_width else "no slice width helps"
        told = says.limits[limit.id]
        mark, ink = (" > ", "strong") if limit.governs else ("   ", "plain")
        helps = f" What helps: {told.relax}." if limit.widest_mm is not None or limit.governs else ""
        why, cure = shown_in(system, (sentence(told.why), helps))
        lines += wrapped(f"{told.name}: {widest}. {why}{cure}", width - 1, ink, mark)
    # The slices and the size of a file stand at IMPORT, as it is drawn: the plan alone does not know them.
    for text in (*plan.split.must_show[:1], *plan.split.must_show[3:]):
        lines += wrapped(text, width - 1, "plain", " [ ] ")
    for text in shown_in(system, (*says.turning, *says.optics, *says.layout, *says.split)):
        lines += wrapped(text, width - 1, "muted", " - ")
    return lines
