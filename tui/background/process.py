"""What the process of errands does: read artwork, lay it on the wall, send a sheet through the machine.

Answers are plain names, numbers and tuples: whoever gets them needs no core to draw them.
"""

import logging
import os
from collections.abc import Callable
from functools import partial
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from rotary.errors import Fault, FileTrouble, Refused, RotaryError
from rotary.services.jobs import job_on_machine
from rotary.services.planning import plan_for
from rotary.services.profiles import timed_runs
from tui.background.artwork import Tell, ink_of, reader
from tui.background.outlines import FINEST_MM, thinned
from tui.background.print_work import printed_errand
from tui.background.tasks import Done, Errand, Share, Stopped
from tui.background.worker import serve
from tui.drawings.words import refusal
from tui.planner.process import plain_bytes

if TYPE_CHECKING:
    from rotary.artwork.raster_read import Picture
    from rotary.artwork.rings import Rings
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat

DRAWS: Final = 200
MOST_TONES: Final = 160


def done(errand: Errand, tell: Callable[[Share], object]) -> Done:
    """Whatever comes of an errand, in words where it is refused."""

    def told(share: float) -> None:
        tell(Share(errand.what, errand.key, share))

    try:
        answer = _WORK[errand.what](errand, told)
        return Done(errand.what, errand.key, answer, tuple(answer.__dict__.pop("faults", ())))
    except Stopped:
        return Done(errand.what, errand.key, stopped=True)
    except Refused as refused:
        faults = tuple((fault.where, fault.says) for fault in refused.faults)
    except FileTrouble as trouble:
        faults = (("", str(trouble)),)
    except MemoryError:
        faults = (("", "the computer has too little memory for this drawing: simplify the drawing"),)
    except Exception as trouble:
        # A fault of ours is said; the desk and what is typed on it go on.
        logging.getLogger("tui").exception("no answer")
        says = f"this is a fault in rotary itself ({type(trouble).__name__}: {str(trouble)[:80]})"
        faults = (("", says),)
    return Done(errand.what, errand.key, None, faults)


# -- the artwork of the job, on the wall


def _artwork(errand: Errand, tell: Tell) -> SimpleNamespace:
    """Where the pieces land: rings of (angle from the front, or u on a flat; height), borders, what is to be said."""
    from rotary.artwork.rings import area_mm2, bounds_mm, moved
    from rotary.artwork.turn import once_round
    from rotary.artwork.wall import on_wall
    from rotary.inscription.actions import FACES, words_on_wall
    from rotary.sheet.fits import refuse_misfit

    job = job_on_machine(errand.data, errand.system)
    if job.inscription is not None and job.is_inscribed and job.inscription.around in FACES:
        from tui.background.inscriptions import on_faces

        return SimpleNamespace(faces=on_faces(job, Path(errand.beside)))
    if job.is_inscribed:
        made, rings = words_on_wall(job, partial(plan_for, draws=0), Path(errand.beside))
        found = None
    else:
        made = plan_for(job, draws=0)
        found = ink_of(errand, made, tell)
        rings = found.composition.ink
    art, shape = made.job.artwork, made.shape
    faults: list[tuple[str, str]] = []
    try:
        refuse_misfit(rings, art, made.layout.is_ring or shape.flats is not None)
    except Refused as refused:
        faults += [(fault.where, fault.says) for fault in refused.faults]
    flat = shape.flats is not None
    try:
        wall = rings if flat else on_wall(rings, art.surface_map, shape.curve, made.layout.centre_mm, FINEST_MM)
    except ValueError as trouble:
        says = f'{trouble}: choose another setting under "on a taper", or make the artwork smaller'
        raise Refused([Fault("artwork.surface_map", says)]) from None
    if flat:
        wall = moved(wall, 0.0, made.layout.centre_mm)
    else:
        wall = moved(once_round(wall) if made.layout.is_ring else wall, art.centre_angle_rad, 0.0)
    scale = made.layout.reference_radius_mm
    left, bottom, right, top = bounds_mm(rings)
    return SimpleNamespace(
        rings=thinned(wall, (1.0 if flat else scale, 1.0)),
        flat=flat,
        borders_rad=_borders(made, rings),
        width_mm=right - left,
        height_mm=top - bottom,
        ink_mm2=area_mm2(rings),
        ink_share=min(area_mm2(rings) / (art.width_mm * art.height_mm), 1.0),
        sizes=tuple((one.name, one.drawn_mm, one.marked_mm, one.is_text) for one in found.sizes) if found else (),
        unread=tuple(map(str, found.unread)) if found else (),
        notes=(*found.notes, *map(str, found.composition.overlaps)) if found else (),
        faults=faults,
    )


def _borders(made: "Plan", rings: "Rings") -> tuple[float, ...]:
    """Angles of the slices' borders as a sheet would have them, slid into the white."""
    from rotary.sheet import SheetWish, order_of
    from rotary.sheet.compose import composition

    split, job = made.split, made.job
    if split.method == "sliced" and split.slices > 1:
        try:
            order = order_of(SheetWish(), made, job.tolerances.line_spacing_mm or FINEST_MM)
            cut = composition(order, rings, cut=False)
            return tuple(cut.first_border_rad + k * split.index_angle_rad for k in range(split.slices + 1))
        except Refused:
            # The sheet itself says why it can't be drawn; the borders then stand where the plan has them.
            pass
    first = job.artwork.centre_angle_rad - split.slices / 2 * split.index_angle_rad
    return tuple(first + k * split.index_angle_rad for k in range(split.slices + 1))


# -- what is done for the job with its artwork laid out, and the files that are imported


def _actions(errand: Errand, _tell: Tell) -> SimpleNamespace:
    """The actions with the sizes, slices and angles of the real artwork, and whether its files are there."""
    from rotary.inscription.actions import drawn_marks
    from rotary.services.actions import actions_for

    made, repeat = _planned(errand, *errand.more)
    runs = timed_runs(Path(errand.more[0]) if errand.more and errand.more[0] else None)
    actions = actions_for(made, Path(errand.beside), repeat, errand.system, drawn_marks, runs)
    return SimpleNamespace(actions=actions)


def _files(errand: Errand, _tell: Tell) -> SimpleNamespace:
    """Write the files to import beside the job; which they are."""
    from rotary.inscription.actions import write_words
    from rotary.services.artwork import drawing_files
    from rotary.services.files import flat_file, slice_sheet

    made, repeat = _planned(errand, *errand.more)
    if repeat is not None and repeat.run is not None:
        from rotary.repeat.run_plan import DRAWS

        made = repeat.to_draw(DRAWS)
    beside = Path(errand.beside)
    if made.job.is_inscribed:
        return SimpleNamespace(paths=tuple(map(str, write_words(made, beside))))
    rings, sources = ink_of(errand, made, lambda _: None).composition.ink, drawing_files(made.job, beside)
    flat = made.split.method == "flat" and made.job.item.flats is None
    paths = flat_file(made, rings, beside, sources)[1] if flat else slice_sheet(made, rings, beside, None, sources)[1]
    return SimpleNamespace(paths=tuple(map(str, paths)))


def _planned(errand: Errand, kept: str = "", batch: str = "", anew: str = "", *_: str) -> "tuple[Plan, Repeat | None]":
    """The plan as every front end makes it, and how it stands to the profile that it comes from."""
    from rotary.inscription.actions import plan_of_marks
    from rotary.job import job_from_data
    from tui.planner.repeat import repeat_of_kept
    from tui.planner.request import Today

    job, beside = job_from_data(errand.data, units=errand.system), Path(errand.beside)
    made = plan_of_marks(job, plan_for, beside)
    return made, repeat_of_kept(Today(kept, batch, anew), job, made, errand.system, beside)


# -- a drawing in the picker


def _preview(errand: Errand, tell: Tell) -> SimpleNamespace:
    """One drawing, picture or text, before it is chosen."""
    from rotary.artwork.raster_read import picture_from_file
    from rotary.artwork.rings import area_mm2, bounds_mm
    from rotary.artwork.text import Lettering, drawing_from_text

    kind, name = errand.more
    if kind == "picture":
        return _tones(picture_from_file(Path(name)))
    from rotary.artwork.drawing import AS_IT_IS

    drawing = drawing_from_text(Lettering(text=name)) if kind == "text" else reader(tell)(Path(name), AS_IT_IS)
    left, bottom, right, top = bounds_mm(drawing.ink)
    return SimpleNamespace(
        kind=kind,
        rings=thinned(drawing.ink, (1.0, 1.0)),
        width_mm=right - left,
        height_mm=top - bottom,
        size_stated=drawing.size_stated,
        page_mm=drawing.own_page_mm,
        ink_share=area_mm2(drawing.ink) / max((right - left) * (top - bottom), 1e-9),
        unread=tuple(map(str, drawing.unread)),
        notes=drawing.notes,
    )


def _tones(picture: "Picture") -> SimpleNamespace:
    """A picture of dots as rows of greys from 0 to 255, few enough for characters."""
    import numpy as np

    high, wide = picture.tones.shape
    step = max(-(-max(high, wide) // MOST_TONES), 1)
    down, across = high // step, wide // step
    if not (down and across):
        step, down, across = 1, high, wide
    cut = picture.tones[: down * step, : across * step].astype(np.float64)
    means = cut.reshape(down, step, across, step).mean(axis=(1, 3)) / 257
    per = picture.per_mm
    return SimpleNamespace(
        kind="picture",
        tones=tuple(map(tuple, means.astype(int).tolist())),
        dots=(wide, high),
        width_mm=wide / per[0] if per else None,
        height_mm=high / per[1] if per else None,
        ink_share=float(1 - picture.tones.mean() / 65535),
        unread=(),
        notes=picture.notes,
    )


# -- what a written file will do


def _forecast(errand: Errand, tell: Tell) -> SimpleNamespace:
    """A sliced file and a flat file of this artwork, each sent through the machine; per seam, and in figures."""
    from rotary.artwork.rings import rings_from_list
    from rotary.inscription.actions import words_on_wall

    job, planned_by = job_on_machine(errand.data, errand.system), partial(plan_for, draws=0)
    art = job.artwork
    if job.is_inscribed:
        made, rings = words_on_wall(job, planned_by, Path(errand.beside))
        job = made.job
    elif art.pieces:
        made = planned_by(job)
        rings = ink_of(errand, made, lambda _: None).composition.ink
    else:
        made = planned_by(job)
        w, h = art.width_mm / 2, art.height_mm / 2
        rings = rings_from_list([[(-w, -h), (w, -h), (w, h), (-w, h)]])
    ways = []
    for place, method in enumerate(("sliced", "flat")):
        ways.append(_way(job, method, rings, lambda share, place=place: tell((place + share) / 2)))  # type: ignore[misc]
    return SimpleNamespace(
        ways=tuple(ways),
        stands_in=not (art.pieces or job.is_inscribed),
        taken=made.split.method,
        accepted_mm=job.tolerances.accepted_seam_mm,
    )


def _way(job: "Job", method: str, rings: "Rings", tell: Tell) -> SimpleNamespace:
    from rotary.scratch import scratch_folder
    from rotary.services.files import flat_file, slice_sheet
    from rotary.services.simulation import simulation

    try:
        made = plan_for(job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"method": method})}))
        with scratch_folder() as folder:
            if method == "sliced":
                path = slice_sheet(made, rings, folder)[1][0]
            else:
                made, (path, *_) = flat_file(made, rings, folder)
            tell(0.1)
            found = simulation(made, path, rings, DRAWS, lambda share: tell(0.1 + 0.9 * share))
    except RotaryError as trouble:
        return SimpleNamespace(method=method, trouble=refusal(trouble))
    cast = found.forecast
    worst: dict[int, tuple[float, float]] = {}
    for left, gap in zip(found.seams.left.tolist(), found.gaps.open_mm.tolist(), strict=True):
        low, high = worst.get(left, (0.0, 0.0))
        worst[left] = (min(low, gap), max(high, gap))
    return SimpleNamespace(
        method=method,
        trouble="",
        columns=cast.columns,
        seams=tuple((number, *worst[number]) for number in sorted(worst)),
        placement_mm=cast.placement_mm,
        placement_95_mm=cast.placement_95_mm,
        open_mm=cast.seam_open_mm,
        double_mm=cast.seam_double_mm,
        seam_95_mm=cast.seam_95_mm,
        lost=cast.lost_seam_places,
        missed=cast.missed_points,
        says=tuple(cast.says),
    )


# -- the process window and the beliefs


def _window(errand: Errand, _tell: Tell) -> SimpleNamespace:
    """The window of this coating, and what its readings have taught."""
    from rotary.store.places import profile_folder
    from tui.form.patch import patch_view

    seen = patch_view(errand.data, errand.system, Path(errand.beside) if errand.beside else profile_folder())
    return SimpleNamespace(
        first_line=seen.first_line, window=seen.window, taught=seen.taught, readings=len(seen.readings)
    )


def _later(module: str, verb: str) -> "Callable[[Errand, Tell], SimpleNamespace]":
    """Work whose module is loaded when it is first asked for."""

    def work(errand: Errand, tell: Tell) -> SimpleNamespace:
        done: SimpleNamespace = getattr(import_module(f"tui.background.{module}"), verb)(errand, tell)
        return done

    return work


_WORK: Final[dict[str, Callable[[Errand, Tell], SimpleNamespace]]] = {
    "artwork": _artwork, "actions": _actions, "files": _files, "preview": _preview, "forecast": _forecast,
    "window": _window, "front": _later("front", "front_dots"),
    "inscription": _later("inscriptions", "looked"), "inscribed": _later("inscriptions", "written"),
    "print": printed_errand,
}  # fmt: skip


def answer(errand: Errand, tell: Callable[[Share], object]) -> bytes:
    """What comes of an errand, as bytes that need no core to be read."""
    return plain_bytes(done(errand, tell))


if __name__ == "__main__":
    serve(answer, lambda: os.nice(5) if hasattr(os, "nice") else None)
