"""What a written file will do: it is taken as it lies on the disk and sent through the machine of a plan.

`simulation_of_files` says it, `forecast_picture` draws it.
"""

import math
from functools import partial
from pathlib import Path

from rotary.actions.files import divides_back
from rotary.artwork.outfiles import write_file
from rotary.artwork.rings import Rings, moved
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.formulas.estimate import HOLDS_95
from rotary.papers.svg import svg_text
from rotary.pictures import forecast_page
from rotary.plan import Plan
from rotary.seams import half_width_95_mm
from rotary.services.files import for_columns
from rotary.sheet import stance_of
from rotary.simulate.chances import Beliefs, Sampling
from rotary.simulate.combine import combined_forecast
from rotary.simulate.controller import steps_asked, turned_to_item
from rotary.simulate.description import Description, Progress, SimulatedMachine, description, quiet, share_of
from rotary.simulate.files import sheets_of
from rotary.simulate.flats import as_long_round_mm
from rotary.simulate.forecast import Forecast, SimulationRun, simulate_sheet
from rotary.simulate.rays import RayStand
from rotary.simulate.words import sentences
from rotary.turning.models import Chuck, Rollers

TRUE_WALL_MM = 0.0002  # how finely the true artwork is followed, a fifth of what a sheet may err
SAME_COLUMN = 2e-5  # share of a column, as a description rounds it


def simulation_of_files(
    made: Plan, path: Path, rings: Rings | None = None, draws: int = 200, progress: Progress = quiet
) -> Forecast:
    """What a written sheet, flat drawing, or folder of slices will do on the plan's item.

    With the artwork's `rings`, placement and seams are measured against where it belongs. Raises FileTrouble
    where the file is none that was written here, Refused where the plan can't be simulated. `progress` is told the
    share that is done, and may raise to stop.
    """
    return simulation(made, path, rings, draws, progress).forecast


def simulation(
    made: Plan, path: Path, rings: Rings | None = None, draws: int = 200, progress: Progress = quiet
) -> SimulationRun:
    """As `simulation_of_files`, with every landed mark, for pictures."""
    job, shape = made.job, made.shape
    laser = job.laser
    files_of, dots_mm = sheets_of(path)
    sheets = [[turned_to_item(d, laser.field_axis, laser.rim_towards) for d in files] for files in files_of]
    says = description(sheets[0][0], job.artwork.centre_angle_rad)
    if (says.flat or made.split.slices > 1) and shape.flats is None:
        made = for_columns(made, "flat" if says.flat else "sliced")
    centre = job.artwork.centre_angle_rad
    wall = None
    machine = machine_of(made)
    if dots_mm:
        # A photograph's dots have no outline that they belong to.
        rings = None
    if rings is not None and shape.flats is not None:
        # Flats side by side, on a wall as long round as they are together.
        laid = rings.points_mm / [as_long_round_mm(machine.stand), 1.0] + [centre, made.layout.centre_mm]
        wall = Rings(laid, rings.offsets)
    elif rings is not None:
        on_item = on_wall(rings, job.artwork.surface_map, shape.curve, made.layout.centre_mm, TRUE_WALL_MM)
        wall = moved(once_round(on_item) if made.layout.is_ring else on_item, centre, 0.0)
    sampling, tell = Sampling(beliefs_of(made), draws), partial(share_of, progress, count=len(sheets))
    found = combined_forecast(
        [simulate_sheet(files, machine, wall, centre, sampling, tell(k)) for k, files in enumerate(sheets)]
    )
    back = says.single is None and divides_back(laser.field_axis, laser.rim_towards)
    lines = _out_of_date(made, says) + sentences(found.forecast, job.tolerances.accepted_seam_mm, back)
    if dots_mm:
        lines += (
            f"Slices of this picture can be up to {1000 * dots_mm / 2:.0f} µm (half a dot) too wide or too narrow. "
            "rotary does not check where each dot lands.",
        )
    return found._replace(forecast=found.forecast.but(says=lines))


def _out_of_date(made: Plan, says: Description) -> tuple[str, ...]:
    """A file that was written before the job was changed no longer goes with what the card says to type."""
    drawn, typed = says.file_slice_mm, made.split.file_slice_mm
    if drawn is None or abs(drawn - typed) <= SAME_COLUMN * typed:
        return ()
    return (f"This file has {drawn:g}-mm slices, but the plan now has {typed:g}-mm slices: write the file again.",)


def forecast_picture(
    made: Plan,
    path: Path,
    target: Path,
    rings: Rings | None = None,
    draws: int = 200,
    progress: Progress = quiet,
    over: bool = False,
) -> Forecast:
    """Write what a file will do as a picture (SVG) of the unrolled wall, and give the forecast.

    Raises FileTrouble, or Refused where nothing lands on the item.
    """
    found = simulation(made, path, rings, draws, progress)
    job = made.job
    title = f"{job.artwork.name} on {job.item.name}: simulation of {path.name}"
    write_file(target, svg_text(forecast_page(made, found, title)).encode(), (path,), over)
    return found.forecast


def machine_of(made: Plan) -> SimulatedMachine:
    """The machine of a plan, with the numbers as they are typed."""
    job, shape, stance = made.job, made.shape, stance_of(made)
    split = made.split
    closes = made.layout.is_ring and (split.method == "sliced" or split.inked_slices == split.slices)
    laser = job.laser
    stand = RayStand(*stance, flats=shape.flats or 0)._replace(
        # What has to be drawn away is what this machine is believed to do.
        scale_x=1 / laser.slice_wide_share, scale_y=1 / laser.slice_high_share, skew_rad=laser.slice_turn_rad,
    )  # fmt: skip
    return SimulatedMachine(
        stand=stand,
        rayleigh_mm=made.optics.rayleigh_mm,
        file_slice_mm=split.file_slice_mm,
        asked_steps=_asked_steps(job.turning, made),
        rounding=job.turning.rounding,
        rad_per_step=made.turning.rad_per_step,
        # Flat artwork has its middle in a column's middle, so of an even number its ends meet inside a column.
        ring_columns=split.inked_slices if closes else 0,
        slit_mm=made.seams.slit_mm if made.seams.seams else None,
    )


def _asked_steps(drive: Chuck | Rollers, made: Plan) -> float:
    """Steps that the program works out for one column from what the card says to type."""
    typed = {entry.id: float(entry.text) for entry in made.split.key_in}
    motor = typed["typed_steps_per_turn"]
    if "angle_per_slice" in typed:
        return round(typed["angle_per_slice"] / 360 * motor, 9)
    kept = drive.typed_diameter_mm or math.nan
    diameter = typed.get("typed_diameter", typed.get("roller_diameter", kept))
    return steps_asked(typed["file_slice_width"], motor, diameter)


def beliefs_of(made: Plan) -> Beliefs:
    """How well a plan's inputs are known, 95 % half widths."""
    job, turning = made.job, made.turning
    return Beliefs(
        diameter_mm=2 * made.artwork_half_mm,
        focus_mm=math.hypot(job.tolerances.focus_mm, job.item.runout_mm / 2),
        field_share=job.tolerances.field_scale_share,
        turn_share=HOLDS_95 * turning.u_scale,
        motor_rad=turning.seam_stops_mm[int(made.split.whole_cycles)] / made.shape.widest_radius_mm,
        skew_rad=abs(job.turning.skew_rad),
        aside_mm=abs(job.turning.offset_mm),
        pupil_share=(made.optics.pupil_high_share - made.optics.pupil_low_share) / 2,
        closing_mm=half_width_95_mm(made.seams),
    )
