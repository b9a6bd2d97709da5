"""The item as lines, which papers and the screen paint: to scale, and whole wherever the artwork lies."""

from itertools import pairwise
from math import pi

import pytest

from rotary.actions.build import actions_of
from rotary.actions.by_hand import lens_away, settable
from rotary.job import job_from_file
from rotary.plan import Plan, plan
from rotary.scenes import apex_and_lens_mm, end_scene, side_scene, unrolled_scene
from rotary.shipped import FIRST, examples


def length_mm(points: tuple[tuple[float, float], ...]) -> float:
    return sum(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 for (x0, y0), (x1, y1) in pairwise(points))


@pytest.mark.parametrize("turned", [0.0, 2.0, pi, -2.5])
def test_the_frame_is_whole_wherever_it_lies(shipped: dict[str, Plan], turned: float) -> None:
    """Over the back it is parted at the edge of the wall, no line runs across, its parts are as long together."""
    made = shipped[FIRST]
    job = made.job.with_artwork(centre_angle_rad=turned)
    scene = unrolled_scene(made.model_copy(update={"job": job}))
    level = [one.points for one in scene.strokes if one.role == "artwork" and len({y for _, y in one.points}) == 1]
    wide = made.layout.width_top_mm + made.layout.width_bottom_mm
    # Of two edges at most one piece of 120 lies over the edge of the wall and is not drawn.
    assert sum(map(length_mm, level)) == pytest.approx(wide, rel=0.02)
    assert all(scene.left <= x <= scene.right for points in level for x, _ in points)


@pytest.mark.parametrize("name", examples())
def test_nothing_of_a_scene_lies_outside_its_room(shipped: dict[str, Plan], name: str) -> None:
    """What is painted has room: handle, rollers, bed and focus with it."""
    for scene in (end_scene(shipped[name]), side_scene(shipped[name]), unrolled_scene(shipped[name])):
        for stroke in scene.strokes:
            for x, y in stroke.points:
                assert scene.left - 1e-6 <= x <= scene.right + 1e-6, stroke.role
                assert scene.bottom - 1e-6 <= y <= scene.top + 1e-6, stroke.role


@pytest.mark.parametrize("name", examples())
def test_heights_are_those_that_are_set_by_hand(shipped: dict[str, Plan], name: str) -> None:
    """Rounded once: the focal plane is as far over the rounded apex as the lens is moved, and within what is set."""
    made = shipped[name]
    apex, lens = apex_and_lens_mm(made)
    assert (apex, lens) == (
        settable(made.apex_at_middle_mm),
        lens_away(made.focus.focal_plane_mm - made.apex_at_middle_mm),
    )


def test_a_label_on_a_taper_in_a_chuck_is_met_at_its_own_middle() -> None:
    """Its middle is not half way between its ends, and the apex climbs: the picture says what the hand sets."""
    cup, ferrule = (job_from_file(examples()[name]) for name in ("heron-cup", "oar-ferrule"))
    wide = cup.artwork.model_copy(
        update={"width_mm": 150.0, "height_mm": 40.0, "centre_mm": 55.0, "surface_map": "label", "pieces": ()}
    )
    made = plan(cup.model_copy(update={"artwork": wide, "turning": ferrule.turning}), draws=0)
    apex, lens = apex_and_lens_mm(made)
    assert apex == actions_of(made).rows["focus"].apex_over_bed
    assert lens == lens_away(made.focus.focal_plane_mm - made.apex_at_middle_mm)
    assert abs(made.apex_at_middle_mm - made.focus.apex_height_mm) > 0.1


def test_a_handle_beside_the_artwork_has_room_above(shipped: dict[str, Plan]) -> None:
    """Turned up beside the artwork a handle stands higher than the wall."""
    mug = shipped["boathouse-mug"]
    assert mug.job.item.handle is not None
    handle = mug.job.item.handle.model_copy(update={"angle_rad": 1.0, "reach_mm": 60.0})
    item = mug.job.item.model_copy(update={"handle": handle})
    scene = end_scene(mug.model_copy(update={"job": mug.job.model_copy(update={"item": item})}))
    assert max(y for stroke in scene.strokes for _, y in stroke.points) <= scene.top
