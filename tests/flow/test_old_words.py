"""The commands of earlier versions: each still does its work, and says what it is now."""

import re
import shlex
from pathlib import Path
from typing import Literal

import pytest
from cyclopts import Token

from rotary.__main__ import main
from rotary.cli.old_words import OLD_WORDS, in_new_words
from rotary.cli.values import CHOICE
from rotary.cli.words import tree
from rotary.shipped import examples

ROOT = Path(__file__).resolve().parents[2]

PLAYED = """
desk JOB = open JOB
browser JOB --port 8000 = open --browser JOB --port 8000
ask JOB --folder store = open --ask JOB --store store
plan JOB --draws 0 --out plan.txt --over = plan JOB --samples 0 --to plan.txt --yes
card JOB --draws 0 --out card.txt = print setup JOB --samples 0 --to card.txt
card JOB --picture side-view --to side.svg = print picture JOB --to side.svg side-view
card JOB --to card.html --paper A4 = print setup JOB --to card.html --paper A4
card JOB --to card.svg --paper A4 = print setup JOB --to card.svg --paper A4
paper JOB setup-card --to setup.html = print setup JOB --to setup.html
paper JOB proof-patch --to patch.txt --new = print patch JOB --to patch.txt --another
paper JOB tapes --to tests.txt --rigs rigs = print tests JOB --to tests.txt --machines rigs
paper JOB wrap-template --to wrap.svg = print template JOB --to wrap.svg
paper JOB slice-sheet --to my.svg --paper A4 = art slice JOB --to my.svg
examples = job example
examples brass-nut = job example brass-nut
sheet JOB --to slices --more-columns = art slice JOB --to slices --more-slices
sheet JOB --to files --files --over = art slice JOB --to files --files --yes
flat JOB --to flat --inches = art flat JOB --to flat --inches
forecast JOB my.svg --draws 5 --picture told.svg = art check JOB my.svg --samples 5 --to told.svg
picture JOB photo.png --to dots --mark darker = art dots JOB photo.png --to dots --mark darker
template JOB --to papers --paper a4 = print template JOB --to papers --paper a4
names JOB crew.csv --to crew = art names JOB crew.csv --to crew
keep JOB --as mug = profile save JOB --as mug
kept --proven = profile list --proven
kept --head fibre = profile list --laser fibre
again mug --plain = profile repeat mug --plain
copy mug --as "blue mug" = profile copy mug "blue mug"
rename "blue mug" --as "old mug" = profile rename "blue mug" "old mug"
nearest JOB = profile find JOB
show mug --version 1 = profile show mug --version 1
history mug = profile history mug
note mug "wipe twice" = profile note mug "wipe twice"
compare mug 1 2 = profile compare mug 1 2
restore mug --version 1 = profile restore mug --version 1
choose mug 3 = profile resolve mug 3
reading mug --of patch --shows clear = profile reading mug --of patch --shows clear
reading mug --strike 1 = profile reading mug --ignore 1
proven mug --batch April --passes 4 = profile proven mug --batch April --passes 4
ran mug --outcome clear --items 12 = log add mug --outcome clear --items 12
logbook mug --settings = log list mug --settings
export out.zip mug --over = profile export mug --yes --to out.zip
export mug --to again.zip = profile export mug --to again.zip
import out.zip = profile import out.zip --dry-run
import out.zip --take = profile import out.zip
discard "old mug" = profile delete "old mug"
bin = profile bin
mend = profile repair
gauge field axis=x "drawn=140 mm" "measured=139.6 mm" = machine record field axis=x "drawn=140 mm" "measured=139.6 mm"
gauge field axis=x "drawn=140 mm" "measured=139.6 mm" --rig new = \
machine record field axis=x "drawn=140 mm" "measured=139.6 mm" --machine new --new
program pause=yes --label power=Output = machine record program pause=yes --label power=Output
rig --json = machine show --json
rig --all = machine list
rig --new shed = machine new shed
rig --rig shed --rename barn = machine rename shed barn
changed lens --rig new = machine changed lens --machine new
strike 1 = machine ignore 1
tape JOB field --out tapes = machine tests JOB field --to tapes
strip JOB --out strip = machine seam-test JOB --to strip
strip JOB --form none.toml --only-say = machine seam-test JOB --from none.toml --dry-run
matters JOB = plan --error-budget JOB
measured JOB --out mine.toml = job as-measured JOB --to mine.toml
measured JOB --text A --folder sheet = art slice JOB --text A --to sheet
level JOB --foot-end 95mm --rim-end 96mm --apart 60mm --base 90mm = \
machine level JOB --base-end 95mm --rim-end 96mm --apart 60mm --pivot 90mm
resume JOB --foot-right 0.4mm --rim-right 0.4mm --folder rest = \
resume JOB --base-right 0.4mm --rim-right 0.4mm --to rest
patch JOB --cells 4 --svg patch.svg = patch new JOB --cells 4 --to patch.svg
read-patch JOB 1=covered --patch 1 = patch record JOB 1=covered --patch 1
readings = patch list
readings JOB --strike 1 = patch ignore 1 JOB
readings --count-again 1 = patch ignore 1 --undo
readings --close-patch 1 = patch ignore --patch 1
came-out JOB clear --passes 6 = log add --teach --unlogged JOB clear --passes 6
what-helps JOB --seconds 1 --draws 100 = plan --suggestions JOB --seconds 1 --samples 100
inscribe NUT --text A --over = inscribe NUT --text A --yes
depth NUT --wanted "40 um" = depth plan NUT --wanted "40 um"
depth NUT --gauged "10 = 18 um" = depth record NUT "10 = 18 um" --tries
depth NUT --gauged "10 = 18 um" --keep = depth record NUT "10 = 18 um"
depth NUT --kept = depth list
depth NUT --strike 1 = depth ignore 1
schema plan = job schema plan
"""


def lines() -> list[tuple[list[str], list[str]]]:
    """What was typed before, and what it is now."""
    pairs = [line.rpartition(" = ") for line in PLAYED.replace("\\\n", "").strip().splitlines()]
    return [(shlex.split(before), shlex.split(now)) for before, _, now in map(_parted, pairs)]


def _parted(parts: tuple[str, str, str]) -> tuple[str, str, str]:
    """The readings of depth have the sign in them, too."""
    before, sign, now = parts
    whole = before + sign + now
    at = next(place for place in [m.start() for m in re.finditer(" = ", whole)] if whole[:place].count('"') % 2 == 0)
    return whole[:at], sign, whole[at + 3 :]


def test_every_old_word_is_played() -> None:
    """No word of the table is left out here, and the page has them all."""
    assert {before[0] for before, _ in lines()} == {*OLD_WORDS}
    page = (ROOT / "docs" / "reference" / "old-words.md").read_text("utf-8")
    assert re.findall(r"^\| `rotary ([\w-]+)` \|", page, re.M) == [old for old, new in OLD_WORDS.items() if new != old]


@pytest.mark.parametrize(("before", "now"), lines(), ids=[" ".join(before) for before, _ in lines()])
def test_an_old_word_is_turned_into_one_that_is_understood(before: list[str], now: list[str]) -> None:
    """Word for word; and nothing of it is unknown to the command line of today."""
    assert in_new_words(before) == [now]
    everywhere = {"--yes", "--dry-run"}
    tree().parse_args([word for word in now if word not in everywhere], print_error=False, exit_on_error=False)


def test_words_of_today_are_left_alone() -> None:
    """No new command is taken for an old one, though some begin alike."""
    for words in (
        "plan JOB",
        "patch new JOB",
        "depth list",
        "resume JOB --to rest",
        "inscribe JOB --text A",
        "log list",
        "",
    ):
        assert in_new_words(words.split()) is None


@pytest.mark.slow
def test_every_old_word_does_its_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one shop: all end well, but those that need a screen or a filled-in form; each says its new form.

    A setup sheet is written as SVG no more, and says so.
    """
    from PIL import Image

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "store"))
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    monkeypatch.setattr("tui.browser.server.run", lambda *_: 0)
    monkeypatch.setattr("tui.plain.run.run", lambda *_: 0)
    bottle = examples()["regatta-bottle"].read_text("utf-8")
    (tmp_path / "JOB").write_text(
        bottle.replace("[artwork]", '[[artwork.pieces]]\ntext = "Heron"\n\n[artwork]'), "utf-8"
    )
    (tmp_path / "NUT").write_text(examples()["brass-nut"].read_text("utf-8"), "utf-8")
    (tmp_path / "crew.csv").write_text("name\nHeron\nTern\n", "utf-8")
    Image.linear_gradient("L").resize((60, 60)).save(tmp_path / "photo.png", dpi=(50, 50))
    for before, now in lines():
        code = main(before)
        said = capsys.readouterr()
        wanted = 4 if "none.toml" in before else 2 if before[0] == "desk" or "card.svg" in before else 0
        assert code == wanted, (before, code, said.err)
        assert f"this is an old command: from now on type rotary {shlex.join(now)}" in said.err, before


@pytest.mark.parametrize(
    ("old", "new"), [("joints", "seams"), ("forecast", "simulation"), ("datum", "end"), ("band", "artwork")]
)
def test_a_choice_of_before_is_the_one_of_today(old: str, new: str) -> None:
    """Words behind options that have another name now are taken as that."""
    words = Literal["seams", "simulation", "end", "artwork"]
    assert CHOICE.converter is not None
    assert CHOICE.converter(words, [Token(keyword="--reach", value=old)]) == new  # type: ignore[operator, unused-ignore]
