"""Pieces on an item: size, place, turn, mirror, invert, repeat, and zones that must stay free."""

from math import pi

import pytest
import shapely  # type: ignore[import-untyped, unused-ignore]
from hypothesis import given
from hypothesis import strategies as st

from rotary.artwork.compose import ComposedPiece, Placing, Zone, composed, place
from rotary.artwork.drawing import Drawing
from rotary.artwork.rings import area_mm2, bounds_mm, rings_from_list
from rotary.errors import Refused

# A flag: a pole and a pennant to the right of its top.
FLAG = Drawing("flag", rings_from_list([[(0, 0), (1, 0), (1, 6), (5, 8), (1, 10), (0, 10)]]), 5.0, 10.0, True)
UNSIZED = FLAG._replace(name="sketch", size_stated=False)


def placed(**fields: object) -> tuple[float, float, float, float]:
    return bounds_mm(place(FLAG, Placing.model_validate(fields)))


def test_a_piece_keeps_its_size_and_lies_about_its_middle() -> None:
    """Without a wanted size the drawing's own one holds."""
    assert placed() == pytest.approx((-2.5, -5, 2.5, 5))
    assert placed(u_mm=10.0, v_mm=7.0) == pytest.approx((7.5, 2, 12.5, 12))


def test_one_size_keeps_proportions_and_two_stretch() -> None:
    """Width or height alone scales both ways alike."""
    assert placed(width_mm=10.0) == pytest.approx((-5, -10, 5, 10))
    assert placed(height_mm=5.0) == pytest.approx((-1.25, -2.5, 1.25, 2.5))
    assert placed(width_mm=10.0, height_mm=5.0) == pytest.approx((-5, -2.5, 5, 2.5))


def test_units_are_read_at_the_border() -> None:
    """Text with units enters as everywhere else."""
    assert placed(width="1 in", u="2 cm", rotation="90 deg") == pytest.approx((20 - 25.4, -12.7, 20 + 25.4, 12.7))


def test_mirroring_turns_left_and_right() -> None:
    """The pennant of a mirrored flag flies to the left, and rings keep ink to their left."""
    plain, mirrored = place(FLAG, Placing()), place(FLAG, Placing(mirror=True))
    top = [ink.points_mm[ink.points_mm[:, 1] == 3.0] for ink in (plain, mirrored)]
    assert top[0][:, 0].max() == pytest.approx(2.5)
    assert top[1][:, 0].min() == pytest.approx(-2.5)
    assert area_mm2(mirrored) == pytest.approx(area_mm2(plain))


def test_turning_is_anticlockwise() -> None:
    """A quarter turn brings the pole's foot, which is below, to the right."""
    turned = place(FLAG, Placing(rotation_rad=pi / 2))
    assert bounds_mm(turned) == pytest.approx((-5, -2.5, 5, 2.5))
    right = turned.points_mm[turned.points_mm[:, 0] > 4.9]
    assert right[:, 1].max() < 0


@given(margin=st.floats(0, 20), width=st.floats(0.5, 50))
def test_an_inverted_piece_and_the_piece_fill_their_box(margin: float, width: float) -> None:
    """What is marked and what is left add up to the box with its margin, to a nanometre along its border."""
    plain = area_mm2(place(FLAG, Placing(width_mm=width)))
    inverted = area_mm2(place(FLAG, Placing(width_mm=width, invert=True, margin_mm=margin)))
    box = (width + 2 * margin) * (2 * width + 2 * margin)
    assert plain + inverted == pytest.approx(box, abs=1e-5 * (width + margin))


def test_a_dark_box_inverted_has_nothing_to_mark() -> None:
    """Without a margin nothing light is left; that is said, and with a margin its frame is marked."""
    box = Drawing("box", rings_from_list([[(0, 0), (3, 0), (3, 1), (0, 1)]]), 3, 1, True)
    with pytest.raises(Refused, match="enter a margin"):
        composed([ComposedPiece(box, Placing(width_mm=6.0, invert=True))], 200.0)
    framed = composed([ComposedPiece(box, Placing(width_mm=6.0, invert=True, margin_mm=1.0))], 200.0)
    assert area_mm2(framed.ink) == pytest.approx(8 * 4 - 6 * 2)


@pytest.mark.parametrize("times", [2, 3, 7])
def test_repeats_stand_evenly_round_the_turn(times: int) -> None:
    """n pieces lie one nth of a turn apart."""
    made = composed([ComposedPiece(FLAG, Placing(repeat=times))], turn_mm=70.0)
    assert area_mm2(made.ink) == pytest.approx(times * area_mm2(FLAG.ink))
    left, _, right, _ = bounds_mm(made.ink)
    assert right - left == pytest.approx(bounds_mm(FLAG.ink)[2] - bounds_mm(FLAG.ink)[0] + 70 * (times - 1) / times)
    assert left >= -35 - 2.5
    assert right <= 35 + 2.5
    assert not made.notes


def test_pieces_on_each_other_become_one_and_it_is_said() -> None:
    """Shared ink is marked once."""
    made = composed([ComposedPiece(FLAG, Placing()), ComposedPiece(FLAG, Placing(u_mm=0.5))], turn_mm=200.0)
    assert area_mm2(made.ink) < 2 * area_mm2(FLAG.ink)
    assert len(made.notes) == 1


def test_pieces_that_meet_over_the_end_of_the_turn_are_said() -> None:
    """Ink at u and at u plus a turn is the same place."""
    made = composed([ComposedPiece(FLAG, Placing(u_mm=0.0)), ComposedPiece(FLAG, Placing(u_mm=99.0))], turn_mm=100.0)
    assert "reach more than once round the item, so" in made.notes[0]
    apart = composed([ComposedPiece(FLAG, Placing(u_mm=0.0)), ComposedPiece(FLAG, Placing(u_mm=94.0))], turn_mm=100.0)
    assert not apart.notes


@pytest.mark.parametrize("turns", [0, 1, -2])
def test_ink_in_a_no_mark_zone_is_reported_on_any_turn(turns: int) -> None:
    """A zone holds wherever the wall comes round to it; the overlap's area is told."""
    turned = [shapely.box(-2.5 + 80.0 * k, -100.0, -1.5 + 80.0 * k, 100.0) for k in (-2, -1, 0, 1)]
    zone = Zone("handle", shapely.union_all(turned))
    made = composed([ComposedPiece(FLAG, Placing(u_mm=turns * 80.0))], 80.0, [zone])
    assert made.overlaps[0].zone == "handle"
    assert made.overlaps[0].area_mm2 == pytest.approx(10.0)
    side = "right" if turns > 0 else "left"
    assert f"{abs(turns * 80.0 - 2):.1f} mm {side} of the artwork's middle" in str(made.overlaps[0])


def test_a_free_zone_is_not_reported() -> None:
    """Touching is not overlapping."""
    zone = Zone("weld line", shapely.box(2.5, -100.0, 5.0, 100.0))
    assert composed([ComposedPiece(FLAG, Placing())], 80.0, [zone]).overlaps == ()


def test_all_faults_are_told_at_once() -> None:
    """No size, too wide for the turn, too many repeats: three pieces, three sentences with their fields."""
    pieces = [
        ComposedPiece(UNSIZED, Placing()),
        ComposedPiece(FLAG, Placing(width_mm=120.0)),
        ComposedPiece(FLAG, Placing(width_mm=20.0, repeat=6)),
    ]
    with pytest.raises(Refused) as refused:
        composed(pieces, turn_mm=100.0)
    assert [fault.where for fault in refused.value.faults] == [
        "artwork.pieces.0.width",
        "artwork.pieces.1.width",
        "artwork.pieces.2.repeat",
    ]
    assert "repeat the piece at most 5 times" in refused.value.faults[2].says
    with pytest.raises(Refused):
        composed([], turn_mm=100.0)


def test_a_girth_typed_to_four_decimals_goes_all_round() -> None:
    """60 mm across is 188.49556 mm round: 188.4956 mm is that, 188.5 mm is more, as for the frame of the artwork."""
    turn_mm = 60.0 * pi
    for piece in (Placing(width_mm=188.4956), Placing(width_mm=188.4956 / 4, repeat=4)):
        assert area_mm2(composed([ComposedPiece(FLAG, piece)], turn_mm=turn_mm).ink) > 0
    with pytest.raises(Refused, match="mm round: make it narrower"):
        composed([ComposedPiece(FLAG, Placing(width_mm=188.5))], turn_mm=turn_mm)


def test_a_drawing_without_a_size_is_placed_once_it_is_given_one() -> None:
    """The wanted width is all that is missing."""
    assert bounds_mm(place(UNSIZED, Placing(width_mm=50.0))) == pytest.approx((-25, -50, 25, 50))
