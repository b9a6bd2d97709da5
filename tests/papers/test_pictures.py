"""Pictures are to scale: what is measured on the paper, times the scale, is the item."""

import re

import numpy as np
import pytest

from rotary.artwork.rings import Rings, rings_from_list
from rotary.errors import Refused
from rotary.item import fitted_shape
from rotary.job import job_from_data
from rotary.papers.drawing import Area, Line, PaperPicture, Words
from rotary.papers.formats import picture_document
from rotary.papers.letters import printable, wide_mm
from rotary.papers.sizes import Sizes
from rotary.pictures import NAMES, picture, pictures
from rotary.pictures.charts import SIGNS, budget, heat, seam_chart, window_of
from rotary.pictures.scene import MarkedInk
from rotary.pictures.views import end_view, side_view, unrolled
from rotary.plan import Plan, plan
from rotary.shipped import FIRST, examples
from tests.actions.cases import plan_of

MM = Sizes("mm")


def words_of(drawn: PaperPicture) -> str:
    """All words, in the order in which they are painted."""
    return " ".join(mark.text for mark in drawn.marks if isinstance(mark, Words))


def scale_of(drawn: PaperPicture) -> float:
    """What the picture itself says of its scale."""
    found = re.search(r"([\d.]+) : ([\d.]+)", words_of(drawn))
    assert found is not None
    return float(found[1]) / float(found[2])


def lines(drawn: PaperPicture, width_mm: float) -> list[Line]:
    return [mark for mark in drawn.marks if isinstance(mark, Line) and mark.width_mm == pytest.approx(width_mm)]


@pytest.mark.parametrize("name", [name for name in examples() if name != "pommel-nut"])
def test_the_round_is_drawn_to_the_scale_that_is_told(shipped: dict[str, Plan], name: str) -> None:
    """The circle's width on paper over the item's diameter is the scale beside it."""
    made = shipped[name]
    drawn = end_view(made, MM, 120.0, 80.0)
    rings = [mark.rings_mm[0] for mark in drawn.marks if isinstance(mark, Area)]
    across = float(np.ptp(rings[0][:, 0]))
    assert across / (2 * made.layout.reference_radius_mm) == pytest.approx(scale_of(drawn), rel=0.006)


def test_the_sag_is_as_much_larger_as_is_told(shipped: dict[str, Plan]) -> None:
    """Depth of the drawn arc, over its width's scale and over the factor beside it, is the sag of the slice."""
    made = shipped[FIRST]
    drawn = end_view(made, MM, 120.0, 80.0)
    factor = re.search(r"drop drawn ([\d.e+]+) ×", words_of(drawn))
    assert factor is not None
    arc = next(line.points_mm for line in lines(drawn, 0.35) if len(line.points_mm) == 61)
    radius = made.layout.reference_radius_mm
    half = made.split.slice_width_mm / 2 / radius
    scale = float(np.ptp(arc[:, 0])) / (2 * radius * np.sin(half))
    sag = float(np.ptp(arc[:, 1])) / scale / float(factor[1])
    assert sag == pytest.approx(radius * (1 - np.cos(half)), rel=0.01)


@pytest.mark.parametrize("wide", [80.0, 160.0])
def test_the_letters_of_readings_are_explained_to_the_last(shipped: dict[str, Plan], wide: float) -> None:
    """A key that is cut off leaves the two worst outcomes without a meaning."""
    drawn = picture(shipped["boathouse-mug"], "window", wide=wide, high=60.0)
    assert SIGNS in words_of(drawn)
    assert "…" not in words_of(drawn)


@pytest.mark.parametrize("name", examples())
def test_the_side_view_has_the_items_length_and_ends(shipped: dict[str, Plan], name: str) -> None:
    """Along its axis the outline is as long as the item, at its ends as wide."""
    made = shipped[name]
    shape, drawn = fitted_shape(made.job.item), side_view(made, MM, 120.0, 80.0)
    outline = lines(drawn, 0.35)[0].points_mm
    scale, half = scale_of(drawn), len(outline) // 2
    low, high = (outline[0] + outline[2 * half - 1]) / 2, (outline[half - 1] + outline[half]) / 2
    assert np.hypot(*(high - low)) / scale == pytest.approx(shape.length_mm, rel=0.006)
    wide = np.hypot(*(outline[0] - outline[2 * half - 1])) / scale
    assert wide == pytest.approx(2 * float(shape.radius_mm(0.0)), rel=0.006)


def test_the_levelled_apex_line_is_level_on_paper(shipped: dict[str, Plan]) -> None:
    """The bottle's band is drawn at one height, and the focal plane as far over it as the plan says."""
    made = shipped[FIRST]
    drawn = side_view(made, MM, 120.0, 80.0)
    band = max((line for line in lines(drawn, 1.2)), key=lambda line: len(line.points_mm)).points_mm
    assert np.ptp(band[:, 1]) < 0.02
    plane = next(line for line in lines(drawn, 0.18) if line.dashes_mm and not np.ptp(line.points_mm[:, 1]))
    over = (plane.points_mm[0, 1] - band[0, 1]) / scale_of(drawn)
    assert over == pytest.approx(made.focus.plane_over_apex_mm, abs=0.2)


def test_the_unrolled_frame_has_the_artworks_width(shipped: dict[str, Plan]) -> None:
    """Top and bottom edge of the frame are as long on paper as on the wall, at each height."""
    made = shipped[FIRST]
    drawn = unrolled(made, MM, 120.0, 80.0)
    edges = [line.points_mm for line in lines(drawn, 0.6) if len(line.points_mm) == 121]
    long = [float(np.ptp(edge[:, 0])) / scale_of(drawn) for edge in edges]
    assert long == pytest.approx([made.layout.width_top_mm, made.layout.width_bottom_mm], rel=0.006)
    outline = next(line.points_mm for line in lines(drawn, 0.35))
    turn = 2 * np.pi * float(fitted_shape(made.job.item).radius_mm(0.0))
    assert float(np.ptp(outline[:, 0])) / scale_of(drawn) == pytest.approx(turn, rel=0.006)


def test_real_artwork_lands_in_its_frame(shipped: dict[str, Plan]) -> None:
    """A square of ink of a known share of the frame covers as much of it on the unrolled wall (true width)."""
    made = shipped[FIRST]
    half = made.job.artwork.width_mm / 4
    ink: Rings = rings_from_list([[(-half, -10.0), (half, -10.0), (half, 10.0), (-half, 10.0)]])
    drawn = unrolled(made, MM, 120.0, 80.0, ink)
    ring = next(mark for mark in drawn.marks if isinstance(mark, Area) and mark.shade < 0.5).rings_mm[0]
    scale = scale_of(drawn)
    assert float(np.ptp(ring[:, 0])) / scale == pytest.approx(2 * half, rel=0.02)
    x, y = ring[:, 0], ring[:, 1]
    area = abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2 / scale**2
    # On a cone of 3.4 degrees a height along the axis is shorter than along the wall by cos.
    assert area == pytest.approx(2 * half * 20.0, rel=0.02)


@pytest.mark.parametrize("turned", [0.0, 2 * np.pi / 3, np.pi])
@pytest.mark.parametrize("name", ["hexagon", "chuck, straight"])
def test_real_artwork_stays_on_the_unrolled_wall(name: str, turned: float) -> None:
    """Flats show their ink too, and what crosses the edge of the drawing comes in again from its other side."""
    made = plan_of(name)
    art = made.job.artwork.model_copy(update={"centre_angle_rad": turned})
    made = plan(made.job.model_copy(update={"artwork": art}), 0)
    ink: Rings = rings_from_list([[(-6.0, -4.0), (7.0, -4.0), (7.0, 4.0), (-6.0, 4.0)]])
    drawn = unrolled(made, MM, 120.0, 80.0, ink)
    rings = next(mark for mark in drawn.marks if isinstance(mark, Area) and mark.shade < 0.5).rings_mm
    outline = next(line.points_mm for line in lines(drawn, 0.35))
    assert np.concatenate(rings)[:, 0].min() >= outline[:, 0].min() - 0.01
    assert np.concatenate(rings)[:, 0].max() <= outline[:, 0].max() + 0.01
    area = sum(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2 for x, y in (ring.T for ring in rings))
    assert abs(area) / scale_of(drawn) ** 2 == pytest.approx(13.0 * 8.0, rel=0.02)


def test_the_seams_band_is_as_wide_as_the_error(shipped: dict[str, Plan]) -> None:
    """The filled band over the accepted lines' distance is the 95 % half width over what is accepted."""
    made = shipped[FIRST]
    drawn = seam_chart(made, MM, 120.0, 80.0)
    accepted = sorted(float(line.points_mm[0, 0]) for line in lines(drawn, 0.6) if len(line.points_mm) == 2)
    band = next(mark for mark in drawn.marks if isinstance(mark, Area)).rings_mm[0]
    row = made.split.seam_rows[0]
    at_foot = band[[0, -1]]
    share = float(np.ptp(at_foot[:, 0])) / (accepted[1] - accepted[0])
    assert share == pytest.approx(row.sheet_95_mm / made.job.tolerances.seam_mm, rel=1e-6)


def test_the_budgets_bars_add_up(shipped: dict[str, Plan]) -> None:
    """Widths of all bars but the last add up to the last, as their rows do, but for those too thin to print."""
    made = shipped["boathouse-mug"]
    drawn = budget(made, MM, 120.0, 80.0)
    wide = [float(np.ptp(mark.rings_mm[0][:, 0])) for mark in drawn.marks if isinstance(mark, Area)]
    assert sum(wide[:-1]) == pytest.approx(wide[-1], abs=0.2 * len(wide))


def test_the_heat_bars_rise_as_the_wall(shipped: dict[str, Plan]) -> None:
    """Bar heights over the room's 20 °C are in proportion to the rises of the passes."""
    made = shipped[FIRST]
    drawn = heat(made, MM, 120.0, 80.0)
    high = np.array([float(np.ptp(mark.rings_mm[0][:, 1])) for mark in drawn.marks if isinstance(mark, Area)])
    rises = np.array([row.wall_peak_c - 20.0 for row in made.removal.rows])
    assert high / high[0] == pytest.approx(rises / rises[0], rel=1e-9)


def test_the_windows_ring_is_the_plan(shipped: dict[str, Plan]) -> None:
    """The setting stands at its own fluence and pulses, on logarithmic axes."""
    made = shipped[FIRST]
    found = window_of(made)
    assert found is not None
    setting = made.removal.setting
    assert setting is not None
    assert found.chosen == (setting.peak_fluence_j_cm2, setting.pulses_per_place * setting.passes)
    drawn = picture(made, "window", "mm", 120.0, 80.0)
    ring = next(mark for mark in drawn.marks if isinstance(mark, Line) and mark.width_mm == pytest.approx(1.1))
    frame = next(mark for mark in drawn.marks if isinstance(mark, Line) and len(mark.points_mm) == 5).points_mm
    middle = (ring.points_mm.min(0) + ring.points_mm.max(0)) / 2
    # The fluences go from a fifth to five times the plan's: it stands in the middle.
    assert middle[0] == pytest.approx((frame[:, 0].min() + frame[:, 0].max()) / 2, abs=0.05)


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("size", [(60.0, 21.5), (91.0, 50.0), (180.0, 120.0)])
def test_every_picture_keeps_to_its_paper(shipped: dict[str, Plan], system: str, size: tuple[float, float]) -> None:
    """No mark and no word of any picture of any example reaches beyond the size asked for; all is grey."""
    for made in shipped.values():
        for drawn in pictures(MarkedInk(made), system, *size):
            assert (drawn.wide_mm, drawn.high_mm) == size
            assert drawn.says
            for mark in drawn.marks:
                if isinstance(mark, Words):
                    wide = wide_mm(printable(mark.text), mark.size_mm, mark.face)
                    left = mark.x_mm - {"start": 0.0, "middle": wide / 2, "end": wide}[mark.anchor]
                    box = (left, mark.y_mm, left + wide, mark.y_mm + 0.72 * mark.size_mm)
                else:
                    points = mark.points_mm if isinstance(mark, Line) else np.concatenate(mark.rings_mm)
                    box = (*points.min(0).tolist(), *points.max(0).tolist())
                assert box[0] >= -0.6, (drawn.title, mark)
                assert box[1] >= -0.6, (drawn.title, mark)
                assert box[2] <= size[0] + 0.6, (drawn.title, mark)
                assert box[3] <= size[1] + 0.6, (drawn.title, mark)


@pytest.mark.parametrize(
    "item",
    [
        {"measurements": [{"at": "0 mm", "across": "3 mm"}], "length": "20 mm", "solid": True, "coating": None},
        {"measurements": [{"at": "0 mm", "across": "400 mm"}], "length": "300 mm"},
        {"measurements": [{"at": "0 mm", "across": "40 mm"}, {"at": "60 mm", "across": "127 mm"}]},
    ],
)
def test_extreme_items_are_drawn(item: dict[str, object]) -> None:
    """A pin of 3 mm, a drum of 400 mm, a cone of 36 degrees: finite, in the frame, with their figures."""
    import tomllib

    data = tomllib.loads(examples()["pommel-nut"].read_text("utf-8"))
    data["item"] = {"name": "extreme", **{key: value for key, value in item.items() if value is not None}}
    data["artwork"] |= {"width": "2 mm", "height": "2 mm", "centre": "10 mm"}
    data["turning"] = {"kind": "chuck", "axis_height": "260 mm"}
    try:
        made = plan(job_from_data(data), 0)
    except Refused as refused:
        pytest.skip(f"refused: {refused}")
    for name in NAMES:
        if name == "window":
            continue
        drawn = picture(made, name, "mm", 91.0, 50.0)
        for mark in drawn.marks:
            points = (
                np.array([(mark.x_mm, mark.y_mm)])
                if isinstance(mark, Words)
                else (mark.points_mm if isinstance(mark, Line) else np.concatenate(mark.rings_mm))
            )
            assert np.isfinite(points).all()
            assert points.min() > -1.0
            assert (points < np.array([92.0, 51.0])).all()


def test_a_picture_by_itself_is_a_file_of_its_size(shipped: dict[str, Plan]) -> None:
    """As SVG in millimetres; a name with another ending is refused where the file is asked for."""
    text = picture_document(picture(shipped[FIRST], "seams"), ".svg").data.decode()
    assert 'width="120mm" height="80mm"' in text
    assert picture_document(picture(shipped[FIRST], "seams"), ".pdf").data.startswith(b"%PDF")
    with pytest.raises(Refused, match="coating"):
        picture(shipped["brass-nut"], "window")


def test_the_end_is_seen_from_where_it_says(shipped: dict[str, Plan]) -> None:
    """Angles go to the right for one who looks from the head with the rim up: then for one who looks along the item
    from its foot, front on top, too; from the rim they would go to the left. A handle to the right is drawn there."""
    made = shipped["boathouse-mug"]
    handle = made.job.item.handle
    assert handle is not None
    front, rim, right = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0])
    for angle in (1.9, -1.9):
        turned = made.job.item.model_copy(update={"handle": handle.model_copy(update={"angle_rad": angle})})
        art = made.job.artwork.model_copy(update={"centre_angle_rad": 0.0})
        there = made.model_copy(update={"job": made.job.model_copy(update={"item": turned, "artwork": art})})
        drawn = end_view(there, MM, 120.0, 80.0)
        areas = [mark.rings_mm[0] for mark in drawn.marks if isinstance(mark, Area)]
        aside = float(areas[1][:, 0].mean() - areas[0][:, 0].mean())
        place = np.sin(angle) * right + np.cos(angle) * front
        says = words_of(drawn)
        looks = rim if "seen from the base" in says else -rim
        assert np.sign(aside) == np.sign(place @ np.cross(looks, front))
