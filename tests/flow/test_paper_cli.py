"""Papers from the command line: the ending tells the kind; whole or not at all; refusals in one sentence."""

import html
import json
import re
from pathlib import Path
from typing import get_args

import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest

from rotary.artwork.outfiles import MADE_BY
from rotary.cli import main
from rotary.cli.print_commands import View
from rotary.job import job_from_file
from rotary.pictures import NAMES
from rotary.plan import plan
from rotary.sentences.plan import actions_in_words
from rotary.services.papers import ENDINGS_OF, PrintOrder, usual_name
from rotary.shipped import FIRST, examples

PAPERS = ("setup", "patch", "gap-ladder", "tests", "seam-test", "template")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(arguments)
    told = capsys.readouterr()
    return code, told.out, told.err


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, with profiles of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))
    return tmp_path


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".pdf", ".html", ".txt", ".json"])
def test_the_card_is_written_as_its_name_ends(here: Path, capsys: pytest.CaptureFixture[str], ending: str) -> None:
    """One command a kind; it says what was written and for which paper, and the numbers are the plan's."""
    path = here / f"card{ending}"
    code, out, err = run(capsys, "print", "setup", FIRST, "--to", path.name, "--paper", "Letter", "--samples", "100")
    assert (code, err) == (0, "")
    assert out.startswith(f"wrote {path.name}\n")
    assert ("for Letter (as you asked)" in out) == (ending in (".pdf", ".html"))
    data = path.read_bytes()
    made = plan(job_from_file(examples()[FIRST]), 100)
    if ending == ".pdf":
        page = pypdfium2.PdfDocument(data)[0]
        assert page.get_size() == pytest.approx((612.0, 792.0), abs=0.01)
        text = page.get_textpage().get_text_bounded()
        assert all(f"{row.figure}" in text for row in actions_in_words(made).type)
    elif ending != ".txt":
        assert all(f"{row.figure}" in data.decode() for row in actions_in_words(made).type)
    else:
        assert data.decode().startswith("SETUP SHEET")
        printed = run(capsys, "print", "setup", FIRST, "--samples", "100")[1]
        assert data.decode() == f"{printed}({MADE_BY})\n"


@pytest.mark.slow
def test_left_out_the_paper_is_the_usual_one_and_is_told(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The locale decides, and the answer says so and how to have the other."""
    monkeypatch.setenv("LC_ALL", "en_US.UTF-8")
    _, out, _ = run(capsys, "print", "setup", FIRST, "--to", "card.html", "--samples", "0")
    assert "for Letter (the usual size in your country). For A4 paper add --paper A4" in out
    assert (here / "card.html").is_file()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--to", "card.doc"), "end its name with .pdf, .html, .txt or .json"),
        (("--to", "card.svg"), "card.svg can't be written: end its name with .pdf, .html, .txt or .json"),
        (("--to", "card"), "end the file's name with .pdf, .html, .txt or .json"),
        (("--to", "nowhere/card.pdf"), "there is no folder nowhere"),
        (("--to", "folder.pdf"), "is a folder"),
    ],
)  # fmt: skip
def test_refusals_are_one_sentence_and_write_nothing(
    here: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], says: str
) -> None:
    """Each says what to write instead; no file is left behind."""
    (here / "folder.pdf").mkdir()
    code, out, err = run(capsys, "print", "setup", FIRST, "--samples", "0", *arguments)
    assert code == (2 if "end " in says else 4)
    assert says in err
    assert err.count("\n") == 1
    assert out == ""
    assert [path.name for path in here.iterdir()] == ["folder.pdf"]


def test_a_card_never_goes_over_its_job(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A job file that is called like a paper stays as it is."""
    job = here / "job.html"
    job.write_bytes(examples()[FIRST].read_bytes())
    code, _, err = run(capsys, "print", "setup", "job.html", "--to", "job.html", "--samples", "0")
    assert code == 4
    assert "is the file you read from" in err
    assert job.read_bytes() == examples()[FIRST].read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["front", *NAMES])
def test_every_picture_is_a_file_of_its_own(here: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    """Named on the command line as in the core; the answer says in words what is to be seen."""
    code, out, _ = run(capsys, "print", "picture", FIRST, name, "--to", f"{name}.svg", "--samples", "100")
    assert code == 0
    assert ": " in out.splitlines()[1]
    assert (here / f"{name}.svg").read_text().startswith("<?xml")


def test_the_pictures_are_those_of_the_core() -> None:
    """What the help lists is what there is."""
    assert {*NAMES, "front", "front-far", "simulation"} == {*get_args(View)}


@pytest.mark.slow
@pytest.mark.parametrize("name", PAPERS)
def test_every_paper_is_written(here: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    """In every kind that it has, with the first rule of all papers in it."""
    for ending in ENDINGS_OF[name]:  # type: ignore[index]
        path = here / f"paper{ending}"
        code, out, err = run(capsys, "print", name, FIRST, "--to", path.name, "--paper", "A4", "--samples", "100")
        assert (code, err) == (0, "")
        assert f"wrote {path.name}" in out
        data = path.read_bytes()
        if ending == ".pdf":
            text = "".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(data))
            assert "Local rules and licensed experts come first." in text.replace("\r\n", " ")
            assert "Regatta bottle 600 ml" in text
        elif (name, ending) != ("template", ".svg"):
            assert "local rules and licensed experts come first" in data.decode().casefold()


def test_a_printed_patch_is_kept_to_be_read(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The cells on the paper are those that read-patch asks for; a paper that can't be written keeps none."""
    code, _, _ = run(capsys, "print", "patch", FIRST, "--to", "nowhere/patch.pdf", "--samples", "100")
    assert code == 4
    assert not (here / "kept").exists()
    code, out, _ = run(capsys, "print", "patch", FIRST, "--to", "patch.txt", "--samples", "100")
    assert code == 0
    assert "Patch 1 is saved" in out
    text = (here / "patch.txt").read_text()
    assert text.count("[ ] ") > 9
    code, _, _ = run(capsys, "patch", "record", FIRST, "1=covered", "--samples", "100")
    assert code == 0


def test_a_sheet_without_artwork_is_refused(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The paper that draws the artwork says that the job names none."""
    code, _, err = run(capsys, "art", "slice", FIRST, "--to", "sheet.svg", "--samples", "0")
    assert code == 3
    assert "artwork.pieces" in err
    assert list(here.iterdir()) == []


@pytest.mark.slow
def test_a_sheet_and_a_card_of_real_artwork(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A job with a text gets its sheet, and its outlines on the card; unreadable artwork is told and not drawn."""
    text = examples()[FIRST].read_text("utf-8").replace("[artwork]", '[[artwork.pieces]]\ntext = "Heron"\n\n[artwork]')
    (here / "job.toml").write_text(text)
    code, out, _ = run(capsys, "art", "slice", "job.toml", "--to", "sheet.svg")
    assert code == 0, out
    assert (here / "sheet.svg").is_file()
    code, _, _ = run(capsys, "print", "picture", "job.toml", "unrolled", "--to", "with.svg", "--samples", "0")
    assert code == 0
    (here / "job.toml").write_text(text.replace('text = "Heron"', 'file = "gone.svg"'))
    code, out, _ = run(capsys, "print", "picture", "job.toml", "unrolled", "--to", "without.svg", "--samples", "0")
    assert "only its frame" in out
    assert len((here / "with.svg").read_text()) > len((here / "without.svg").read_text()) + 500


def test_a_name_is_made_of_the_items(tmp_path: Path) -> None:
    """A name that no file system refuses; the order's own paper is the usual one unless named."""
    assert usual_name("tests", 'Ø 3/4" nut: \x1b?', ".pdf") == "ø-3-4-nut-tests.pdf"
    assert PrintOrder("tests", tmp_path / "a.pdf", "A4").on == "A4"


@pytest.mark.slow
def test_the_forecast_of_a_sheet_goes_on_the_card(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What the written sheet will do is a picture of its own, and one more on the card."""
    text = examples()["boathouse-mug"].read_text("utf-8")
    (here / "job.toml").write_text(text.replace("[artwork]", '[[artwork.pieces]]\ntext = "Heron"\n\n[artwork]'))
    code, out, err = run(capsys, "art", "flat", "job.toml", "--to", ".")
    assert code == 0, err
    (sheet,) = here.glob("*-flat.svg")
    code, out, err = run(capsys, "print", "picture", "job.toml", "simulation", "--from", sheet.name, "--to", "told.svg")
    assert code == 0, err
    assert "What the file will mark" in out
    code, _, err = run(capsys, "print", "setup", "job.toml", "--from", sheet.name, "--to", "card.html")
    assert code == 0, err
    assert "What the file will mark" in (here / "card.html").read_text()
    for wrong in (("forecast",), ("seams", "--from", sheet.name)):
        code, _, err = run(capsys, "print", "picture", "job.toml", *wrong, "--to", "no.svg")
        assert code == 2
        assert "write simulation --from crest-sliced.svg" in err
        assert not (here / "no.svg").exists()


@pytest.mark.slow
def test_a_stopped_jobs_card_has_a_box_for_every_slice_that_is_left(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The paper tells the same turn as the lines; a box a slice, with the passes that it lacks of those counted."""
    how = ("resume", FIRST, "--base-right", "0.4 mm", "--rim-right", "0.5 mm", "--done", "1-9=1", "--passes", "8")
    code, out, _ = run(capsys, *how, "--card", "rest.html", "--paper", "A4")
    assert code == 0
    assert "wrote rest.html, for A4" in out
    text = (here / "rest.html").read_text()
    turn = next(line.partition("[ ] ")[2].strip() for line in out.splitlines() if "[ ] Turn the item " in line)
    assert turn in text
    left = re.findall(
        r"^ *\[ \] \d+ +(?:not at all|\d+ steps? (?:forward|back)) +(\d+) passes \+ last pass$",
        out,
        re.MULTILINE,
    )
    _, plan, _ = run(capsys, "plan", FIRST, "--json")
    slices = json.loads(plan)["split"]["slices"]
    assert left == ["7"] * 9 + ["8"] * (slices - 9)
    assert text.count('<th scope="row"><label><input type="checkbox"><span>') == slices


@pytest.mark.slow
@pytest.mark.parametrize("around", ["ring", "end"])
def test_an_inscriptions_card_is_a_paper_too(here: Path, capsys: pytest.CaptureFixture[str], around: str) -> None:
    """One page with the words, how to begin, what is keyed in, and the cautions; without files it is refused."""
    what: tuple[str, ...] = (
        "inscribe",
        "brass-nut",
        "--text",
        "HERON ROWING CLUB",
        "--around",
        around,
        "--end-diameter",
        "20 mm",
    )
    what = what if around == "end" else what[:-2]
    code, out, err = run(capsys, *what, "--to", "nut", "--card", "nut.pdf", "--paper", "A4")
    assert code == 0, err
    assert "wrote nut.pdf, for A4" in out
    page = pypdfium2.PdfDocument((here / "nut.pdf").read_bytes())[0].get_textpage().get_text_bounded()
    for text in ("INSCRIPTION SHEET", "HERON ROWING CLUB", "Power", "Local rules and licensed experts come first."):
        assert text in page.replace("\r\n", " ")
    code, _, err = run(capsys, *what, "--card", "other.pdf")
    assert code == 2
    assert "add --to and the name of a folder" in err
    assert not (here / "other.pdf").exists()


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".pdf", ".html", ".txt", ".json"])
def test_a_repeat_is_a_paper_too(here: Path, capsys: pytest.CaptureFixture[str], ending: str) -> None:
    """What is checked before a kept item is run again stands on the card's first page, in every kind of file."""
    run(capsys, "profile", "save", FIRST, "--as", "spring")
    path = here / f"again{ending}"
    code, out, err = run(capsys, "profile", "repeat", "spring", "--to", path.name, "--samples", "0")
    assert code in (0, 5), err
    assert out.startswith(f"wrote {path.name}\n")
    data = path.read_bytes()
    text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_bounded() if ending == ".pdf" else data.decode()
    for part in ('REPEAT: "spring", version 1', "Not proven yet", "Focus on the apex again"):
        # JSON has its quotes escaped.
        assert (json.dumps(part)[1:-1] if ending == ".json" else part) in html.unescape(text)


@pytest.mark.usefixtures("here")
def test_a_repeat_in_plain_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """What is to be done and what warns are said in words before the sheet's own lines; nothing is drawn."""
    run(capsys, "profile", "save", FIRST, "--as", "spring")
    _, out, _ = run(capsys, "profile", "repeat", "spring", "--plain", "--samples", "0")
    sheet = run(capsys, "print", "setup", FIRST, "--plain", "--samples", "0")[1]
    again, first = (re.sub(r"^\d+ ", "", text.partition("FOCUS")[2], flags=re.MULTILINE) for text in (out, sheet))
    assert again == first != ""
    assert "Not proven yet: treat it as a first run" in out
    assert "To do: Focus on the apex again" in out
    assert "[ ]" not in out


def test_a_repeats_paper_never_goes_over_the_profile(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither --to over the kept file, by a link with another ending, nor two kinds of output at once."""
    run(capsys, "profile", "save", FIRST, "--as", "spring")
    (kept,) = (here / "kept").glob("spring-*/0001-*.toml")
    before = kept.read_bytes()
    (here / "card.html").symlink_to(kept)
    for options in (("--to", "card.html"), ("--to", "a.pdf", "--plain"), ("--to", "a.pdf", "--to", "a.txt")):
        code, out, err = run(capsys, "profile", "repeat", "spring", "--samples", "0", *options)
        assert (code, out, err.count("\n")) == (4 if "card.html" in options else 2, "", 1)
    assert kept.read_bytes() == before
    assert not (here / "a.pdf").exists()


PIECES = '\n[[artwork.pieces]]\ntext = "HERON"\n'


def test_a_slice_sheet_bears_the_name_that_it_was_given(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """That file and no other; a second one says that it took its place; the job is never written over."""
    job = here / "job.toml"
    job.write_text(examples()[FIRST].read_text("utf-8") + PIECES, "utf-8")
    before = job.read_bytes()
    for times in (1, 2):
        code, out, _ = run(
            capsys, "art", "slice", "job.toml", "--to", "my.own name.svg", *(["--yes"] if times == 2 else [])
        )
        assert code in (0, 5)
        assert "  wrote my.own name.svg\n" in out
        assert ("replaced 4 earlier files" in out) == (times == 2)
    written = {"my.own name.svg", *(f"my.own name-{part}.svg" for part in ("first", "second", "rest"))}
    assert {path.name for path in here.iterdir() if path.is_file()} == {"job.toml", *written}
    assert "): import my.own name-first.svg." in out
    assert job.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("art", "slice", FIRST, "--to", "no/x.svg"), "there is no folder no"),
        (("art", "slice", FIRST, "--to", "x.pdf"), "name a folder to write into"),
        (("print", "setup", FIRST, "--to", "mine.txt"), "that may be your own: name another file, or add --yes"),
        (("print", "setup", FIRST, "--to", "link.txt"), "may be your own"),
        (("print", "setup", FIRST, "--to", "mine.txt"), "may be your own"),
        (("plan", FIRST, "--json", "--to", "mine.txt"), "may be your own"),
        (("profile", "repeat", "bottle", "--to", "mine.txt"), "may be your own"),
        (("patch", "new", FIRST, "--to", "mine.svg"), "may be your own"),
        (("art", "check", FIRST, "x.svg", "--to", "mine.svg"), "may be your own"),
        (("job", "as-measured", FIRST, "--to", "mine.txt"), "may be your own"),
        (("art", "slice", FIRST, "--text", "A", "--to", "mine.txt"), "is a file"),
        (("art", "flat", FIRST, "--text", "A", "--to", "new.dxf"), "name a folder to write into"),
        (("art", "dots", FIRST, "x.png", "--to", "mine.txt/x"), "no file can be written into"),
        (("print", "template", FIRST, "--to", "no/x.pdf"), "there is no folder no"),
        (("art", "names", FIRST, "x.csv", "--to", "mine.txt"), "is a file"),
        (("inscribe", "brass-nut", "--text", "A", "--to", "n.svg"), "name a folder to write into"),
        (("machine", "tests", FIRST, "--to", "mine.txt"), "may be your own"),
        (("machine", "seam-test", FIRST, "--to", "mine.txt"), "may be your own"),
        (("resume", FIRST, "--to", "mine.txt", "--text", "A"), "is a file"),
    ],
)
def test_where_nothing_may_be_written_is_said_before_any_work(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], says: str
) -> None:
    """One sentence, nothing planned, the person's own file as it was."""
    (here / "mine.txt").write_text("mine", "utf-8")
    (here / "mine.svg").write_text("mine", "utf-8")
    (here / "link.txt").symlink_to("mine.txt")
    monkeypatch.setattr("rotary.plan.plan", lambda *_, **__: pytest.fail("was planned"))
    code, _, err = run(capsys, *words)
    assert code == 4
    assert says in err
    assert err.count("\n") == 1
    assert (here / "mine.txt").read_text("utf-8") == "mine"
    assert {path.name for path in here.iterdir() if path.name != "kept"} == {"mine.txt", "mine.svg", "link.txt"}


WRITTEN = (
    ("print", "setup", FIRST, "--to", "a.txt"),
    ("plan", FIRST, "--json", "--to", "a.txt"),
)


@pytest.mark.parametrize("words", WRITTEN)
def test_what_was_written_here_is_written_again_where_that_is_said(
    here: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """Only where the person says so, and with the mode that the person gave it."""
    path = here / "a.txt"
    assert run(capsys, *words, "--samples", "0")[::2] == (0, "")
    path.chmod(0o600)
    before = path.read_bytes()
    code, _, err = run(capsys, *words, "--samples", "0")
    assert code == 4
    assert "there is already a file a.txt: name another file, or add --yes to replace it" in err
    path.write_bytes(before + b"more")
    assert run(capsys, *words, "--samples", "0", "--yes")[::2] == (0, "")
    assert path.read_bytes() == before
    assert path.stat().st_mode & 0o777 == 0o600
