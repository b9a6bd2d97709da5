"""From a wish to files: the part's plan, the slices of a turned part, one file a flat, one for an end face."""

from collections.abc import Callable
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from rotary.actions.files import FaceFacts
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import Rings, area_mm2, bounds_mm
from rotary.artwork.sets import write_set
from rotary.errors import Predicate, refuse
from rotary.formulas.circle import within_half_turn
from rotary.formulas.scan import command_mm
from rotary.inscription.face import Face, FaceForecast, on_face
from rotary.inscription.ink import ink_on_end, ink_on_wall
from rotary.inscription.legibility import MarkCheck, checks_of
from rotary.inscription.models import Inscription
from rotary.inscription.sizes import SizedText, sized_text
from rotary.item import Item, fitted_shape, height_from_s_mm
from rotary.job import Job
from rotary.laser import LaserAndLens, Optics, optics
from rotary.passes.beliefs.draws import substances
from rotary.passes.plan.cuts import cutting_setting
from rotary.plan import Plan, plan
from rotary.services.files import flat_file, slice_sheet, with_file_facts
from rotary.services.simulation import simulation_of_files
from rotary.sheet import Sheet, SheetWish
from rotary.sheet.pages import in_field, page_in_field
from rotary.sheet.svg import drawing
from rotary.simulate.forecast import Forecast
from rotary.slices.trial import fullest_place
from rotary.tolerances import FALLBACK_HATCH_MM
from rotary.wording import InscriptionWish

Planner = Callable[[Job], Plan]

PAGE_MARGIN_MM: Final = 1.0


class InscribedPart(NamedTuple):
    """What was sized and written. `made` and `sheet` are None where nothing is turned, or no slices are drawn; then
    `face` says how the part lies.
    """

    sized: SizedText
    made: Plan | None
    sheet: Sheet | None
    paths: tuple[Path, ...]
    rings: tuple[Rings, ...]
    face: Face | None = None

    @property
    def tried_on(self) -> str:
        """Of several files for faces the one with most ink, which a coating is tried on; "" where there is one."""
        inks = [area_mm2(rings) for rings in self.rings]
        return self.paths[fullest_place(inks)].name if self.face is not None and len(inks) > 1 else ""

    @property
    def facts(self) -> Inscription:
        """The inscription."""
        return self.sized.facts


def mark_of(laser: LaserAndLens, item: Item, beam: Optics | None = None, made: Plan | None = None) -> MarkCheck:
    """What marks this part: with a plan its own setting and slices, without one the laser's usual ones."""
    lens = beam or optics(laser)
    if made is not None and made.choice.setting is not None:
        setting = made.choice.setting
        spot, hatch = setting.spot_at_surface_um / 1000, setting.line_spacing_mm
    else:
        metal, coating = substances(item)
        spot = lens.spot_um / 1000
        hatch = cutting_setting(laser, lens, metal).line_spacing_mm if coating is None else FALLBACK_HATCH_MM
    if made is None or made.split.slices < 2 or fitted_shape(item).flats is not None:
        return MarkCheck(spot, hatch)
    split, limits = made.split, made.job.tolerances
    return MarkCheck(
        spot, hatch, split.slices, split.slice_width_mm, split.edge_drop_mm, lens.rayleigh_mm, split.edge_incidence_rad,
        limits.incidence_rad,
    )  # fmt: skip


def job_for_depth(job: Job, wish: InscriptionWish) -> Job:
    """The job with its passes for the depth that the inscription is wanted in, where one is; raises Refused."""
    if wish.depth_um is None:
        return job
    if job.item.coating is not None:
        says = "is for bare metal, and the item is coated: leave the depth out, or choose no coating"
        raise refuse("inscription.depth", Predicate(says))
    # So many passes and so deep can't both be held: the inscription's own depth goes first.
    return job.but(passes=job.passes.but(depth_um=wish.depth_um, passes=None))


def size(job: Job, wish: InscriptionWish) -> SizedText:
    """The largest letters that fit this job's part, and whether they can be read. Raises Refused."""
    return sized_text(wish, job.item, mark_of(job.laser, job.item))


def job_for(job: Job, wish: InscriptionWish, made: SizedText, rings: Rings, begin_mm: float) -> Job:
    """The job with the inscription as its artwork."""
    left, bottom, right, top = bounds_mm(rings)
    shape, room = fitted_shape(job.item), made.room
    closes = wish.around == "ring" and wish.gap_mm is None
    # The words of a ring begin at the start angle; all else has its middle there.
    centre = wish.start_rad - (begin_mm / room.radius_mm if wish.around == "ring" else 0.0)
    wide, high = (room.turn_mm if closes else right - left), top - bottom
    job = job.with_artwork(
        name=_name(wish),
        width_mm=wide,
        height_mm=high,
        centre_mm=height_from_s_mm(job.item, shape, room.middle_mm),
        centre_angle_rad=within_half_turn(centre),
        surface_map=wish.surface_map,
        full_wrap=closes,
        ink_share=float(np.clip(area_mm2(rings) / (wide * high), 0.01, 1.0)),
        pieces=(),
    )
    if not closes or job.tolerances.method == "flat":
        return job
    # Equal columns of flat artwork seldom divide a turn: the ends of a ring would miss each other.
    return job.but(tolerances=job.tolerances.but(method="sliced"))


def _name(wish: InscriptionWish) -> str:
    first = next((line for line in wish.text.splitlines() if line.strip()), "inscription")
    return first.strip()[:60]


def part_plan(
    job: Job, wish: InscriptionWish, made_by: Planner = plan, made: SizedText | None = None
) -> tuple[SizedText, Plan, Rings]:
    """An inscription on a turned part, its plan and its ink; raises Refused.

    `made_by` plans it: whoever shows a card for it plans that alike, since the setting decides the focal plane.
    `made` is the inscription where it has been sized already.
    """
    job, made = job_for_depth(job, wish), made or size(job, wish)
    ink = ink_on_wall(made, wish)
    whole = made_by(job_for(job, wish, made, ink.rings, ink.begin_mm))
    mark = mark_of(job.laser, job.item, whole.optics, whole)
    notes = (*made.facts.notes, *_how_it_closes(wish, whole))
    facts = made.facts.but(checks=checks_of(wish, made.facts, made.texts, mark), notes=notes)
    return made._replace(facts=facts), whole, ink.rings


def _how_it_closes(wish: InscriptionWish, whole: Plan) -> tuple[str, ...]:
    """What slices do to a ring that closes."""
    if wish.around != "ring" or wish.gap_mm is not None or whole.split.slices < 2:
        return ()
    if whole.split.method == "sliced":
        return ("A ring of words that closes gets a sliced file: equal slices of a flat file rarely fit one turn.",)
    return (
        "You asked for equal slices, which rarely fit one turn exactly: seams of this ring gap or overlap. Let rotary "
        "choose the slices: a sliced file closes the ring.",
    )


def inscribe(
    job: Job,
    wish: InscriptionWish,
    folder: Path,
    made_by: Planner = plan,
    over: bool = False,
    sliced: SheetWish | None = None,
) -> InscribedPart:
    """Size an inscription and write its files into `folder`, slices as `sliced` asks.

    Raises Refused or FileTrouble, then nothing is written.
    """
    if wish.around in ("flats", "end"):
        return _unturned(job, wish, folder, made_by, over)
    made, whole, rings = part_plan(job, wish, made_by)
    if whole.split.method == "flat":
        whole, paths = flat_file(whole, rings, folder, over=over)
        return InscribedPart(made, whole, None, paths, (rings,))
    drawn, paths = slice_sheet(whole, rings, folder, sliced, over=over)
    return InscribedPart(made, with_file_facts(whole, drawn, drawn.columns, drawn.middle_rad), drawn, paths, (rings,))


def stem_of(wish: InscriptionWish) -> str:
    """How the names of an inscription's files begin."""
    return file_stem(_name(wish))


def forecast(done: InscribedPart, draws: int = 200) -> Forecast | FaceForecast:
    """What the written files will do on the part: turned as the card says, or level under the head."""
    if done.face is not None:
        return on_face(done.face, done.paths, done.rings, draws)
    assert done.made is not None
    return simulation_of_files(done.made, done.paths[0], done.rings[0], draws)


def stand_in(job: Job, made_by: Planner = plan) -> Plan:
    """A plan of the same part, metal and laser for the cautions and the setting of what is not turned.

    Its artwork is a square millimetre in the middle of the wall: none of its sizes are told.
    """
    shape = fitted_shape(job.item)
    face = job.with_artwork(
        name="face",
        width_mm=1.0,
        height_mm=1.0,
        centre_mm=height_from_s_mm(job.item, shape, shape.length_mm / 2),
        centre_angle_rad=0.0,
        surface_map="true-width",
        full_wrap=False,
        pieces=(),
    )
    return made_by(face)


def _unturned(job: Job, wish: InscriptionWish, folder: Path, made_by: Planner, over: bool) -> InscribedPart:
    """Flats and end faces: drawn as they lie, one file each, for the plane that the setting wants."""
    job, made = job_for_depth(job, wish), size(job, wish)
    stem, plane_mm = stem_of(wish), plane_over_face_mm(job, made_by)
    files, shapes = face_files(job, wish, made, stem, plane_mm)
    paths = write_set(folder, stem, files, over=over, item=job.item.name).paths
    return InscribedPart(made, None, None, paths, shapes, Face(job, wish, plane_mm))


def plane_over_face_mm(job: Job, made_by: Planner = plan) -> float:
    """Where the focal plane stands over a face that is not turned.

    A coating is lifted out of focus, as its setting says; bare metal is cut in focus unless it is held elsewhere.
    """
    setting = stand_in(job, made_by).choice.setting if job.item.coating is not None else None
    return setting.defocus_mm if setting is not None else job.passes.defocus_mm or 0.0


def face_facts(face: Face, facts: Inscription) -> FaceFacts:
    """How a face lies, for the rows of what a person does."""
    return FaceFacts("end" if face.wish.around == "end" else "flats", face.plane_mm, facts.middle_mm)


def face_files(
    job: Job, wish: InscriptionWish, made: SizedText, stem: str, plane_mm: float
) -> tuple[dict[str, bytes], tuple[Rings, ...]]:
    """The files of a sized inscription on flats or an end face, by name, and the ink of each; raises Refused."""
    names, shapes = [], []
    if wish.around == "end":
        names.append(f"{stem}-end.svg")
        shapes.append(ink_on_end(made, wish))
    else:
        for number in range(len(made.texts)):
            names.append(f"{stem}-flat-{number + 1:02d}.svg")
            shapes.append(ink_on_wall(made, wish, number).rings)
    lens, files = optics(job.laser), {}
    for name, rings in zip(names, shapes, strict=True):
        commands = commands_for(rings, lens, plane_mm)
        turned = commands if wish.around == "end" else in_field(commands, job.laser.field_axis, job.laser.rim_towards)
        left, bottom, right, top = bounds_mm(commands)
        page = 2 * (max(-left, right) + PAGE_MARGIN_MM), 2 * (max(-bottom, top) + PAGE_MARGIN_MM)
        wide, high = page if wish.around == "end" else page_in_field(*page, job.laser.field_axis)
        field = job.laser.field_mm
        if max(wide, high) > field:
            says = f"needs {max(wide, high):.1f} mm, and the lens's field is {field:g} mm: write smaller letters"
            raise refuse("letter_height", Predicate(says))
        about = f"focus {plane_mm:+.4f} mm over the face, true size, never scale, nothing turns"
        files[name] = drawing(wide, high, {"face": turned}, _name(wish), about, ticks=True).encode()
    return files, tuple(shapes)


def commands_for(rings: Rings, lens: Optics, plane_mm: float) -> Rings:
    """What the head must be told to hit a level face that lies `plane_mm` below its focal plane."""
    columns = [
        command_mm(rings.points_mm[:, axis], -plane_mm, pupil if pupil is not None else np.inf)
        for axis, pupil in ((0, lens.pupil_x_mm), (1, lens.pupil_y_mm))
    ]
    return Rings(np.stack(columns, axis=1), rings.offsets)
