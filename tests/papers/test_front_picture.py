"""The picture from the front against an eye of its own: rays through the item, and marks of the written file.

Nothing here asks how the picture finds an outline. A ray from the eye through a point of the picture hits the item or
misses it; what the simulated machine marks is led to the eye along a straight line. Source: central projection, as any
textbook of descriptive geometry has it (from memory, not seen).
"""

import io
from math import cos, pi, sin, tan
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
import shapely
from PIL import Image

from rotary.artwork.rings import Rings, rings_from_list, rings_from_shapely
from rotary.formulas.sight import Eye
from rotary.inscription.front import marked_ink
from rotary.item import Item, Measurement
from rotary.job import Job, job_from_data, job_from_file
from rotary.papers.dots import dots_of
from rotary.papers.drawing import Area, PaperPicture, Words
from rotary.papers.formats import LONGER_SIDE, picture_document
from rotary.papers.sizes import Sizes
from rotary.pictures.front import scene_of
from rotary.pictures.front_page import FOOT_MM, front_picture
from rotary.pictures.handle import handle_areas
from rotary.pictures.scene import AWAY_MM, ItemView, MarkedInk, eye_before, frame_rings
from rotary.plan import Plan, plan
from rotary.sentences.front import DRAWING
from rotary.services.files import slice_sheet
from rotary.services.simulation import simulation
from rotary.shipped import examples

GREEN = "#1f5c3d"
MM = Sizes("mm")


def artwork(wide: float, high: float) -> Rings:
    """A ring with a bar through it, and a corner of the frame each: edges of every direction."""
    ring = shapely.Point(0, 0).buffer(0.42 * high, 64) - shapely.Point(0, 0).buffer(0.3 * high, 64)
    bars = [
        shapely.box(-wide / 2, -high / 2, -wide / 2 + 3, high / 2),
        shapely.box(wide / 2 - 3, 0, wide / 2, high / 2),
    ]
    return rings_from_shapely(shapely.union_all([ring, shapely.box(-0.2 * wide, -2, 0.2 * wide, 2), *bars]))


def green(name: str, **artwork_changes: object) -> Job:
    job = job_from_file(examples()[name])
    item = job.item.model_copy(update={"colour": GREEN, "coating": job.item.coating or "polyester-powder-dark"})
    return job.model_copy(update={"item": item}).with_artwork(**artwork_changes)


class Drawn(NamedTuple):
    """The item's outline and its ink as a picture has them, in millimetres of the item from its axis and foot, and half
    of one of 1200 dots there."""

    outline: shapely.Geometry
    ink: shapely.Geometry
    half_dot_mm: float
    eye_mm: float


def is_green(shade: object) -> bool:
    return isinstance(shade, tuple) and shade[1] > 1.25 * shade[0] + 0.004


def as_shapes(picture: PaperPicture, made: Plan) -> Drawn:
    """Green is the coating; grey after it is metal; the scale is that of the bar under it."""
    areas = [mark for mark in picture.marks if isinstance(mark, Area)]
    # The whole item is painted in one piece before its strips.
    first = max(
        range(len(areas)), key=lambda at: is_green(areas[at].shade) * np.prod(np.ptp(areas[at].rings_mm[0], axis=0))
    )
    bar = next(mark for mark in picture.marks if isinstance(mark, Words))
    lines = [mark for mark in picture.marks if not isinstance(mark, Area | Words)]
    long = next(float(np.ptp(one.points_mm[:, 0])) for one in lines if np.ptp(one.points_mm[:, 0]) > 0)
    scale = long / float(bar.text.split()[0])

    def union(wanted: list[Area]) -> shapely.Geometry:
        shapes = []
        for area in wanted:
            rings = [shapely.Polygon(ring).buffer(0) for ring in area.rings_mm if len(ring) > 2]
            shape = rings[0]
            for ring in rings[1:]:
                shape = shape.symmetric_difference(ring)
            shapes.append(shape)
        return shapely.union_all(shapes)

    outline = union([mark for mark in areas[first:] if is_green(mark.shade)][:1])
    ink = union([mark for mark in areas[first:] if not is_green(mark.shade)])
    middle, foot = picture.wide_mm / 2, FOOT_MM + (picture.high_mm - FOOT_MM) / 2
    low, high = outline.bounds[1], outline.bounds[3]
    assert (low + high) / 2 == pytest.approx(foot, abs=1e-6)
    length = made.shape.length_mm

    def back(points: np.ndarray) -> np.ndarray:
        # The eye is as high as the item's middle, so that the outline's middle is the item's where both ends are alike;
        # else the foot's front is found by the same straight line from the eye.
        return np.asarray((points - np.array([middle, 0.0])) / scale)

    outline, ink = (shapely.transform(shape, back) for shape in (outline, ink))
    eye = AWAY_MM + max(float(made.shape.radius_mm(np.linspace(0, length, 400)).max()), 0.0)
    near = float(made.shape.radius_mm(0.0))
    foot_in_picture = length / 2 - length / 2 * eye / (eye - near)
    down = outline.bounds[1] - foot_in_picture
    outline, ink = (shapely.transform(shape, lambda p: p - np.array([0.0, down])) for shape in (outline, ink))
    half = max(picture.wide_mm, picture.high_mm) / LONGER_SIDE / 2 / scale
    return Drawn(outline, ink, half, eye)


def hits(made: Plan, eye_mm: float, points: np.ndarray) -> np.ndarray:
    """Whether straight lines from the eye through places of the picture (n, 2) meet the item anywhere."""
    length = made.shape.length_mm
    share = np.linspace(0.7, 1.35, 6500)[None, :]
    out = []
    for some in np.array_split(points, max(len(points) // 60, 1)):
        x, y = some[:, :1] * share, length / 2 + (some[:, 1:] - length / 2) * share
        z = eye_mm * (1 - share)
        r = made.shape.radius_mm(np.clip(y, 0.0, length))
        out.append(((x * x + z * z <= r * r) & (y >= 0) & (y <= length)).any(axis=1))
    return np.concatenate(out)


CASES = {
    "regatta-bottle": {}, "boathouse-mug": {}, "bellied-flask": {}, "oar-ferrule": {},
    "domed-nut": {"width_mm": 14.0},
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_rays_just_inside_the_outline_meet_the_item_and_just_outside_miss_it(name: str) -> None:
    """All round, half of one of 1200 dots to either side: bottle, mug, belly, ferrule, dome."""
    made = plan(green(name, **CASES[name]), draws=0)
    drawn = as_shapes(front_picture(MarkedInk(made, artwork(10.0, 6.0)), MM), made)
    for step, meets in ((-drawn.half_dot_mm, True), (drawn.half_dot_mm, False)):
        ring = drawn.outline.buffer(step, join_style="mitre").exterior
        points = shapely.get_coordinates(ring.interpolate(np.linspace(0, 1, 90, endpoint=False), normalized=True))
        assert (hits(made, drawn.eye_mm, points) == meets).all(), name


def marks_in_sight(made: Plan, rings: Rings, folder: Path, eye_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Where the edges of a written sliced file stand in the picture (n, 2) and where their neighbours do; those at a
    seam, which are no edges of the artwork, and those out of sight are left out."""
    path = slice_sheet(made, rings, folder)[1][0]
    sent = simulation(made, path, rings, 1)
    marks, length = sent.marks, made.shape.length_mm
    angle, s = marks.angle_rad, marks.s_mm
    r = made.shape.radius_mm(s)
    x, z = r * np.sin(angle), r * np.cos(angle)
    larger = eye_mm / (eye_mm - z)
    places = np.stack([x * larger, length / 2 + (s - length / 2) * larger], axis=1)
    seams = (sent.middles_rad[1:] + sent.middles_rad[:-1]) / 2
    aside = np.abs(angle[:, None] - seams).min(axis=1) * r if len(seams) else np.full(len(r), np.inf)
    # A place is in sight where the straight way to the eye leaves the item at once and stays out of it.
    share = np.linspace(0.002, 0.9, 700)[None, :]
    along = s[:, None] + (length / 2 - s[:, None]) * share
    away = np.hypot(x[:, None] * (1 - share), z[:, None] + (eye_mm - z[:, None]) * share)
    free = (away > made.shape.radius_mm(along)).all(axis=1)
    return places[(aside > 0.4) & free], places[free]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["regatta-bottle", "bellied-flask", "oar-ferrule", "boathouse-mug"])
def test_the_drawn_artwork_is_what_the_written_file_marks(name: str, tmp_path: Path) -> None:
    """Every mark on an edge of the artwork stands within half a dot of a drawn edge, and every drawn edge that is in
    sight and at no seam within half a dot of a mark."""
    job = green(name)
    made = plan(job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"method": "sliced"})}), draws=0)
    art = made.job.artwork
    rings = artwork(art.width_mm, art.height_mm)
    drawn = as_shapes(front_picture(MarkedInk(made, rings), MM), made)
    edges, every = marks_in_sight(made, rings, tmp_path, drawn.eye_mm)
    assert len(edges) > 300
    far = shapely.distance(shapely.points(edges), drawn.ink.boundary)
    assert far.max() < drawn.half_dot_mm, f"{name}: {far.max() / drawn.half_dot_mm:.2f} half dots"
    there = shapely.get_coordinates(shapely.segmentize(drawn.ink.boundary, 0.3))
    tree = shapely.STRtree(shapely.points(every))
    _, near = tree.query_nearest(shapely.points(there), return_distance=True, all_matches=False)
    # Marks lie up to 0.4 mm apart along an edge.
    assert np.mean(near < 0.25 + drawn.half_dot_mm) > 0.97


def test_a_slice_of_the_ink_stands_where_a_hand_reckons_it() -> None:
    """On a straight mug of radius 40, one edge 20 mm round from the front: r sin(θ) over (1 - r cos(θ) / E)."""
    made = plan(green("boathouse-mug"), draws=0)
    bar = rings_from_list([[(20.0, -5.0), (24.0, -5.0), (24.0, 5.0), (20.0, 5.0)]])
    ink = as_shapes(front_picture(MarkedInk(made, bar), MM), made).ink
    at = 20.0 / 40.0
    larger = 1 / (1 - 40 * cos(at) / (AWAY_MM + 40))
    assert ink.bounds[0] == pytest.approx(40 * sin(at) * larger, abs=0.01)
    middle = made.layout.centre_mm
    assert ink.bounds[1] == pytest.approx(47.5 + (middle - 5 - 47.5) * larger, abs=0.01)


def test_artwork_ends_where_the_wall_turns_away() -> None:
    """On a straight mug that is where cos(θ) = r / E, short of a quarter turn; what lies beyond is not drawn."""
    made = plan(green("boathouse-mug"), draws=0)
    across = rings_from_list([[(50.0, -5.0), (70.0, -5.0), (70.0, 5.0), (50.0, 5.0)]])
    drawn = as_shapes(front_picture(MarkedInk(made, across), MM), made)
    assert drawn.ink.bounds[2] == pytest.approx(40 / np.sqrt(1 - (40 / 440) ** 2), abs=0.01)
    beyond = rings_from_list([[(62.0, -5.0), (70.0, -5.0), (70.0, 5.0), (62.0, 5.0)]])
    assert scene_of(MarkedInk(made, beyond)).in_sight == 0.0


def test_a_shoulder_hides_the_foot_of_the_neck() -> None:
    """An eye 75 mm high sees of a neck over a shoulder at 100 mm only what lies above its line over the edge."""
    job, corner = green("boathouse-mug"), {"corner": True}
    places = [(0.0, 80.0, {}), (100.0, 80.0, corner), (100.5, 40.0, corner), (150.0, 40.0, {})]
    measurements = [{"at_mm": at, "across_mm": across, **more} for at, across, more in places]
    item = Item(name="bottle", measurements=[Measurement(**one) for one in measurements], colour=GREEN, wall_mm=0.5)
    job = job.model_copy(update={"item": item}).with_artwork(width_mm=10.0, height_mm=20.0, centre_mm=112.0)
    made = plan(job, draws=0)
    bar = rings_from_list([[(-2.0, -11.0), (2.0, -11.0), (2.0, 8.0), (-2.0, 8.0)]])
    scene = scene_of(MarkedInk(made, bar))
    item_at = next(at for at, mark in enumerate(scene.marks) if is_green(mark.shade))
    metal = np.concatenate([mark.rings_mm[0] for mark in scene.marks[item_at:] if not is_green(mark.shade)])
    # The line from the eye over the shoulder's edge goes on in the picture as one point.
    assert metal[:, 1].min() == pytest.approx(75 + 25 * 440 / 400, abs=0.1)


def test_a_wide_drum_shows_no_side_that_has_turned_away() -> None:
    """Of 400 mm across an eye at 400 mm sees 70.5 degrees to either side: near both edges stands the shade of the wall
    that is in sight there, by the circle's own law, not that of the wall behind it."""
    data = HEXAGON | {
        "use_laser": "fibre-60w-254", "inscription": {},
        "item": {"name": "drum", "wall": "1 mm", "colour": GREEN,
                 "measurements": [{"at": at, "across": "400 mm"} for at in ("0 mm", "300 mm")]},
        "turning": {"kind": "chuck", "axis_height": "230 mm"},
    }  # fmt: skip
    made = plan(job_from_data({name: table for name, table in data.items() if table}), draws=0)
    scene = scene_of(MarkedInk(made, artwork(20.0, 10.0)))
    view = ItemView(made, eye_before(made.shape), 0.0)
    for turn in np.radians([-55.0, -40.0, 40.0, 55.0]):
        x = 200 * sin(turn) / (1 - 200 * cos(turn) / 600)
        there = shapely.Point(x, 100.0)
        shown = [one.shade for one in scene.marks if shapely.Polygon(one.rings_mm[0], one.rings_mm[1:]).covers(there)][
            -1
        ]
        assert shown == pytest.approx(view.surface(turn), abs=0.006)


def test_from_far_nothing_is_larger_for_being_near() -> None:
    """Parallel lines: the outline is the item's own diameter, the ink r sin(θ)."""
    made = plan(green("boathouse-mug"), draws=0)
    bar = rings_from_list([[(20.0, -5.0), (24.0, -5.0), (24.0, 5.0), (20.0, 5.0)]])
    scene = scene_of(MarkedInk(made, bar), from_far=True)
    assert scene.box_mm == pytest.approx((-40.0, 0.0, 40.0, 95.0), abs=0.01)
    grey = [mark for mark in scene.marks if isinstance(mark.shade, tuple) and abs(mark.shade[0] - mark.shade[1]) < 0.03]
    assert min(mark.rings_mm[0][:, 0].min() for mark in grey[12:]) == pytest.approx(40 * sin(0.5), abs=0.01)


def handled(angle_deg: float) -> Plan:
    job = green("boathouse-mug")
    handle = job.item.handle
    assert handle is not None
    turned = handle.model_copy(update={"angle_rad": np.radians(angle_deg), "width_rad": np.radians(20)})
    return plan(job.model_copy(update={"item": job.item.model_copy(update={"handle": turned})}), draws=0)


def test_the_handle_stands_where_it_was_measured() -> None:
    """At the right it reaches as far out as its reach, between its heights; behind the mug it is hidden."""
    ink = artwork(20.0, 10.0)
    left, _, right, _ = scene_of(MarkedInk(handled(90.0), ink)).box_mm
    # Half of its width, 40 sin(10°), stands nearer to the eye than the axis.
    nearer = 40 * sin(np.radians(10.0))
    assert right == pytest.approx(82.0 / (1 - nearer / 440.0), abs=0.1)
    assert -41 < left < -40
    # Its foot lies beyond the wall's edge as the eye sees it, so the wall is painted over it.
    eye = Eye(440.0, 47.5)
    for angle, hidden in ((90.0, True), (84.0, False)):
        made = handled(angle)
        areas = handle_areas(made.job.item, made.shape, eye, 0.0, lambda _: (0.0, 0.0, 0.0))
        assert (bool(areas.behind), bool(areas.before)) == (hidden, not hidden)
    behind = scene_of(MarkedInk(handled(180.0), ink)).box_mm
    # Nothing is said of the shape of what nobody sees.
    for angle, is_seen in ((90.0, True), (180.0, False)):
        assert ("drawn as a loop" in front_picture(MarkedInk(handled(angle), ink), MM).says) == is_seen
    assert behind[0] == pytest.approx(-behind[2], abs=1e-6)
    assert behind[2] < 41


def test_artwork_on_the_back_is_looked_at_from_there() -> None:
    """Where it can't be seen from the front the eye goes to its middle, and the words say so."""
    made = plan(green("boathouse-mug", centre_angle_rad=pi / 2), draws=0)
    ink = MarkedInk(made, artwork(20.0, 10.0))
    says = front_picture(ink, MM).says
    assert "where the artwork is, 90° to the right of the front" in says
    scene = scene_of(ink)
    item = next(at for at, mark in enumerate(scene.marks) if is_green(mark.shade))
    metal = np.concatenate([mark.rings_mm[0] for mark in scene.marks[item:] if not is_green(mark.shade)])
    assert metal[:, 0].min() == pytest.approx(-metal[:, 0].max(), abs=0.05)


HEXAGON = {
    "use_laser": "fibre-30w-160",
    "item": {"name": "hexagon nut", "flats": 6, "across_flats": "19 mm", "length": "12 mm", "coating": "none",
             "solid": True},
    "turning": {"kind": "chuck"},
    "artwork": {"name": "x", "width": "8 mm", "height": "8 mm", "centre": "6 mm"},
    "inscription": {"text": "IIII", "around": "flats", "more": ["I"]},
}  # fmt: skip


def test_words_on_flats_stand_on_their_flats() -> None:
    """The second text lies on the flat to the right, at 60 degrees; its middle stands where a hand reckons it."""
    made = plan(job_from_data(HEXAGON), draws=0)
    ink, trouble = marked_ink(made, Path())
    assert trouble == ""
    scene = scene_of(ink)
    dark = [mark for mark in scene.marks if isinstance(mark.shade, tuple) and max(mark.shade) < 0.2]
    points = np.concatenate([ring for mark in dark for ring in mark.rings_mm])
    out, eye = 9.5, AWAY_MM + 9.5 / cos(pi / 6)
    there = out * sin(pi / 3) / (1 - out * cos(pi / 3) / eye)
    letter = points[points[:, 0] > out * tan(pi / 6) * 1.05]
    assert (letter[:, 0].min() + letter[:, 0].max()) / 2 == pytest.approx(there, abs=0.05)
    assert scene.in_sight == pytest.approx(1.0)


@pytest.mark.parametrize("around", ["ring", "arc", "axis", "end"])
def test_words_of_a_job_are_what_is_drawn(around: str) -> None:
    """Round the barrel, along it, on the end face: ink darker than the brass, and the brass is no grey."""
    job = job_from_file(examples()["brass-nut"])
    wish = job_from_data({**HEXAGON, "inscription": {"text": "HERON CLUB", "around": around}}).inscription
    ink, _ = marked_ink(plan(job.model_copy(update={"inscription": wish}), draws=0), Path())
    picture = front_picture(ink, MM)
    shades = [mark.shade for mark in picture.marks if isinstance(mark, Area) and isinstance(mark.shade, tuple)]
    brass = [shade for shade in shades if shade[0] > 1.5 * shade[2]]
    assert max(max(shade) for shade in brass) > 0.6
    assert min(max(shade) for shade in brass) < 0.33


def test_metal_stands_out_of_every_colour() -> None:
    """White, silver, black, cream: the ink's outline is told from the coating beside it, by its shadow where both are
    light. The least difference of brightness that a person surely sees on a screen, 0.1, is an estimate."""
    for colour in ("white", "silver", "black", "#efe6cf", "yellow", "#777777"):
        job = green("boathouse-mug")
        made = plan(job.model_copy(update={"item": job.item.model_copy(update={"colour": colour})}), draws=0)
        picture = front_picture(MarkedInk(made, artwork(30.0, 20.0)), MM)
        tones = np.asarray(dots_of(picture, 600, 600).convert("L"), float) / 255
        # Straight up through the ring, in the middle of the picture.
        line = tones[:, tones.shape[1] // 2]
        steps = np.abs(line[2:] - line[:-2])
        inside = steps[int(0.2 * len(steps)) : int(0.8 * len(steps))]
        assert (inside > 0.1).sum() >= 4, colour


@pytest.mark.slow
def test_the_files_are_sent_as_they_are() -> None:
    """A PNG of 1200 dots at the scale that it says, an SVG, a PDF: on each stands that it is no photograph."""
    made = plan(green("regatta-bottle"), draws=0)
    picture = front_picture(MarkedInk(made, artwork(60.0, 40.0)), MM)
    image = Image.open(io.BytesIO(picture_document(picture, ".png").data))
    assert max(image.size) == LONGER_SIDE
    assert image.info["dpi"][0] == pytest.approx(25.4 * LONGER_SIDE / max(picture.wide_mm, picture.high_mm), rel=0.01)
    assert DRAWING in image.info["Description"]
    assert any(mark.text == DRAWING for mark in picture.marks if isinstance(mark, Words))
    assert DRAWING in picture_document(picture, ".svg").data.decode()
    assert picture_document(picture, ".pdf").data.startswith(b"%PDF")
    # What is green in the file lies where the areas do.
    pixels = np.asarray(image.convert("RGB"), float)
    there = np.argwhere(pixels[..., 1] > 1.25 * pixels[..., 0] + 2)
    outline = as_shapes(picture, made).outline
    per_mm = LONGER_SIDE / max(picture.wide_mm, picture.high_mm)
    assert np.ptp(there[:, 1]) == pytest.approx((outline.bounds[2] - outline.bounds[0]) * per_mm, abs=1.5)


def test_what_nobody_said_is_said() -> None:
    """No colour, no artwork, no form of the handle: the picture is drawn, and its words tell what is not known."""
    made = handled(90.0)
    item = made.job.item.model_copy(update={"colour": None})
    made = made.model_copy(update={"job": made.job.model_copy(update={"item": item})})
    says = front_picture(MarkedInk(made), MM).says
    assert says.startswith(DRAWING)
    assert all(part in says for part in ("No artwork yet", "You entered no colour", "no shape for the handle"))


def test_the_frame_in_place_of_artwork_fits_as_seen_from_the_front() -> None:
    """The widest artwork that can be seen from the front has a frame as wide as it is flat, not as on the wall."""
    made = plan(green("regatta-bottle", width_mm=75.0, surface_map="front-view"), 0)
    assert np.ptp(frame_rings(made).points_mm[:, 0]) == pytest.approx(75.0)
    assert scene_of(MarkedInk(made, None)) is not None
