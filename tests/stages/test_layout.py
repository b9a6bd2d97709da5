"""The layout: how artwork of a given size lands on an item, and where it may not go."""

from math import asin, atan, degrees, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.artwork.layout import Artwork, Layout, layout
from rotary.errors import Fault, Refused
from rotary.formulas import maps
from rotary.item import Handle, Item, Measurement, WeldLine, fitted_shape
from rotary.sentences.artwork import notes


def item(*pairs: tuple[float, float], **more: object) -> Item:
    wall = tuple(Measurement(at_mm=at, across_mm=d) for at, d in pairs)
    return Item.model_validate({"name": "Regatta bottle", "measurements": wall} | more)


BOTTLE = item((0, 88), (150, 70))
MUG = item((0, 80), (100, 80))
FLASK = item((0, 70), (30, 80), (60, 85), (100, 80), (140, 60))
NUT = Item(name="Pommel nut", flats=6, across_flats_mm=16, length_mm=20, solid=True)


def laid(what: Item, width: float, height: float, centre: float, **more: object) -> Layout:
    sizes = {"width_mm": width, "height_mm": height, "centre_mm": centre}
    return layout(Artwork.model_validate(sizes | more), what, fitted_shape(what))


def faults(what: Item, width: float, height: float, centre: float, **more: object) -> dict[str, str]:
    with pytest.raises(Refused) as refused:
        laid(what, width, height, centre, **more)
    return {fault.where: fault.says for fault in refused.value.faults}


def test_on_a_straight_mug_every_map_but_the_front_view_is_plain() -> None:
    """Radius 40: 80 mm wide is 2 rad at every height, nothing stretched, nothing to correct."""
    for name in ("true-width", "with-taper", "label"):
        found = laid(MUG, 80, 60, 50, surface_map=name)
        assert (found.artwork_from_mm, found.artwork_to_mm) == pytest.approx((20, 80))
        assert found.total_angle_rad == pytest.approx(2)
        assert found.gap_mm == pytest.approx(80 * pi - 80)
        assert (found.stretch_max, found.stretch_min) == pytest.approx((1, 1))
        for row in found.rows:
            assert (row.width_on_wall_mm, row.correction, row.plain_correction) == pytest.approx((80, 1, 1))
            assert row.angular_distortion_rad == pytest.approx(0, abs=1e-12)


def test_the_bottles_band_follows_its_slanting_wall() -> None:
    """60 mm along the wall is 60 cos(3.43°) of height; seven rows run from top to bottom."""
    found = laid(BOTTLE, 80, 60, 75)
    climb = 30 / np.hypot(1, 0.06)
    assert (found.artwork_from_mm, found.artwork_to_mm) == pytest.approx((75 - climb, 75 + climb))
    assert len(found.rows) == 7
    assert found.rows[0].s_mm == found.artwork_to_mm
    assert found.rows[3].radius_mm == pytest.approx(39.5)
    assert found.reference_radius_mm == pytest.approx(39.5)


def test_plain_artwork_is_corrected_by_reference_radius_over_radius() -> None:
    """Wrapped by angle, artwork comes out too narrow where the bottle is thin: r_ref/r makes it true there."""
    by_angle = laid(BOTTLE, 80, 60, 75, surface_map="with-taper")
    true = laid(BOTTLE, 80, 60, 75, surface_map="true-width")
    for row in by_angle.rows:
        assert row.correction == pytest.approx(39.5 / row.radius_mm)
        assert row.width_on_wall_mm * row.correction == pytest.approx(80)
        assert row.plain_correction == pytest.approx(1)
    for row in true.rows:
        assert row.correction == pytest.approx(1)
        assert row.plain_correction == pytest.approx(39.5 / row.radius_mm)


def test_corrected_front_view_artwork_is_true_on_the_wall() -> None:
    """Narrowed by its correction, a front view covers as much wall as it was to be wide."""
    for row in laid(BOTTLE, 60, 40, 75, surface_map="front-view").rows:
        assert 2 * row.radius_mm * asin(60 * row.correction / 2 / row.radius_mm) == pytest.approx(60)
        assert row.width_on_wall_mm == pytest.approx(2 * row.radius_mm * asin(30 / row.radius_mm))


def test_the_band_of_a_decal_takes_in_its_drooping_corners() -> None:
    """On a wall that narrows to the rim the lower corners hang below the lower edge's middle."""
    found = laid(BOTTLE, 80, 60, 75, surface_map="label")
    corners = maps.decal(fitted_shape(BOTTLE).curve, 75, 40, [-30, 30])
    assert found.artwork_from_mm == pytest.approx(float(corners.s_mm[0]))
    assert found.total_angle_rad == pytest.approx(2 * float(corners.angle_rad.max()))
    assert (found.stretch_max, found.stretch_min) == pytest.approx((1, 1))
    assert any("bow" in note for note in notes(found))


@pytest.mark.parametrize("name", maps.MAPS)
def test_rows_agree_with_the_map_itself(name: str) -> None:
    """Each row's width is the length of its edge-to-edge curve on the wall, measured by small steps."""
    found = laid(BOTTLE, 60, 40, 75, surface_map=name)
    u = np.linspace(-30, 30, 4001)
    for row, v in zip(found.rows, np.linspace(20, -20, 7), strict=True):
        s, angle = maps.MAPS[name][0](fitted_shape(BOTTLE).curve, 75, u, v)
        r = fitted_shape(BOTTLE).radius_mm(s)
        points = np.stack([r * np.cos(angle), r * np.sin(angle), s + 0 * u])
        assert row.width_on_wall_mm == pytest.approx(np.linalg.norm(np.diff(points), axis=0).sum(), rel=1e-6)
        assert row.angle_rad == pytest.approx(np.ptp(angle))


def test_the_share_seen_from_the_front_is_that_within_sixty_degrees() -> None:
    """Half a turn is seen by two thirds; what spans 120° is seen whole."""
    assert laid(MUG, 40 * pi, 20, 50).visible_share == pytest.approx(2 / 3)
    assert laid(MUG, 40 * 2 * pi / 3, 20, 50).visible_share == pytest.approx(1)
    assert laid(MUG, 60, 20, 50, surface_map="front-view").visible_share == pytest.approx(1)
    wide = laid(MUG, 79, 20, 50, surface_map="front-view")
    assert wide.visible_share == pytest.approx(80 * sin(radians(60)) / 79)


def test_the_share_seen_is_what_counting_finds() -> None:
    """A grid of places over a decal, counted within 60°, gives the same share."""
    found = laid(BOTTLE, 150, 60, 75, surface_map="label")
    _, angle = maps.decal(
        fitted_shape(BOTTLE).curve, 75, np.linspace(-75, 75, 2001), np.linspace(-30, 30, 201)[:, None]
    )
    assert found.visible_share == pytest.approx((np.abs(angle) <= radians(60)).mean(), abs=2e-3)


def test_heights_from_the_rim_come_back_from_the_rim() -> None:
    """The rim's datum changes what is written and shown, not what is marked."""
    turned = item((0, 70), (150, 88), heights_from="rim")
    ours, theirs = laid(BOTTLE, 80, 60, 60), laid(turned, 80, 60, 90)
    assert ours.artwork_from_mm == pytest.approx(theirs.artwork_from_mm)
    assert [r.radius_mm for r in ours.rows] == pytest.approx([r.radius_mm for r in theirs.rows])
    assert [r.from_end_mm for r in theirs.rows] == pytest.approx([150 - r.s_mm for r in ours.rows])


def test_a_full_wrap_closes_or_says_by_how_much_it_misses() -> None:
    """On a mug of 251.33 mm round, artwork 250 mm wide leaves 1.33 mm; with 252 mm it overlaps."""
    exact = laid(MUG, 80 * pi, 60, 50, full_wrap=True)
    assert exact.total_angle_rad == 2 * pi
    assert exact.gap_mm == pytest.approx(0, abs=1e-9)
    assert not any("All round" in note for note in notes(exact))
    short = laid(MUG, 250, 60, 50, full_wrap=True)
    assert short.gap_mm == pytest.approx(80 * pi - 250)
    assert any("two ends stay 1.33 mm apart." in note for note in notes(short))
    assert laid(MUG, 252, 60, 50, full_wrap=True).gap_mm == pytest.approx(80 * pi - 252)


def test_a_full_wrap_on_a_taper_closes_with_taper_only() -> None:
    """True widths leave a wedge: overlap where the bottle is thin, a gap where it is wide."""
    turn = 2 * pi * 39.5
    closed = laid(BOTTLE, turn, 60, 75, full_wrap=True, surface_map="with-taper")
    assert [row.gap_mm for row in closed.rows] == pytest.approx([0] * 7, abs=1e-9)
    wedge = laid(BOTTLE, turn, 60, 75, full_wrap=True)
    assert wedge.rows[0].gap_mm == pytest.approx(2 * pi * (wedge.rows[0].radius_mm - 39.5))
    assert wedge.rows[0].gap_mm < 0 < wedge.rows[-1].gap_mm
    assert any("overlap by" in note and 'Choose "with the taper"' in note for note in notes(wedge))


@pytest.mark.parametrize("half_angle", [-40, 40])
@pytest.mark.parametrize("name", maps.MAPS)
def test_a_cone_of_forty_degrees_takes_all_maps(name: str, half_angle: int) -> None:
    """On a steep cone all figures stay finite and the bounds of distortion enclose one."""
    cone = item((0, 150), (60, 150 + 120 * tan(radians(half_angle))))
    found = laid(cone, 20, 20, 30, surface_map=name)
    assert found.stretch_min <= 1 + 1e-9
    assert found.stretch_max >= 1 - 1e-9
    assert np.isfinite([list(row.model_dump().values()) for row in found.rows]).all()


@pytest.mark.parametrize(("diameter", "width"), [(3.0, 4.0), (400.0, 1000.0)])
def test_a_pin_and_a_drum_can_be_marked(diameter: float, width: float) -> None:
    """From a 3 mm pin to a 400 mm drum the angle is width over radius."""
    found = laid(item((0, diameter), (300, diameter), solid=True), width, 10, 150)
    assert found.total_angle_rad == pytest.approx(2 * width / diameter)


HANDLE = Handle(angle_rad=pi, width_rad=radians(30), reach_mm=35, from_mm=20, to_mm=80)


def test_artwork_goes_beside_the_handle_or_is_told_how_wide_it_may_be() -> None:
    """330° of the mug are free: 230.38 mm; opposite the handle that just fits, a hair more does not."""
    mug = item((0, 80), (100, 80), handle=HANDLE)
    free = radians(330) * 40
    assert laid(mug, free, 40, 50).total_angle_rad == pytest.approx(radians(330))
    assert "at most 230.3 mm wide" in faults(mug, free + 0.01, 40, 50)["artwork.width"]
    says = faults(mug, 80, 40, 50, centre_angle_rad=radians(150))["artwork.centre_angle"]
    assert "opposite, at 0 deg" in says
    assert "at most 20.94 mm wide" in says  # 2 x (30° - 15°) of 40 mm
    assert laid(mug, 20.94, 40, 50, centre_angle_rad=radians(150)).total_angle_rad > 0
    assert laid(mug, 240, 10, 90).total_angle_rad == pytest.approx(6)  # above the handle all is free
    assert "artwork.width" in faults(mug, 80 * pi, 40, 50, full_wrap=True)


def test_a_weld_line_in_the_artwork_is_noted_not_refused() -> None:
    """The note says where the line runs, and goes when the artwork is turned away."""
    welded = item((0, 80), (100, 80), weld_line=WeldLine(angle_rad=radians(-20), width_mm=3))
    assert any("14 mm to the left" in note for note in notes(laid(welded, 80, 40, 50)))
    assert not any("weld" in note for note in notes(laid(welded, 80, 40, 50, centre_angle_rad=pi / 2)))
    across = item((0, 80), (100, 80), weld_line=WeldLine(angle_rad=radians(170), width_mm=3))
    assert any("weld" in note for note in notes(laid(across, 80, 40, 50, centre_angle_rad=radians(-170))))


def test_artwork_on_a_nut_lies_on_one_flat() -> None:
    """A 16 mm hexagon has flats of 9.24 mm: nothing is bent, and sixths of a turn are allowed."""
    found = laid(NUT, 9, 12, 10, centre_angle_rad=2 * pi / 6)
    assert (found.stretch_max, found.stretch_min, found.visible_share) == (1, 1, 1)
    assert found.total_angle_rad == pytest.approx(2 * atan(9 / 16))
    assert found.gap_mm == pytest.approx(16 * tan(pi / 6) - 9)
    assert any("60°" in note for note in notes(found))
    assert "at most 9.237 mm wide" in faults(NUT, 9.3, 12, 10)["artwork.width"]
    assert "60 deg" in faults(NUT, 9, 12, 10, centre_angle_rad=0.3)["artwork.centre_angle"]
    assert "artwork.full_wrap" in faults(NUT, 9, 12, 10, full_wrap=True)


@pytest.mark.parametrize(
    ("what", "size", "more", "where", "says"),
    [
        (BOTTLE, (80, 60, 130), {}, "artwork.centre", "past the rim: put its middle between 29.95 and 120.05 mm"),
        (BOTTLE, (80, 60, 20), {}, "artwork.centre", "past the base"),
        (BOTTLE, (80, 160, 75), {}, "artwork.height", "at most 150.2 mm high"),
        (BOTTLE, (80, 149, 75), {"surface_map": "label"}, "artwork.centre", "corners"),
        (MUG, (252, 60, 50), {}, "artwork.width", "at most 251.3 mm wide"),
        (BOTTLE, (240, 60, 75), {}, "artwork.width", "at most 236.8 mm wide"),
        (BOTTLE, (240, 60, 75), {"surface_map": "label"}, "artwork.width", "more than once round"),
        (MUG, (200, 60, 50), {"full_wrap": True}, "artwork.width", "but once round the item is"),
        (MUG, (80, 60, 50), {"surface_map": "front-view"}, "artwork.width", "79.6 mm at most"),
        (MUG, (80, 60, 50), {"surface_map": "front-view", "full_wrap": True}, "artwork.surface_map", "all round"),
        (FLASK, (80, 60, 70), {"surface_map": "label"}, "artwork.surface_map", "straight or evenly tapered wall"),
    ],
)
def test_artwork_that_has_no_room_is_refused(
    what: Item, size: tuple[float, float, float], more: dict[str, object], where: str, says: str
) -> None:
    """The fault names the field and how far it may go."""
    assert says in faults(what, *size, **more)[where]


@pytest.mark.parametrize("name", ["true-width", "with-taper", "label"])
@given(centre=st.floats(65.0, 119.0), width=st.floats(200.0, 400.0))
def test_the_width_that_is_told_is_one_that_fits(name: str, centre: float, width: float) -> None:
    """Whoever writes the width that the refusal names is not refused again for it."""
    _, told = answered(BOTTLE, width, 50, centre, surface_map=name)
    for fault in told:
        if fault.where != "artwork.width":
            continue  # the corners of a very wide decal
        advised = float(fault.says.rsplit("at most ", 1)[1].split(" mm")[0])
        assert answered(BOTTLE, advised, 50, centre, surface_map=name)[1] == ()
        assert answered(BOTTLE, advised * 1.002, 50, centre, surface_map=name)[1] != ()


def answered(what: Item, *size: float, **more: object) -> tuple[Layout | None, tuple[Fault, ...]]:
    try:
        return laid(what, *size, **more), ()
    except Refused as refused:
        return None, refused.faults


lengths = st.floats(1e-7, 1e5)


@given(
    what=st.sampled_from([BOTTLE, MUG, FLASK, NUT, item((0, 80), (100, 80), handle=HANDLE)]),
    size=st.tuples(lengths, lengths, st.floats(-1e5, 1e5)) | st.tuples(*[st.floats(1, 250)] * 3),
    name=st.sampled_from(list(maps.MAPS)),
    full_wrap=st.booleans(),
    angle=st.floats(-1e4, 1e4),
)
def test_any_artwork_gives_a_finite_layout_or_a_refusal(
    what: Item, size: tuple[float, float, float], name: str, full_wrap: bool, angle: float
) -> None:
    """Whatever sizes are typed, the artwork lies on the item with finite figures, or a sentence says why not."""
    found, told = answered(what, *size, surface_map=name, full_wrap=full_wrap, centre_angle_rad=angle)
    assert all(fault.where.startswith("artwork.") and len(fault.says) > 20 for fault in told)
    if found is None:
        assert told
        return
    assert 0 <= found.artwork_from_mm <= found.artwork_to_mm <= fitted_shape(what).length_mm
    assert 0 < found.total_angle_rad <= 2 * pi
    assert 0 < found.visible_share <= 1
    assert degrees(max(row.angular_distortion_rad for row in found.rows)) <= 180
