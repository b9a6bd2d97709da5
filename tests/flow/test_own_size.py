"""How large artwork is drawn and how large it is marked, said first wherever it is placed."""

import json
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from PIL import Image

from rotary.artwork.models import Artwork, PieceSize, size_texts
from rotary.artwork.pieces import ink_of
from rotary.cli import main
from rotary.plan import Plan
from tests.sheet.test_sheet import planned
from tui.background.process import done
from tui.background.tasks import Errand
from tui.drawings.canvas import plain
from tui.drawings.file_list import preview_lines
from tui.drawings.panel_content import Content

PAGE = """<svg xmlns="http://www.w3.org/2000/svg" width="{}" height="{}" viewBox="0 0 80 60">
<path d="M5 5h20v10h-20z"/></svg>"""
JOB = """
use_laser = "fibre-60w-254"
[item]
name = "straight cup (invented)"
measurements = [ { at = "0 mm", across = "120 mm" }, { at = "100 mm", across = "120 mm" } ]
[turning]
kind = "chuck"
axis_height = "90 mm"
[artwork]
width = "80 mm"
height = "60 mm"
centre = "50 mm"
pieces = [ { file = "small.svg" } ]
"""
FOUR = "Drawn 20 × 10 mm, marked 80 × 40 mm on the item (4 times as large as drawn)."
FOUR_IN = "Drawn 0.7874 × 0.3937 in, marked 3.15 × 1.575 in on the item (4 times as large as drawn)."


def squares(path: Path, units: int, side: float) -> None:
    document = ezdxf.new(units=units)
    document.header["$INSUNITS"] = units
    document.modelspace().add_lwpolyline([(0, 0), (side, 0), (side, side), (0, side)], close=True)
    document.saveas(path)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "small.svg").write_text(PAGE.format("100mm", "60mm").replace("0 0 80", "0 0 100"), "utf-8")
    (tmp_path / "fits.svg").write_text(PAGE.format("80mm", "60mm"), "utf-8")
    (tmp_path / "inch.svg").write_text(PAGE.format("8in", "6in"), "utf-8")
    (tmp_path / "pixels.svg").write_text(PAGE.format("80", "60"), "utf-8")
    squares(tmp_path / "mm.dxf", 4, 3.0)
    squares(tmp_path / "inch.dxf", 1, 3.0)
    squares(tmp_path / "unitless.dxf", 0, 3.0)
    (tmp_path / "job.toml").write_text(JOB, "utf-8")
    grey = Image.new("L", (200, 100), 255)
    grey.paste(0, (20, 20, 120, 70))
    grey.save(tmp_path / "bare.png")
    grey.save(tmp_path / "dots.png", dpi=(254, 254))
    grey.save(tmp_path / "uneven.jpg", dpi=(254, 508))
    grey.save(tmp_path / "dots.tif", dpi=(254, 254))
    return tmp_path


def test_a_page_that_fits_is_kept_with_its_drawing_in_its_place(shop: Path) -> None:
    """A rectangle from 5 to 25 mm along and 5 to 15 mm down a page of 80 by 60 lies there on the artwork, page in the
    frame's middle; in a frame that is larger all round it stays as far from the middle; one too narrow is filled."""
    for frame in ((80.0, 60.0), (90.0, 64.0)):
        made = made_for(*frame)
        artwork = Artwork.model_validate(made.job.artwork.model_dump() | {"pieces": [{"file": "fits.svg"}]})
        points = ink_of(made.ground._replace(artwork=artwork), shop).composition.ink.points_mm
        low, high = points.min(axis=0), points.max(axis=0)
        # The left of the artwork is the left of the page, and the page's top is the artwork's.
        assert [*low, *high] == pytest.approx([5 - 40, 30 - 15, 25 - 40, 30 - 5], abs=0.02)
    assert told(shop, "mm", {"file": "fits.svg"}, frame=(40.0, 60.0)) == (
        "Drawn 20 × 10 mm, marked 40 × 20 mm on the item (2 times as large as drawn).",
    )


def made_for(width: float, height: float) -> Plan:
    return planned(artwork={"width_mm": width, "height_mm": height, "centre_mm": 75.0})


def told(
    shop: Path, system: str, *pieces: dict[str, Any], frame: tuple[float, float] = (80.0, 60.0)
) -> tuple[str, ...]:
    made = made_for(*frame)
    artwork = Artwork.model_validate(made.job.artwork.model_dump() | {"pieces": pieces})
    found = ink_of(made.ground._replace(artwork=artwork), shop)
    return size_texts(found.sizes, system)


@pytest.mark.parametrize(
    ("piece", "says"),
    [
        ({"file": "small.svg"}, FOUR),
        ({"file": "small.svg", "width_mm": 20.0}, "Marked 20 × 10 mm on the item, as large as drawn."),
        (
            {"file": "small.svg", "width_mm": 10.0, "height_mm": 20.0},
            "Drawn 20 × 10 mm, marked 10 × 20 mm on the item (0.5 times as wide and 2 times as high as drawn).",
        ),
        (
            {"file": "small.svg", "height_mm": 5.0},
            "Drawn 20 × 10 mm, marked 10 × 5 mm on the item (0.5 times as large as drawn).",
        ),
        (
            {"file": "inch.svg", "width_mm": 25.4},
            "Drawn 50.8 × 25.4 mm, marked 25.4 × 12.7 mm on the item (0.5 times as large as drawn).",
        ),
        ({"file": "pixels.svg"}, "Marked 80 × 40 mm on the item. The file states no size, so check this size."),
        (
            {"file": "mm.dxf", "width_mm": 3.81},
            "Drawn 3 × 3 mm, marked 3.81 × 3.81 mm on the item (1.27 times as large as drawn).",
        ),
        ({"file": "inch.dxf"}, "Drawn 76.2 × 76.2 mm, marked 60 × 60 mm on the item (0.7874 times as large as drawn)."),
        ({"file": "unitless.dxf"}, "Marked 60 × 60 mm on the item. The file states no size, so check this size."),
        ({"file": "unitless.dxf", "unit": "mm"}, "Marked 3 × 3 mm on the item, as large as drawn."),
        ({"file": "fits.svg"}, "Marked 20 × 10 mm on the item, as large as drawn."),
    ],
)
def test_a_drawing_is_told_by_its_own_size_and_the_items(shop: Path, piece: dict[str, Any], says: str) -> None:
    """3 mm squares that come out 1.27 times as large, and a rectangle four times, are no longer a silent matter."""
    assert told(shop, "mm", piece) == (says,)


def test_a_text_has_a_size_only_where_one_was_asked_for(shop: Path) -> None:
    """Letters asked for by height keep it, or are told to grow; without it a text has no size of its own."""
    (own,) = told(shop, "mm", {"text": "H", "letter_height_mm": 7.0})
    assert "7 mm on the item, at its letter height." in own
    (grown,) = told(shop, "mm", {"text": "H", "letter_height_mm": 7.0, "height_mm": 14.0})
    assert "(2 times as large as drawn)" in grown
    (free,) = told(shop, "mm", {"text": "H"})
    assert free.endswith("mm on the item.")


def test_each_of_several_pieces_is_told_by_name_in_the_persons_units(shop: Path) -> None:
    """In inches where a person works in inches."""
    pieces = {"file": "small.svg", "width_mm": 25.4}, {"file": "pixels.svg", "width_mm": 50.8, "centre_mm": 60.0}
    assert told(shop, "in", *pieces) == (
        "small.svg: drawn 0.7874 × 0.3937 in, marked 1 × 0.5 in on the item (1.27 times as large as drawn).",
        "pixels.svg: marked 2 × 1 in on the item. The file states no size, so check this size.",
    )


def first_said(shop: Path, capsys: pytest.CaptureFixture[str], *command: str) -> str:
    """The first line that is told of what was done, after title and files."""
    assert main([*command[:2], str(shop / "job.toml"), *command[2:], "--yes"]) == 0
    lines = capsys.readouterr().out.splitlines()
    return next(line for line in lines[1:] if "wrote" not in line).removeprefix("  - ")


@pytest.mark.slow
def test_every_command_that_places_artwork_says_it_first(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Flat file, its simulation, sheet of dots, names: in mm, and in inches where asked."""
    out = str(shop / "out")
    assert first_said(shop, capsys, "art", "flat", "--to", out) == FOUR
    assert first_said(shop, capsys, "art", "flat", "--to", out, "--inches") == FOUR_IN
    written = str(shop / "out" / "artwork-flat.svg")
    assert first_said(shop, capsys, "art", "check", written, "--samples", "5", "--inches") == FOUR_IN
    (shop / "job.toml").write_text(JOB + '[tolerances]\nmethod = "sliced"\n', "utf-8")
    assert first_said(shop, capsys, "art", "slice", "--to", out) == FOUR
    (shop / "crew.csv").write_text("name\nJay\n", "utf-8")
    crest = JOB.replace('"small.svg"', '"small.svg", width = "40 mm"')
    (shop / "job.toml").write_text(crest + '[tolerances]\nmethod = "sliced"\n', "utf-8")
    said = first_said(shop, capsys, "art", "names", str(shop / "crew.csv"), "--to", str(shop / "crew"))
    assert said == "Drawn 20 × 10 mm, marked 40 × 20 mm on the item (2 times as large as drawn)."


@pytest.mark.parametrize(
    ("image", "says"),
    [
        ("bare.png", "Marked 80 × 40 mm on the item. The file states no size, so check this size."),
        ("dots.png", FOUR),
        ("dots.tif", FOUR),
        (
            "uneven.jpg",
            "Drawn 20 × 5 mm, marked 80 × 40 mm on the item (4 times as wide and 8 times as high as drawn).",
        ),
    ],
)
def test_a_picture_is_told_by_the_dots_to_the_inch_that_it_states(
    shop: Path, image: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """200 by 100 dots at 254 to the inch are 20 by 10 mm."""
    to = str(shop / "dots")
    assert first_said(shop, capsys, "art", "dots", str(shop / image), "--to", to, "--mark", "darker") == says


def test_of_a_picture_only_too_few_dots_are_said_before_its_size(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What spoils the item stands first, then the size, then what else is known of the picture."""
    Image.new("L", (40, 30), 128).save(shop / "few.png", dpi=(25.4, 25.4))
    files = [str(shop / name) for name in ("job.toml", "few.png")]
    assert main(["art", "dots", *files, "--to", str(shop / "few"), "--mark", "darker", "--yes"]) == 0
    lines = [line.removeprefix("  - ") for line in capsys.readouterr().out.splitlines()[1:] if "wrote" not in line]
    assert lines[0].startswith("The picture has too few dots")
    assert lines[1] == "Drawn 40 × 30 mm, marked 80 × 60 mm on the item (2 times as large as drawn)."


def test_card_answer_and_json_say_it(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """First of what is to be seen before the first slice; in the JSON always in mm, with the factor."""
    job = str(shop / "job.toml")
    for command in (
        ["plan", job],
        ["print", "setup", job],
        ["plan", job, "--inches", "--plain"],
        ["print", "setup", job, "--plain"],
    ):
        main([*command, "--samples", "0"])
        said = " ".join(capsys.readouterr().out.split())
        size = FOUR_IN if "--inches" in command else FOUR
        if "setup" in command:
            # Hands need the size on the item and the factor; the drawing's own follows from both.
            size = "On the item the artwork is 80 mm wide, 40 mm high, 4 times as large as drawn."
        # A screen reader reads signs as words.
        size = (size.replace("×", "by") if "--plain" in command else size).rstrip(".")
        assert size in said
        if "setup" in command:
            # Under the file to import and the size that its page shows in the program, before all other looks.
            edge = said.index("In the program the side at the rim")
            assert said.index(size) < edge < said.index("The program must show 17 slices")
        else:
            assert said.index(size) < said.index("The program must show")
    main(["plan", job, "--json", "--samples", "0"])
    (piece,) = json.loads(capsys.readouterr().out)["layout"]["pieces"]
    assert piece["name"] == "small.svg"
    assert piece["drawn_mm"] == pytest.approx([20.0, 10.0])
    assert piece["marked_mm"] == pytest.approx([80.0, 40.0])
    assert piece["factors"] == pytest.approx([4.0, 4.0])


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".html", ".json", ".txt"])
def test_the_setup_paper_says_it(shop: Path, ending: str, capsys: pytest.CaptureFixture[str]) -> None:
    """On every form of the paper that holds text as such; a PDF is set from the same lines."""
    to = shop / f"card{ending}"
    main(["print", "setup", str(shop / "job.toml"), "--samples", "0", "--to", str(to)])
    capsys.readouterr()
    text = to.read_text("utf-8")
    assert "On the item the artwork is 80 mm wide, 40 mm high, 4 times as large as drawn." in " ".join(text.split())


def test_the_page_where_artwork_is_chosen_says_it(shop: Path) -> None:
    """Under the pointer, with the frame that is typed: before what else is known of the drawing."""

    def page(kind: str, name: str) -> str:
        errand = Errand("preview", "1", {}, "mm", str(shop), (kind, str(shop / name)))
        seen = Content(done(errand, lambda _: None).answer, True)
        return " ".join(plain(preview_lines(seen, name, (80.0, 60.0), "mm", (100, 24), True)).split())

    for kind, name in (("drawing", "small.svg"), ("picture", "dots.png")):
        assert f"Filling the artwork's frame: {FOUR[0].lower()}{FOUR[1:]}" in page(kind, name)
    for kind, name in (("drawing", "pixels.svg"), ("picture", "bare.png")):
        assert "marked 80 × 40 mm on the item. The file states no size, so check this size" in page(kind, name)


def test_factors_are_none_where_no_size_is_stated() -> None:
    """The JSON does not make up a factor."""
    assert PieceSize.of("x", None, (1.0, 2.0)).factors is None
