"""Papers about the proof patch: the cells to key in, the readings, what they taught."""

from collections.abc import Sequence
from typing import Final

from rotary.card.patch_paper import PASS_AFTER_PASS, looks_to_write
from rotary.papers.lines import clock, listed, percent, table, title, wrapped
from rotary.passes.learning import Taught
from rotary.passes.patch import Patch
from rotary.passes.reading import OUTCOMES, Reading
from rotary.passes.setting import Setting
from rotary.passes.what_helps import Helped
from rotary.passes.wording import FAIR, in_ten

_MARKS: Final = {"covered": "#", "haze": "%", "clear": " ", "tinted": "~", "cut": "x", "not read": "."}


def patch_lines(patch: Patch, name: str) -> list[str]:
    """The patch to follow at the machine: cells in the order of marking, with boxes for what is seen."""
    where = "a flat scrap of the same batch" if patch.surface == "scrap" else "a hidden place of this item"
    size = f"{patch.width_mm:.0f} × {patch.height_mm:.0f} mm"
    lines = [
        title(f"Proof {name}"),
        *wrapped(
            f"{len(patch.cells)} cells of {patch.cell_width_mm:g} × {patch.cell_height_mm:g} mm on {where}, {size} in "
            f"all. One of them is right for the whole job in {percent(patch.chance)} of {patch.draws} draws. "
            f"In this order {patch.changes} controls are changed."
        ),
        *listed((f"before: {text}" for text in patch.before), "  [ ] "),
    ]
    rows: list[tuple[str, ...]] = [
        ("cell", "row", "col", "defocus mm", "hatch mm", "kHz", "mm/s", "power", "pause", "seen after passes")
    ]
    previous: Setting | None = None
    for cell in patch.cells:
        now, was = cell.setting, previous
        rows.append(
            (f"[ ] {cell.number}", f"{cell.row}", f"{cell.column}", *_controls(now, was), looks_to_write(cell.looks))
        )
        previous = now
    lines += table(rows)
    lines += wrapped("A control that stays as it was in the cell before is left blank. " + PASS_AFTER_PASS)
    lines += [*grid_lines(patch), title("Read each cell as one of")]
    lines += listed(f"{outcome}: {what}" for outcome, what in OUTCOMES.items())
    return [*lines, *listed(patch.notes)]


def _controls(now: Setting, was: Setting | None) -> tuple[str, ...]:
    texts = [
        ("defocus_mm", f"{now.defocus_mm:+g}"),
        ("hatch_mm", f"{now.hatch_mm:.3f}"),
        ("rate_khz", f"{now.rate_khz:g}"),
        ("scan_speed_mm_s", f"{now.scan_speed_mm_s:.0f}"),
        ("power_share", percent(now.power_share)),
        ("pause_s", clock(now.pause_s)),
    ]
    return tuple("" if was is not None and getattr(was, name) == getattr(now, name) else text for name, text in texts)


def grid_lines(patch: Patch) -> list[str]:
    """Where each cell lies, as it looks on the surface."""
    at = {(cell.row, cell.column): cell.number for cell in patch.cells}
    rows = []
    for row in range(1, patch.rows + 1):
        numbers = [at.get((row, column)) for column in range(1, patch.columns + 1)]
        rows.append("      " + " ".join(f"[{number:>2}]" if number else "    " for number in numbers))
    return ["", *rows, ""]


def reading_lines(readings: Sequence[Reading]) -> list[str]:
    """The readings that are kept, one a line."""
    rows = [("no", "day", "from", "cell", "J/cm²", "passes", "power", "mm/s", "hatch", "defocus", "read as", "note")]
    for r in readings:
        spot_cm = r.spot_um * 1e-4 / 2 * (1 + (r.defocus_mm / r.rayleigh_mm) ** 2) ** 0.5
        peak = 2 * r.energy_mj * 1e-3 / (3.141592653589793 * spot_cm**2)
        rows.append(
            (
                f"{r.number}",
                r.day,
                r.patch or r.source,
                f"{r.cell or '-'}",
                f"{peak:.2f}",
                f"{r.passes}",
                percent(r.power_share),
                f"{r.scan_speed_mm_s:.0f}",
                f"{r.hatch_mm:.3f}",
                f"{r.defocus_mm:+g}",
                f"{_MARKS[r.outcome]} {r.outcome}" + (" (struck out)" if r.struck else ""),
                r.note,
            )
        )
    return table(rows)


def taught_lines(rows: Sequence[Taught], readings: int) -> list[str]:
    """What the readings taught: 5, 50 and 95 % of each belief before and after."""
    lines = [title(f"What {readings} reading{'s' if readings != 1 else ''} taught: 5, 50, 95 %")]
    cells = [("belief", "before", "after", "width now", "")]
    for row in rows:
        if row.before[0] == row.before[2]:
            cells.append((row.name, percent(row.before[1]), percent(row.after[1]), "", ""))
            continue
        before, after = (" ".join(f"{value:.3g}" for value in three) for three in (row.before, row.after))
        cells.append((f"{row.name} {row.unit}".strip(), before, after, percent(row.narrowed), ""))
    return [*lines, *table(cells)]


def helped_lines(found: Sequence[Helped]) -> list[str]:
    """What each change would bring: the chance of the best plan then, for a person who looks."""
    rows = [("changed", "chance", "")]
    for one in found:
        if one.chance is None:
            rows.append((one.says, "not tried", "no time was left"))
        elif one.chance < FAIR:
            rows.append((one.says, "no plan", f"less than {percent(FAIR)}"))
        else:
            rows.append((one.says, percent(one.chance), in_ten(one.chance)))
    says = (
        "Each chance is that of a whole search, for slices that use all that the tolerances grant; the plan goes by "
        "the slices as they are and may state a little more or less."
    )
    return [title("What would change the plan, one thing at a time"), *table(rows), *wrapped(says)]
