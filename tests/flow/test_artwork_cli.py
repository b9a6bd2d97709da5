"""From a drawing to files and back, on the command line."""

import re
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.cli.jobs import NamedJob
from rotary.services.planning import plan_for

CREST = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<circle cx="20" cy="15" r="14"/><rect x="16" y="11" width="8" height="8" fill="white"/></svg>"""

JOB = """
use_laser = "fibre-30w-160"
[item]
name = "Regatta mug (invented)"
measurements = [{ at = "0 mm", across = "80 mm" }, { at = "100 mm", across = "76 mm" }]
wall = "0.5 mm"
handle = { angle = "180 deg", width = "20 deg", reach = "30 mm", from = "20 mm", to = "80 mm" }
[turning]
kind = "chuck"
gear_ratio = 6.0
axis_height = "90 mm"
levelled = true
[artwork]
name = "crest"
width = "60 mm"
height = "50 mm"
centre = "50 mm"
pieces = [{ file = "crest.svg", width = "30 mm", centre = "58 mm" },
  { text = "Heron", width = "40 mm", centre = "32 mm" }]
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "crest.svg").write_text(CREST, "utf-8")
    (tmp_path / "job.toml").write_text(JOB, "utf-8")
    return tmp_path


def test_a_sheet_is_written_and_the_forecast_finds_it_true(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Crest and name of the job go to one file; sent through the machine it lands within 15 µm."""
    assert main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out")]) == 0
    said = capsys.readouterr().out
    assert "slices of" in said
    [written] = list((shop / "out").glob("*-sliced.svg"))
    assert main(["art", "check", str(shop / "job.toml"), str(written), "--samples", "20"]) == 0
    said = capsys.readouterr().out
    micrometres = float(said.split(OFF)[1].split(" µm")[0])
    assert 0 < micrometres < 15


@pytest.mark.parametrize("command", ["slice", "flat"])
def test_a_coated_item_gets_first_second_and_rest(shop: Path, command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What is told names them in the order in which they are imported, and says how the passes are run."""
    assert main(["art", command, str(shop / "job.toml"), "--to", str(shop / "out")]) == 0
    said = capsys.readouterr().out
    stem, whole = ("crest", "crest-sliced.svg") if command == "slice" else ("crest-flat", "crest-flat.svg")
    first, second, rest = (f"{stem}-{part}.svg" for part in ("first", "second", "rest"))
    assert {path.name for path in (shop / "out").iterdir()} == {whole, first, second, rest}
    assert said.index("First slice (") < said.index(f"): import {first}.") < said.index(f"): import {second}.")
    assert said.index(f"import {second}.") < said.index(f"All others: import {rest}.")
    assert "Type 1 pass." in said
    assert "Clean: note ____ % power, ____ passes" in said


@pytest.mark.parametrize("job", ["regatta-bottle", "bellied-flask"])
def test_the_sheet_is_drawn_for_the_very_numbers_on_the_card(
    shop: Path, job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Columns, first cut and hatch of the sheet are those typed on the setup sheet: both go by the same setting."""
    made = plan_for(NamedJob(name=str(job)).job())
    main(["print", "setup", job])
    shows = capsys.readouterr().out
    said = said_of(capsys, "art", "slice", job, "--art", shop / "crest.svg", "--to", shop / "out")
    ((many, wide),) = re.findall(r"The program must show (\d+) slices of ([\d.]+ mm)\.", shows)
    (cut,) = re.findall(r"Slice 1 must begin at (-[\d.]+ mm) \(0 is", shows)
    assert f"{many} slices of {wide}. The first slice must begin at {cut} (0 is the middle)." in said
    assert made.removal.setting is not None
    assert f"every {made.removal.setting.line_spacing_mm:g} mm" in said


def test_the_forecast_is_drawn_too(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The picture is an SVG beside the text, and the sheet stays as it was."""
    main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out")])
    [written] = list((shop / "out").glob("*-sliced.svg"))
    before = written.read_bytes()
    command = ["art", "check", str(shop / "job.toml"), str(written), "--samples", "10", "--to", str(shop / "seen.svg")]
    assert main(command) == 0
    assert (shop / "seen.svg").read_text("utf-8").partition("\n")[2].startswith("<svg")
    assert written.read_bytes() == before
    assert "seen.svg" in capsys.readouterr().out


def test_a_file_a_slice(shop: Path) -> None:
    """Every slice has a file of its own, in marking order."""
    assert main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out"), "--files"]) == 0
    assert len(list((shop / "out").glob("*.svg"))) > 5


def test_dxf_can_be_read_by_another_library(shop: Path) -> None:
    """The DXF has a layer a slice and states millimetres."""
    import ezdxf

    assert main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out"), "--dxf"]) == 0
    [written] = list((shop / "out").glob("*-sliced.dxf"))
    document = ezdxf.readfile(written)
    assert document.units == ezdxf.units.MM
    assert len({line.dxf.layer for line in document.modelspace()}) > 5


def test_flat_artwork_and_wrap_template(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The flat export and the paper pattern are written whole; in inches all but the bars is said in inches."""
    flat = ["--art", str(shop / "crest.svg"), "--to", str(shop / "flat")]
    assert main(["art", "flat", str(shop / "job.toml"), *flat]) == 0
    paper = ["--to", str(shop / "paper"), "--paper", "both", "--inches"]
    assert main(["print", "template", str(shop / "job.toml"), *paper]) == 0
    assert re.search(r"template is a .*: [\d.]+ × [\d.]+ in\n(.*\n)*.* both 100 mm bars", capsys.readouterr().out)
    assert {path.suffix for path in (shop / "paper").iterdir()} == {".svg", ".pdf"}
    assert len(list((shop / "paper").glob("*.pdf"))) == 2


def test_a_picture_becomes_dots(shop: Path) -> None:
    """A grey ramp is written as a PNG whose resolution is whole dots a metre."""
    from PIL import Image

    Image.linear_gradient("L").save(shop / "ramp.png")
    assert main(["art", "dots", str(shop / "job.toml"), str(shop / "ramp.png"), "--to", str(shop / "dots")]) == 0
    [written] = list((shop / "dots").glob("*-sliced.png"))
    with Image.open(written) as dots:
        assert dots.info["dpi"][0] == pytest.approx(round(dots.info["dpi"][0] / 0.0254) * 0.0254, abs=1e-3)


@pytest.mark.parametrize(
    ("pieces", "says"),
    [
        ("pieces = []", "nothing to mark: name a drawing or words"),
        ('pieces = [{ file = "no.svg" }]', "no.svg"),
        ('pieces = [{ width = "3 mm" }]', "a file or a text, not both"),
        ('pieces = [{ text = "a", angle_from = "weld-line" }]', "no weld line"),
        ('pieces = [{ text = "a", centre = "300 mm" }]', "beyond the item"),
        ('pieces = [{ text = "a", width = "59 mm", angle = "60 deg" }]', "artwork.width"),
    ],
)
def test_pieces_that_cannot_be_set_are_told_in_a_sentence(
    shop: Path, capsys: pytest.CaptureFixture[str], pieces: str, says: str
) -> None:
    """Nothing is written, one sentence says what to write instead."""
    head = JOB.split("pieces = [")[0]
    (shop / "job.toml").write_text(head + pieces + "\n", "utf-8")
    assert main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out")]) in {3, 4}
    told = capsys.readouterr().err
    assert says in told
    assert "Traceback" not in told
    assert not (shop / "out").exists()


def test_ink_on_the_handle_is_told(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A border all round runs over the handle: the no-mark zone and how much of it is marked are named."""
    text = JOB.split("pieces = [")[0].replace('width = "60 mm"', 'width = "244 mm"').replace("180 deg", "120 deg")
    (shop / "job.toml").write_text(text + 'pieces = [{ file = "crest.svg", width = "20 mm", repeat = 6 }]\n', "utf-8")
    main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out")])
    said = capsys.readouterr()
    assert "handle" in said.out + said.err


def test_strokes_thinner_than_the_spot_are_told(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A hairline in a drawing is named with its place, broad shapes are not."""
    hairline = CREST.replace("</svg>", '<rect x="0" y="29.9" width="40" height="0.02"/></svg>')
    (shop / "fine.svg").write_text(hairline, "utf-8")
    main(["art", "slice", str(shop / "job.toml"), "--art", str(shop / "fine.svg"), "--to", str(shop / "out")])
    assert "thinner than the spot" in capsys.readouterr().out
    broad = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm"><circle cx="50" cy="50" r="40"/></svg>'
    (shop / "broad.svg").write_text(broad, "utf-8")
    main(["art", "slice", str(shop / "job.toml"), "--art", str(shop / "broad.svg"), "--to", str(shop / "other")])
    assert "thinner than the spot" not in capsys.readouterr().out


def said_of(capsys: pytest.CaptureFixture[str], *command: str | Path) -> str:
    """What a command that succeeds says."""
    assert main([str(word) for word in command]) == 0
    return capsys.readouterr().out


OFF = "the marks lie at most "


def seam_um(said: str) -> float:
    """The worst seam of a forecast, wider open or further overlapped."""
    opened, doubled = (
        said.split("gaps there are at most ")[1].split(" µm")[0],
        said.split("wider than planned, and overlaps at most ")[1].split(" µm")[0],
    )
    return max(float(opened), float(doubled))


def test_flat_artwork_is_foretold_in_its_own_columns(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A job that wants a sheet has its flat export divided in slices of its own; slits take out what a taper leaves."""
    job, out = shop / "job.toml", shop / "out"
    job.write_text(JOB + '[tolerances]\nmethod = "sliced"\n', "utf-8")
    flat = said_of(capsys, "art", "flat", job, "--to", out)
    assert flat.split("slices of ")[1].split(" mm")[0] in (out / "crest-flat.svg").read_text("utf-8")
    plain = said_of(capsys, "art", "check", job, out / "crest-flat.svg", "--samples", "0")
    said_of(capsys, "art", "slice", job, "--to", out, "--yes")
    sheet = said_of(capsys, "art", "check", job, out / "crest-sliced.svg", "--samples", "0")
    assert max(seam_um(sheet), seam_um(plain)) < 4
    assert "write the file again" not in plain + sheet


def test_a_sheet_older_than_its_job_is_called_so(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Once the item in the job is another, the forecast says that the file no longer goes with it, and that marks
    lie farther away than it measures rather than within it."""
    job, out = shop / "job.toml", shop / "out"
    job.write_text(JOB + '[tolerances]\nmethod = "sliced"\n', "utf-8")
    said_of(capsys, "art", "slice", job, "--to", out)
    job.write_text(job.read_text("utf-8").replace("76 mm", "60 mm"), "utf-8")
    said = said_of(capsys, "art", "check", job, out / "crest-sliced.svg", "--samples", "0")
    assert "-mm slices: write the file again" in said
    assert "lie away from the artwork by more than 250 µm" in said
    assert "marks lie within" not in said


def test_a_sheet_as_dxf_is_sent_back_for_its_svg(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The forecast reads SVG; a DXF, or a folder of them, is refused with what to give instead."""
    main(["art", "slice", str(shop / "job.toml"), "--to", str(shop / "out"), "--dxf"])
    capsys.readouterr()
    [written] = list((shop / "out").glob("*-sliced.dxf"))
    for given in (written, shop / "out"):
        assert main(["art", "check", str(shop / "job.toml"), str(given)]) == 4
        assert "SVG" in capsys.readouterr().err


def test_a_list_of_names_becomes_sheets_and_a_table(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every name has its sheet under the crest; one that can't fit is told first, the rest is still done."""
    crest_only = JOB.split("pieces = [")[0] + 'pieces = [{ file = "crest.svg", width = "25 mm", centre = "60 mm" }]\n'
    (shop / "job.toml").write_text(crest_only, "utf-8")
    (shop / "crew.csv").write_text(
        "name,seat\nHeron,1\nA name that is far too long for any mug at all,2\nTern,3\n", "utf-8"
    )
    command = [
        "art",
        "names",
        str(shop / "job.toml"),
        str(shop / "crew.csv"),
        "--to",
        str(shop / "crew"),
        "--column",
        "name",
    ]
    assert main(command) == 0
    said = capsys.readouterr().out
    assert "line 3, " in said
    assert {path.suffix for path in (shop / "crew").iterdir()} == {".svg", ".csv"}
    assert len(list((shop / "crew").glob("*-sliced.svg"))) == 2
    again = [*command[:-3], str(shop / "again"), "--column", "seats"]
    assert main(again) == 2
    assert "seats" in capsys.readouterr().err


RING = """
[item]
name = "Regatta mug without a handle (invented)"
measurements = [{ at = "0 mm", across = "80 mm" }, { at = "100 mm", across = "70 mm" }]
[turning]
kind = "chuck"
gear_ratio = 6.0
axis_height = "90 mm"
levelled = true
[artwork]
name = "crest"
width = "235.61945 mm"
height = "60 mm"
centre = "50 mm"
full_wrap = true
"""


@pytest.mark.slow
@pytest.mark.parametrize("surface_map", ["with-taper", "true-width"])
def test_repeats_and_what_lies_over_the_back_close_round_the_item(
    shop: Path, capsys: pytest.CaptureFixture[str], surface_map: str
) -> None:
    """Seven crests evenly round a cone, one higher up across the back: seven and one come out, whole, in place."""
    pieces = (
        'pieces = [{ file = "crest.svg", width = "18 mm", centre = "70 mm", angle = "10 deg", repeat = 7 }, '
        '{ file = "crest.svg", width = "18 mm", centre = "40 mm", angle = "178 deg" }]\n'
    )
    job = shop / "job.toml"
    text = f'use_laser = "fibre-30w-160"\n{RING}surface_map = "{surface_map}"\n{pieces}[tolerances]\nmethod = "sliced"'
    job.write_text(text, "utf-8")
    for command, name in (("slice", "crest-sliced.svg"), ("flat", "crest-flat.svg")):
        said = said_of(capsys, "art", command, job, "--to", shop / command)
        assert "marked twice" not in said
        said = said_of(capsys, "art", "check", job, shop / command / name, "--samples", "0")
        assert float(said.split(OFF)[1].split(" µm")[0]) < 25
        assert seam_um(said) < 25


def test_a_flat_drawing_smaller_than_its_frame_has_the_size_that_is_told(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the person is told to see after import is what the file's page says."""
    said = said_of(capsys, "art", "flat", shop / "job.toml", "--to", shop / "out")
    wide, high = said.split("The program must show the file as ")[1].split(" mm")[0].split(" × ")
    text = (shop / "out" / "crest-flat.svg").read_text("utf-8")
    assert f'width="{float(wide):g}mm" height="{float(high):g}mm"' in text
    assert "The last slice is blank" not in said


def test_a_piece_that_cannot_be_read_is_named(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of several pieces the fault says which: its place in the list, and its file."""
    (shop / "oars.svg").write_text("hello", "utf-8")
    job = shop / "job.toml"
    job.write_text(JOB.replace('{ text = "Heron"', '{ file = "oars.svg"'), "utf-8")
    assert main(["art", "slice", str(job), "--to", str(shop / "out")]) == 3
    assert "artwork.pieces 2, file: oars.svg is neither an SVG nor a DXF drawing" in capsys.readouterr().err
    assert not (shop / "out").exists()


def test_an_empty_text_is_refused_and_a_long_one_fits_the_frame(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A text from the command line is made as large as the frame takes it, whatever its lines."""
    job, out = str(shop / "job.toml"), str(shop / "out")
    assert main(["art", "slice", job, "--text", " ", "--to", out]) == 2
    assert "--text is empty" in capsys.readouterr().err
    assert main(["art", "slice", job, "--text", r"A\nB\nC\nD", "--to", out]) == 0


def test_what_was_measured_goes_into_the_sheet(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Line width and overlap set the inset; unslid seams and more columns are heard; a bare number is refused."""
    command: list[str | Path] = ["art", "slice", shop / "job.toml", "--to", shop / "out", "--yes"]
    said = said_of(capsys, *command, "--marked-width", "0.1 mm", "--overlap", "0.02 mm")
    assert re.search("ends 40 µm before its seam, .* a gap of up to 100 µm, so marks overlap by 20 µm", said)
    plain, more = said_of(capsys, *command), said_of(capsys, *command, "--more-slices")
    count = [int(text.split(" slices of")[0].split()[-1]) for text in (plain, more)]
    assert count[1] == count[0] + 2
    unslid = said_of(capsys, *command, "--unslid")
    told = re.search(
        r"In all, ([0-9]+) mm of the seams cross dark parts of the artwork, where a seam can show.\n", unslid
    )
    assert told is not None
    assert unslid.count("mm of the seams") == unslid.count("Turn the item") == 1
    assert main([str(word) for word in (*command, "--overlap", "1")]) == 2
    assert "--overlap 1 has no unit" in capsys.readouterr().err


def test_a_sheet_that_a_job_reads_is_not_written_over(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Even a file that was drawn here stays as it is while it is a piece of the job."""
    job = shop / "job.toml"
    said_of(capsys, "art", "slice", job, "--to", shop)
    before = (shop / "crest-sliced.svg").read_bytes()
    job.write_text(JOB.replace("crest.svg", "crest-sliced.svg"), "utf-8")
    assert main(["art", "slice", str(job), "--to", str(shop)]) == 4
    assert "is the file you read from" in capsys.readouterr().err
    assert (shop / "crest-sliced.svg").read_bytes() == before


STEEP = """
use_laser = "fibre-30w-160"
[item]
name = "Steep cup, not levelled (invented)"
measurements = [{ at = "0 mm", across = "80 mm" }, { at = "60 mm", across = "60 mm" }]
[turning]
kind = "chuck"
gear_ratio = 6.0
axis_height = "90 mm"
[artwork]
name = "crest"
width = "30 mm"
height = "20 mm"
centre = "30 mm"
"""


@pytest.mark.parametrize("kind", ["svg", "dxf"])
def test_zones_of_focus_keep_their_slices_apart(shop: Path, capsys: pytest.CaptureFixture[str], kind: str) -> None:
    """With a file per slice, the same slice of two zones is two files, and the height of each zone is told."""
    job = shop / "job.toml"
    job.write_text(STEEP, "utf-8")
    flags = ["--dxf"] if kind == "dxf" else []
    said = said_of(capsys, "art", "slice", job, "--art", shop / "crest.svg", "--to", shop / "out", "--files", *flags)
    folders = {path.parent.name for path in (shop / "out").rglob(f"*.{kind}")}
    assert len(folders) > 1
    assert len(list((shop / "out").rglob(f"*.{kind}"))) == said.count("  wrote ")
    assert said.count("mm over the bed") == len(folders)


def test_the_times_go_by_the_ink_of_the_artwork(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The share of ink that is told is its area over the frame's; once in the job, it is told no more."""
    job = shop / "job.toml"
    said = said_of(capsys, "art", "slice", job, "--art", shop / "crest.svg", "--to", shop / "out")
    # The crest's circle of radius 14 less its square of 8 keeps its own size, as its page fits the frame.
    share = (3.14159 * 14**2 - 64) / (60 * 50)
    told = said.split("Dark parts cover ")[1].split(" %")[0]
    assert float(told) == pytest.approx(100 * share, abs=0.5)
    job.write_text(JOB.replace('name = "crest"\n', f'name = "crest"\nink = "{told} %"\n'), "utf-8")
    said = said_of(capsys, "art", "slice", job, "--art", shop / "crest.svg", "--to", shop / "new")
    assert "Dark parts cover" not in said
