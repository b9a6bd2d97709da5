"""What is found out about an inscription apart from the screen: sized at every key; written, gauged when asked.

Answers are plain names, numbers and tuples. It loads the core, so only the process of errands imports it.
"""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Final

from rotary.artwork.rings import Rings, area_mm2, moved
from rotary.errors import Fault, Predicate, Refused, brief, counted, refuse
from rotary.faults import model_from_texts
from rotary.files import named_path
from rotary.inscription.actions import FACES
from rotary.inscription.depths import depth_of
from rotary.inscription.files import write_inscription
from rotary.inscription.ink import ink_on_end, ink_on_wall
from rotary.inscription.legibility import make_ready
from rotary.inscription.lists import Entries, from_list, from_numbers
from rotary.inscription.models import Inscription
from rotary.inscription.names import LetterSizes, NameEntry, names, sizes
from rotary.inscription.setting import set_lines, with_font_path
from rotary.inscription.sizes import SizedText
from rotary.inscription.work import Planner, part_plan, size
from rotary.job import Job
from rotary.passes.learning.depth import DepthReading
from rotary.plan import Plan
from rotary.series.results import ListWish, refuse_full
from rotary.services import USUAL_DRAWS, Folders
from rotary.services.jobs import job_on_machine
from rotary.services.planning import plan_for
from rotary.store.depths import add_depths, depth_readings, depth_text, strike_depth
from rotary.wishes import Wishes
from rotary.wording import InscriptionWish
from tui.background.outlines import Outline, thinned
from tui.background.tasks import Errand
from tui.drawings.words import refusal
from tui.form.fields import JobTables

Tell = Callable[[float], None]
MOST_MISFITS: Final = 50


def looked(errand: Errand, _tell: object = None) -> SimpleNamespace:
    """How an inscription comes out on the part on the desk: sizes, legibility, slices, depth, a picture."""
    job, wish = _job(errand), _wish(errand.data["wish"], Path(errand.beside))
    make_ready(wish)
    try:
        made = size(job, wish)
    except Refused as refused:
        raise Refused([_at_its_line(fault, errand, wish) for fault in refused.faults]) from None
    readings = _readings(errand)
    try:
        facts, plan, inks, ink_mm2 = _lying(job, wish, made, errand)
        trouble = ""
    except Refused as refused:
        # The words fit; what the slices or the passes want of the desk is told beside them.
        facts, plan, inks, ink_mm2 = made.facts, None, (), 0.0
        trouble = str(refused.faults[0])
    turned = wish.around not in FACES
    return SimpleNamespace(
        around=wish.around,
        facts=facts,
        trouble=trouble,
        slices=plan.split.slices if plan is not None and turned else 0,
        slice_mm=plan.split.slice_width_mm if plan is not None and turned else 0.0,
        index_rad=plan.split.index_angle_rad if plan is not None and turned else 0.0,
        borders_mm=_borders_mm(plan, made.room.radius_mm) if plan is not None and turned else (),
        inks=inks,
        room=_room(job, wish, made),
        depth=_depth(errand, job, plan if turned else None, ink_mm2, readings),
    )


def _at_its_line(fault: Fault, errand: Errand, wish: InscriptionWish) -> Fault:
    """A complaint about the text, at the line that it is about: the first that can't be set, else the longest."""
    if fault.where != "text":
        return fault
    lines = [str(row.get("line", "")) for row in errand.data.get("lines", ())]
    worst = max(range(len(lines)), key=lambda place: len(lines[place]), default=0)
    for place, line in enumerate(lines):
        if not line.strip() and len(lines) > 1:
            continue
        try:
            set_lines(wish, line)
        except Refused:
            worst = place
            break
    return Fault(f"text.{worst}.line", fault.says)


def on_faces(job: Job, beside: Path) -> SimpleNamespace:
    """How a job's own words lie on its flats or its end face, for a picture; a font lies `beside` the job."""
    wish = with_font_path(job.inscription or InscriptionWish(), beside)
    made = size(job, wish)
    inks = tuple(map(_thin, _faces(wish, made)))
    return SimpleNamespace(around=wish.around, facts=made.facts, inks=inks, room=_room(job, wish, made))


def _faces(wish: InscriptionWish, made: SizedText) -> list[Rings]:
    """The ink of each flat, or of the end face."""
    if wish.around == "end":
        return [ink_on_end(made, wish)]
    return [ink_on_wall(made, wish, number).rings for number in range(len(made.texts))]


def _lying(
    job: Job, wish: InscriptionWish, made: SizedText, errand: Errand
) -> tuple[Inscription, Plan | None, tuple[Outline, ...], float]:
    """The facts with what the slices say, the plan, the ink as it lies, and how much of it there is."""
    if wish.around in FACES:
        shapes = _faces(wish, made)
        return made.facts, None, tuple(map(_thin, shapes)), sum(map(area_mm2, shapes))
    sized, plan, rings = part_plan(job, wish, _planner(errand, 0), made)
    art = plan.job.artwork
    placed = moved(rings, art.centre_angle_rad * made.room.radius_mm, 0.0)
    return sized.facts, plan, (_thin(placed),), area_mm2(rings)


def _borders_mm(plan: Plan, radius_mm: float) -> tuple[float, ...]:
    """Where slices meet, from the front [mm]; a sheet may slide them a little, into the white."""
    split = plan.split
    first = plan.job.artwork.centre_angle_rad - split.slices / 2 * split.index_angle_rad
    return tuple(radius_mm * (first + k * split.index_angle_rad) for k in range(split.slices + 1))


def _thin(rings: Rings) -> Outline:
    return thinned(rings)


def _room(job: Job, wish: InscriptionWish, made: SizedText) -> SimpleNamespace:
    """The bounds of a picture: once round and across, or a flat, or the rim and the bore [mm]."""
    room = made.room
    side = (room.height_mm, room.length_mm) if wish.lengthwise else (room.length_mm, room.height_mm)
    if wish.around == "axis":
        side = (room.height_mm, room.length_mm)
    return SimpleNamespace(
        turn_mm=room.turn_mm,
        wide_mm=side[0],
        high_mm=side[1],
        rim_mm=room.outer_mm + wish.margin_mm,
        bore_mm=wish.bore_mm / 2,
        closes=wish.around == "ring" and wish.gap_mm is None,
        item=job.item.name,
    )


def _depth(
    errand: Errand, job: Job, plan: Plan | None, ink_mm2: float, readings: Sequence[DepthReading]
) -> SimpleNamespace:
    """Passes for the wanted depth, and what has been gauged; or why there are none."""
    try:
        wanted = _wanted_um(errand.data["depth"])
        found = depth_of(plan.job if plan is not None else job, wanted, readings, None if plan is not None else ink_mm2)
    except Refused as refused:
        return SimpleNamespace(
            found=None, says=refused.faults[0].says, where=refused.faults[0].where, kept=len(readings)
        )
    warmth = found.warmth._asdict() if found.warmth is not None else None
    return SimpleNamespace(
        found=found.answer, warmth=warmth, time_s=found.time_s, notes=found.notes, says="", kept=_told(job, readings)
    )


def _told(job: Job, readings: Sequence[DepthReading]) -> tuple[tuple[str, bool], ...]:
    """The kept readings of this metal and laser, with their numbers among all that are kept, and which are struck."""
    names = (None, job.item.metal), (None, job.laser.name)
    every = enumerate(readings, 1)
    return tuple(
        (depth_text(n, one), one.ignored) for n, one in every if one.metal in names[0] and one.laser in names[1]
    )


# -- what is written


def written(errand: Errand, tell: Tell) -> SimpleNamespace:
    """Files and card of one inscription, or of a whole list; or a depth reading kept. `more` says which."""
    return {"one": _one, "sizes": _sizes, "list": _list, "reading": _reading}[errand.more[0]](errand, tell)


def _one(errand: Errand, tell: Tell) -> SimpleNamespace:
    tell(0.1)
    wish = _wish(errand.data["wish"], Path(errand.beside))
    whole = write_inscription(_job(errand), wish, _folder(errand), _planner(errand), system=errand.system)
    files = (*(path.name for path in whole.done.paths), whole.card.name)
    return SimpleNamespace(
        kind="one", folder=str(whole.card.parent), says=(f"wrote {', '.join(files)}",), lines=whole.lines
    )


def _entries(errand: Errand, wish: InscriptionWish) -> Entries:
    asked = errand.data["write"]
    if asked.get("list"):
        return from_list(Path(errand.beside) / named_path(asked["list"]), asked.get("column"), wish.text)
    return from_numbers(asked["numbers"], _digits(asked), wish.text)


def _sizes(errand: Errand, tell: Tell) -> SimpleNamespace:
    """A list as it would come out, before anything is written: how many fit, and every misfit with its reason."""
    job, wish = _job(errand), _wish(errand.data["wish"], Path(errand.beside))
    wanted = _entries(errand, wish)[0]
    refuse_full(_folder(errand), "list")
    found = sizes(job, wish, wanted, tell)
    misfits = tuple(_misfit(one) for one in found.misfits)
    return SimpleNamespace(
        kind="sizes", misfits=misfits, fitting=len(found.heights_mm), mark=found.mark, lines=_few(misfits, "")
    )


def _list(errand: Errand, tell: Tell) -> SimpleNamespace:
    job, wish, asked = _job(errand), _wish(errand.data["wish"], Path(errand.beside)), errand.data["write"]
    wanted, notes, sign = _entries(errand, wish)
    folder = _folder(errand)

    def unchanged(found: LetterSizes) -> None:
        if found.mark != errand.more[2]:
            raise Refused([Fault("", "the list or the job changed meanwhile: press F5 to see the list again")])

    how = ListWish(bool(asked.get("each")), sign, notes, Path(errand.more[1]), errand.system)
    made = names(job, wish, wanted, folder, how, unchanged, tell, _planner(errand))
    lines = _few([_misfit(one) for one in made.entries if one.state == "misfit"], f", all in {made.table}")
    says = (
        f"wrote files for {len(made.entries) - made.misfits} of {len(made.entries)} names",
        f"{made.table} in that folder lists all names",
    )
    return SimpleNamespace(kind="list", folder=str(folder), says=(*says, *made.notes), lines=lines)


def _misfit(one: NameEntry) -> str:
    return f"line {one.line}, {brief(one.name, 30)}: {one.why}"


def _few(misfits: Sequence[str], rest: str) -> tuple[str, ...]:
    over = len(misfits) - MOST_MISFITS
    return tuple(misfits) if over <= 0 else (*misfits[:MOST_MISFITS], f"and {over} more{rest}")


def _reading(errand: Errand, _tell: Tell) -> SimpleNamespace:
    """Keep what a gauge said, with the setting that this job cuts with, and tell what it taught."""
    typed = errand.data["depth"]
    if typed.get("strike"):
        return _struck(typed["strike"], Path(errand.more[1]))
    missing = [
        Fault(field, says)
        for field, says in (
            ("passes", "type how many passes you marked"),
            ("gauged", "type the depth that you read on the gauge, for example 18 um"),
        )
        if not typed.get(field)
    ]
    if missing:
        raise Refused(missing)
    given = {"passes": _number(typed["passes"]), "depth": typed["gauged"]}
    if typed.get("resolution"):
        given["resolution"] = typed["resolution"]
    reading = model_from_texts(DepthReading, given)
    job, old = _job(errand), _readings(errand)
    wanted = _wanted_um(typed) or job.passes.depth_um or reading.depth_um or 1.0
    before = depth_of(job, wanted, old).answer
    found = depth_of(job, wanted, (*old, reading))
    add_depths([reading.model_copy(update=found.stamp)], Path(errand.more[1]))
    after = found.answer
    says = (
        f"Saved: {reading.depth_um:g} µm after {counted(reading.passes, 'pass')}. Later plans for this metal and "
        "laser use this reading.",
        f"rotary now expects {after.per_pass_um_50:.2f} µm per pass. Before it was {before.per_pass_um_50:.2f} µm.",
        found.marked_so,
        *after.notes,
    )
    return SimpleNamespace(kind="reading", folder=errand.more[1], says=says, lines=())


def _struck(number: object, folder: Path) -> SimpleNamespace:
    plain = _number(number)
    if not isinstance(plain, int):
        raise refuse("strike", Predicate("is not the number of a reading: type a number such as 3"))
    return SimpleNamespace(
        kind="reading", folder=str(folder), says=(depth_text(plain, strike_depth(plain, folder)),), lines=()
    )


# -- the desk and the fields, as the core takes them


def _job(errand: Errand) -> Job:
    try:
        return job_on_machine(errand.data["job"], errand.system)
    except Refused as refused:
        says = f"press Esc and correct the job first: {refusal(refused)}"
        raise Refused([Fault("", says)]) from None


def _wish(given: JobTables, beside: Path) -> InscriptionWish:
    try:
        wish = model_from_texts(InscriptionWish, given)
    except Refused as refused:
        # By its own name it would be the depth that a gauge said.
        faults = [Fault("passes.depth", one.says) if one.where == "depth" else one for one in refused.faults]
        raise Refused(faults) from None
    # A font counts from where the job lies, as its drawings do.
    return with_font_path(wish, beside)


def _wanted_um(typed: JobTables) -> float | None:
    if not typed.get("wanted"):
        return None

    return model_from_texts(Wishes, {"depth": typed["wanted"]}).depth_um


def _readings(errand: Errand) -> tuple[DepthReading, ...]:
    return depth_readings(Path(errand.data["profiles"]))


def _planner(errand: Errand, draws: int = USUAL_DRAWS) -> Planner:
    return partial(plan_for, folders=Folders(Path(errand.data["profiles"])), draws=draws)


def _folder(errand: Errand) -> Path:
    typed = str(errand.data["write"].get("folder") or "").strip()
    if not typed:
        raise refuse("to", "type the name of a folder for the files, for example nut")
    return Path(errand.beside) / named_path(typed)


def _digits(asked: JobTables) -> int:
    digits = _number(asked.get("digits") or "1")
    if not isinstance(digits, int) or not 1 <= digits <= 12:
        raise refuse("digits", Predicate("is not a number of digits: type a whole number from 1 to 12"))
    return digits


def _number(text: object) -> int | str:
    plain = str(text).strip()
    return int(plain) if plain.isdecimal() and len(plain) < 8 else plain
