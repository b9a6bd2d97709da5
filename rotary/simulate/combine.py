"""Several sheets that are marked one after the other on the same item, each with its own height of the head."""

from collections.abc import Sequence

import numpy as np

from rotary.simulate.forecast import RuleRow, SimulationRun
from rotary.simulate.marks import Marks
from rotary.simulate.seams import Gaps, SeamMarks


def combined_forecast(parts: Sequence[SimulationRun]) -> SimulationRun:
    """All that the sheets of an item do as one: the worst of each figure, the marks of all.

    Columns are counted on from sheet to sheet. One sheet is itself.
    """
    if len(parts) == 1:
        return parts[0]
    columns = np.cumsum([0, *(len(part.middles_rad) for part in parts)]).tolist()
    points = np.cumsum([0, *(len(part.marks.s_mm) for part in parts)]).tolist()
    marks = [
        part.marks._replace(column=part.marks.column + first, after=part.marks.after + point)
        for part, first, point in zip(parts, columns, points, strict=False)
    ]
    seams = [
        part.seams._replace(left=part.seams.left + first, right=part.seams.right + first)
        for part, first in zip(parts, columns, strict=False)
    ]
    told = [part.forecast for part in parts]
    worst = {
        name: max(getattr(one, name) for one in told)
        for name in (
            "seam_open_mm", "seam_double_mm", "seam_95_mm", "seam_offset_95_mm", "placement_95_mm", "fluence_high",
        )
    }  # fmt: skip
    total = {
        name: sum(getattr(one, name) for one in told)
        for name in ("outline_points", "missed_points", "seam_places", "lost_seam_places")
    }
    placed = [(one.placement_mm, one.missing_mm) for one in told if one.placement_mm is not None]
    forecast = told[0].but(
        **worst,
        **total,
        columns=max(one.columns for one in told),
        part=tuple(sorted({number for one in told for number in one.part})),
        fluence_low=min(one.fluence_low for one in told),
        placement_mm=max((near for near, _ in placed), default=None),
        missing_mm=max((far for _, far in placed if far is not None), default=None),
        rules=tuple(_worst_rule(rows) for rows in zip(*(one.rules for one in told), strict=True)),
    )
    return SimulationRun(
        forecast,
        Marks(*(np.concatenate(column) for column in zip(*marks, strict=True))),
        np.concatenate([part.strays_mm for part in parts]),
        SeamMarks._make(
            [*map(np.concatenate, zip(*(one[:-1] for one in seams), strict=True)), total["lost_seam_places"]]
        ),
        Gaps(*(np.concatenate(column) for column in zip(*(part.gaps for part in parts), strict=True))),
        np.concatenate([part.middles_rad for part in parts]),
        max(part.marked_width_mm for part in parts),
    )


def _worst_rule(rows: tuple[RuleRow, ...]) -> RuleRow:
    """One way of dividing: wrong where it is for any sheet, else as bad as for the worst."""
    wrong = next((row for row in rows if row.seam_open_mm is None or row.seam_double_mm is None), None)
    if wrong is not None:
        return wrong
    return rows[0].model_copy(
        update={
            name: max((getattr(row, name) for row in rows), key=abs)
            for name in ("seam_open_mm", "seam_double_mm", "drift_mm")
        }
    )
