"""Files that belong together, on the command line: named after what is drawn, replaced as one set."""

from pathlib import Path

import pytest

from rotary.cli import main

JOB = """
use_laser = "fibre-30w-160"
[item]
name = "Regatta mug (invented)"
measurements = [{ at = "0 mm", across = "80 mm" }, { at = "100 mm", across = "76 mm" }]
wall = "0.5 mm"
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
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    drawing = '<svg width="40mm" height="30mm"><circle cx="70" cy="50" r="40"/></svg>'
    (tmp_path / "crest.svg").write_text(drawing, "utf-8")
    (tmp_path / "job.toml").write_text(JOB, "utf-8")
    return tmp_path


def said_of(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """What a command that works says."""
    assert main([str(word) for word in words]) == 0
    return capsys.readouterr().out


@pytest.mark.slow
def test_files_are_named_after_what_is_drawn_and_replaced_together(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A text after a drawing: its own name, and never its slices beside the others'."""
    job, out = shop / "job.toml", shop / "s"
    said_of(capsys, "art", "slice", job, "--art", shop / "crest.svg", "--text", "XYZ", "--files", "--to", out)
    first = {path.name for path in out.iterdir()}
    assert all(name.startswith("crest-xyz-slice-") for name in first)
    (out / "notes.txt").write_text("mine", "utf-8")
    for yes in ((), ("--yes",)):
        assert main(["art", "slice", str(job), "--text", "I", "--files", "--to", str(out), *yes]) == 4
        said = (
            f"rotary: {out} holds files of another drawing, crest-xyz. Slices need a folder of their own: name "
            "another folder\n"
        )
        assert capsys.readouterr().err == said
        assert {path.name for path in out.iterdir()} == {*first, "notes.txt"}
    said = said_of(capsys, "art", "flat", job, "--art", shop / "crest.svg", "--text", "XYZ", "--to", out, "--yes")
    assert f"This replaced {len(first)} earlier files." in said
    assert {path.name for path in out.iterdir()} == {
        *(f"crest-xyz-flat{part}.svg" for part in ("", "-first", "-second", "-rest")), "notes.txt",
    }  # fmt: skip
