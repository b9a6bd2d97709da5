"""What lies under what can be seen through, told and asked for: tones near the border, and the border itself."""

import numpy as np
import pytest
import shapely

from rotary.artwork.drawing import DrawingReading
from rotary.artwork.overlay import inner_points, joined_faces
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.cli.jobs import Pieces
from rotary.errors import Refused
from tests.artwork.hostile import HEAD

GREY = '<rect width="50" height="100" fill="#999"/><rect x="90" width="5" height="10"/>'


def drawing(body: str, dark_below: float = 0.5) -> tuple[float, list[str]]:
    read = read_artwork(f"{HEAD}{body}</svg>".encode(), DrawingReading(dark_below=dark_below))
    return area_mm2(read.ink), [one.what for one in read.unread]


def test_the_border_of_dark_and_light_can_be_moved() -> None:
    """A grey of 60 % is light as it comes, and ink where so much is asked for."""
    assert drawing(GREY)[0] == pytest.approx(50)
    assert drawing(GREY, 0.62)[0] == pytest.approx(5050)
    with pytest.raises(Refused, match=r'or enter more than 50 % .* for "dark below"'):
        drawing('<rect width="50" height="100" fill="#ccc"/>')
    assert drawing('<rect width="50" height="100" fill="#ccc"/>', 0.85)[0] == pytest.approx(5000)


@pytest.mark.parametrize(("opacity", "ink", "told"), [(0.3, 50, False), (0.47, 50, True), (0.53, 5050, True)])
def test_a_tone_near_the_border_is_told(opacity: float, ink: float, told: bool) -> None:
    """Black that lets half of the page through may come out either way: that is said; what is far from it is not."""
    area, unread = drawing(f'<rect width="50" height="100" opacity="{opacity}"/><rect x="90" width="5" height="10"/>')
    assert area == pytest.approx(ink)
    assert unread == (["mid grey"] if told else [])


@pytest.mark.parametrize(("colour", "told"), [("gray", True), ("#7f7f7f", True), ("#999", False), ("#666", False)])
def test_the_middle_grey_is_told(colour: str, told: bool) -> None:
    """The grey that most programs offer lies just above the border: a shape filled with it vanishes, which is said."""
    _, unread = drawing(f'<rect width="50" height="100" fill="{colour}"/><rect x="90" width="5" height="10"/>')
    assert unread == (["mid grey"] if told else [])


def test_a_face_is_judged_by_a_point_well_inside(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the library's inner point lies on the border, as with corners at nearly one height, another is taken."""
    face = shapely.Polygon([(0, 0), (4, 0), (4, 3), (0, 3)])
    monkeypatch.setattr(shapely, "point_on_surface", lambda faces: shapely.points([(4.0, 1.5)] * len(faces)))
    (point,) = inner_points(np.array([face]))
    assert face.exterior.distance(point) == pytest.approx(1.5, rel=0.01)


def test_faces_that_share_no_border_to_the_last_digit_are_joined_all_the_same() -> None:
    """What of two faces overlaps by rounding is one area, without a seam."""
    faces = np.array([shapely.box(0, 0, 2, 2), shapely.box(2 - 1e-7, 0, 4, 2)])
    assert joined_faces(faces).area == pytest.approx(8, abs=1e-6)
    assert len(shapely.get_parts(joined_faces(faces))) == 1


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ('<text y="50">a\u4e00</text>', 'the letter "\u4e00", which no font on this computer has'),
        ("<flowRoot><flowPara>Heron</flowPara></flowRoot>", "a text set in a frame"),
        ('<text style="inline-size:40px" y="9">Heron</text>', "a text set in a frame"),
        ('<text style="shape-inside:url(#r)" y="9">Heron</text>', "a text set in a frame"),
        ('<text><textPath href="#none">Heron</textPath></text>', "a text on a path that is not in the file"),
        (
            '<path id="p" d="M0 50h9"/><text font-size="9"><textPath href="#p">Heron</textPath></text>',
            "4 letters past the ends of their path",
        ),
    ],
)
def test_no_letter_is_dropped_in_silence(body: str, says: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A letter that can't be drawn where it belongs ends the reading with what to do."""
    monkeypatch.setattr("rotary.artwork.fonts.font_folders", lambda: ())
    monkeypatch.setattr("rotary.artwork.fonts.system_families", dict)
    with pytest.raises(Refused, match=says):
        drawing(body)


@pytest.mark.parametrize(
    "asks",
    ['writing-mode="tb"', 'style="text-decoration:underline solid"', 'textLength="90"', 'dominant-baseline="middle"'],
)
def test_what_a_text_does_not_get_is_told(asks: str) -> None:
    """A text that is set otherwise than it asks for says so, and one that asks for what it gets says nothing."""
    name = asks.removeprefix('style="').split("=")[0].split(":")[0]
    assert drawing(f'<text y="50" font-size="20" {asks}>Heron</text>')[1] == [f"text with {name}"]
    assert drawing('<text y="50" font-size="20" style="writing-mode:lr-tb;text-decoration:none">Heron</text>')[1] == []


def test_the_help_says_which_way_the_limit_goes() -> None:
    """Black is marked below the lowest limit, and white below none: 0 % is black, 100 % white, as the help has it."""
    assert "darker than this: 0 % is black, 100 % is white" in str(Pieces.__doc__)
    black, white = (f'<rect width="50" height="100" fill="{colour}"/>' for colour in ("#000", "#fff"))
    assert drawing(black, 0.01)[0] == pytest.approx(5000)
    with pytest.raises(Refused, match="nothing dark enough to mark"):
        drawing(white, 0.99)
