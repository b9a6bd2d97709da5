"""The whole flow, one call a line; nothing else."""

from collections.abc import Sequence

from rotary.focus import SlicedSetup, sliced_setup
from rotary.job import Job
from rotary.passes.learning.coating import posterior, with_readings_counted
from rotary.passes.learning.depth import DepthReading
from rotary.passes.learning.depth_plan import depth_plan_for, with_depth_readings
from rotary.passes.learning.reading import Reading
from rotary.passes.plan.removal import choose_and_carry_out, removal
from rotary.passes.plan.setting import Choice, Removal
from rotary.safety import Safety, safety
from rotary.seams import Seams, seams_of
from rotary.setup import setup
from rotary.slices.trial import TrialFiles
from rotary.tolerances import FALLBACK_HATCH_MM


class Plan(SlicedSetup):
    """A setup, and all that is chosen for it.

    Once files are drawn, `drawn_files` are their names, `trial` those that a coating is tried with, and `start_rad` is
    the item's angle under the middle of the field; before that slices may still slide.
    """

    choice: Choice
    removal: Removal
    seams: Seams
    safety: Safety
    trial: TrialFiles | None = None
    start_rad: float | None = None
    drawn_files: tuple[str, ...] = ()

    @property
    def line_spacing_mm(self) -> float:
        """Spacing of the hatch as it was asked for or chosen; a usual one, for lengths that are told, where neither."""
        setting = self.choice.setting
        return self.job.tolerances.line_spacing_mm or (setting.line_spacing_mm if setting else FALLBACK_HATCH_MM)

    def with_split(self, **changes: object) -> "Plan":
        """The same with something else to be said of its split."""
        return self.but(split=self.split.but(**changes))

    @property
    def is_tried(self) -> bool:
        """Whether a coating is tried on one slice first: not where the number of passes is known."""
        return self.job.item.coating is not None and not self.removal.is_counted


def plan(job: Job, draws: int = 1000, readings: Sequence[Reading] = (), depths: Sequence[DepthReading] = ()) -> Plan:
    """The plan of a job; `draws` 0 leaves out the chances, and with them what readings teach.

    `readings` may be of any coating and laser; those of this coating teach. `depths` are what a gauge said of bare
    metal; those of this metal and laser teach, also without draws. Raises Refused with what to put right.
    """
    ready = setup(job)
    taught = posterior(job.item, job.laser, readings, draws)
    cut_before = depth_plan_for(ready, depths, draws)
    asked = ready.with_tables(passes=cut_before.wishes) if cut_before else ready
    believed = cut_before.draws if cut_before else taught.draws if taught else None

    def around(chosen: Choice, least_mm: float = 0.0) -> tuple[SlicedSetup, Removal, Seams]:
        sliced = sliced_setup(asked, chosen.defocus_mm, least_mm)
        learnt = with_readings_counted(removal(sliced, chosen, believed), taught, job.item, job.laser)
        steps = with_depth_readings(learnt, cut_before)
        split, seams = seams_of(sliced, steps, believed)
        return sliced.but(split=split), steps, seams

    chosen, sliced, steps, seams = choose_and_carry_out(asked, draws, believed, around)
    # What closes is known once the passes are; slices that are too narrow for it are taken again, wider.
    if job.tolerances.slice_width_mm is None and not seams.goes_with(sliced.split.slice_width_mm):
        sliced, steps, seams = around(chosen, seams.least_slice_mm)
    warned = safety(job.laser, job.item, steps, job.turning.kind, job.shop, sliced.turning.turn_range)
    # Frequency and pause are those of the real slices.
    chosen = chosen.but(setting=steps.setting)
    return Plan(**dict(sliced) | {"job": job}, choice=chosen, removal=steps, seams=seams, safety=warned)
