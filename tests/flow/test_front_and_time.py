"""The picture to send and the time of all pieces, as a person asks for them."""

import io
import json
from pathlib import Path

import pytest
from PIL import Image

from rotary.sentences.front import DRAWING
from rotary.shipped import _own_data, example_text, examples, profile_folder
from tests.flow.conftest import Run


@pytest.fixture
def cup(tmp_path: Path) -> Path:
    """The example with a drawing, twelve of it wanted."""
    (tmp_path / "heron-oars.svg").write_bytes((examples()["heron-cup"].parent / "heron-oars.svg").read_bytes())
    path = tmp_path / "cup.toml"
    path.write_text(example_text(examples()["heron-cup"]) + "\n[order]\npieces = 12\n", "utf-8")
    return path


@pytest.mark.slow
def test_a_picture_is_written_as_its_name_ends_and_never_over_another(rotary: Run, cup: Path, tmp_path: Path) -> None:
    """PNG, SVG, PDF; from near and from far they differ; what is there is left as it was."""
    for name, view in (("a.png", "front"), ("far.png", "front-far"), ("a.svg", "front"), ("a.pdf", "front")):
        code, out, err = rotary("print", "picture", cup.name, view, "--to", name, "--samples", "50")
        assert (code, err) == (0, "")
        assert DRAWING in out
    near, far = ((tmp_path / name).read_bytes() for name in ("a.png", "far.png"))
    assert Image.open(io.BytesIO(near)).format == "PNG"
    assert near != far
    assert DRAWING in (tmp_path / "a.svg").read_text("utf-8")
    code, _, err = rotary("print", "picture", cup.name, "front", "--to", "a.png", "--samples", "50")
    assert code == 4
    assert "there is already a file" in err
    assert (tmp_path / "a.png").read_bytes() == near
    code, _, err = rotary("print", "picture", cup.name, "front", "--to", "a.jpg", "--samples", "50")
    assert code == 2
    assert ".svg, .pdf or .png" in err
    assert not (tmp_path / "a.jpg").exists()


@pytest.mark.slow
def test_times_learn_from_the_log(rotary: Run, cup: Path) -> None:
    """An estimate at first; after three runs what they took, on screen, in JSON and on the sheet."""
    code, out, _ = rotary("plan", cup.name, "--samples", "50")
    assert code == 0
    line = next(line for line in out.splitlines() if line.startswith("TIME: 12 items: about "))
    assert "if you start now" in line
    assert "(estimate" in line
    assert rotary("profile", "save", cup.name, "--as", "cups", "--samples", "50")[0] == 0
    for took in ("44 min", "40 min", "46 min"):
        assert rotary("log", "add", "cups", "good", "--items", "12", "--took", took, "--samples", "50")[0] == 0
    assert rotary("log", "list")[1].endswith("2 h 10 min at the machine\n")
    assert rotary("log", "list", "cups", "--since", "2999-01-01")[1].startswith("no logged run fits")
    time = json.loads(rotary("plan", "cups", "--samples", "50", "--json")[1])["actions"]["time"]
    assert time["total"] == pytest.approx(43.3 * 60, rel=0.1)
    assert (time["runs"], time["estimate"], time["pieces"]) == (3, False, 12)
    assert time["low"] < time["total"] < time["high"]
    assert time["begun"] < time["done"]
    sheet = rotary("print", "setup", "cups", "--samples", "50")[1]
    assert "12 items, about 4" in sheet
    assert "as in your last 3 runs)" in " ".join(sheet.split())


def test_a_senseless_number_of_pieces_is_refused_in_one_sentence(rotary: Run, cup: Path) -> None:
    """None, less than one, a text."""
    for typed in ("0", "-3", '"many"', "1000000"):
        cup.write_text(example_text(examples()["heron-cup"]) + f"\n[order]\npieces = {typed}\n", "utf-8")
        code, _, err = rotary("plan", cup.name, "--samples", "50")
        assert code == 3
        assert "order.pieces" in err


def test_a_list_of_names_says_how_long_all_of_it_takes(rotary: Run, tmp_path: Path) -> None:
    """One line for all files."""
    (tmp_path / "names.csv").write_text("name\nHeron\nMoorhen\n", "utf-8")
    code, out, _ = rotary(
        "art", "names", "brass-nut", "names.csv", "--to", "out", "--letters", "4 mm", "--samples", "50"
    )
    assert code == 0
    assert "Time: 2 items: about " in out


def test_no_name_is_set_without_the_drawing_that_belongs_under_it(rotary: Run, tmp_path: Path) -> None:
    """Whichever laser it is marked with, an item without its drawing would be spoiled."""
    (tmp_path / "names.csv").write_text("name\nHeron\n", "utf-8")
    text = examples()["heron-cup"].read_text("utf-8")
    assert "use_laser" in text
    (tmp_path / "own.toml").write_text(text, "utf-8")
    asked = ("names.csv", "--letters", "4 mm", "--samples", "50")
    code, _, err = rotary("art", "names", "own.toml", *asked, "--to", "own")
    assert (code, "heron-oars.svg" in err, (tmp_path / "own").exists()) == (4, True, False)


def test_a_data_folder_that_is_no_whole_path_is_ignored(monkeypatch: pytest.MonkeyPatch) -> None:
    """Profiles lie in one place, wherever a command is run: the XDG base directory specification asks for it."""
    monkeypatch.delenv("ROTARY_FOLDER", raising=False)
    for asked, holds in (("/data/of mine", True), ("here", False), ("", False)):
        monkeypatch.setenv("XDG_DATA_HOME", asked)
        _own_data.cache_clear()
        assert (profile_folder().as_posix() == "/data/of mine/rotary/profiles") == holds
        assert profile_folder().is_absolute()
    _own_data.cache_clear()
