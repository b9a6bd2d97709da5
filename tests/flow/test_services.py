"""One service layer: whatever the front end, the same job gives the same plan and the same paper."""

import ast
import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rotary.cli import main
from rotary.errors import Refused
from rotary.files import toml_tables
from rotary.inscription.depths import depth_of
from rotary.job import job_from_file
from rotary.passes.learning.depth import DepthReading
from rotary.sentences.plan import plan_in_words
from rotary.services import USUAL_DRAWS, Folders
from rotary.services.planning import plan_for
from rotary.shipped import FIRST, examples
from rotary.store.depths import add_depths
from rotary.store.profiles import load
from tests.setups import wordless_nut
from tui.background.print_work import printed_errand
from tui.background.tasks import Errand
from tui.disk.save import save
from tui.form.job_form import Session
from tui.form.patch import draw_next_patch, patch_view, what_helps
from tui.planner.request import Request
from tui.planner.verdict import judge

ROOT = Path(__file__).resolve().parents[2]
BAR = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 30" width="40mm"><path d="M5 5h30v9h-30z"/></svg>'
NUT = examples()["brass-nut"]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of profiles in which depths of the nut's brass were gauged, and a machine measured."""
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    stamp = depth_of(job_from_file(NUT), 40.0).stamp
    gauged = [DepthReading(passes=n, depth_um=3.0 * n).model_copy(update=stamp) for n in (10, 20, 40)]
    add_depths(gauged, tmp_path / "kept")
    assert main(["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=139.6 mm"]) == 0
    assert main(["machine", "rename", "main", "bench"]) == 0
    return tmp_path


@pytest.fixture
def nut() -> dict[str, Any]:
    """The nut's tables, on that machine."""
    return {"machine": "bench", **toml_tables(wordless_nut())}


def test_every_front_plans_a_job_alike(shop: Path, nut: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    """Gauged depths and the measured machine are in the plan of the layer, of the screen and of the command line."""
    job = shop / "nut.toml"
    job.write_text('machine = "bench"\n' + wordless_nut(), "utf-8")
    capsys.readouterr()
    made = plan_for(job_from_file(job))
    assert plan_in_words(made).sentences.first_line.startswith("After 3 depth readings")
    assert made.job.tolerances.field_scale_share < job_from_file(job).tolerances.field_scale_share
    assert judge(Request(1, nut, "mm")).plan == plan_in_words(made)
    assert main(["plan", str(job), "--json"]) == 0
    told, whole = json.loads(capsys.readouterr().out), json.loads(plan_in_words(made).model_dump_json())
    # How long it takes stands beside the plan, since it goes by the clock and the log.
    assert told["actions"].pop("time")["piece"] > 0
    assert whole["actions"].pop("time") is None
    assert told == whole
    bare = plan_for(job_from_file(NUT), Folders(shop / "nowhere", shop / "rigs"), USUAL_DRAWS)
    assert plan_in_words(bare).sentences.first_line != plan_in_words(made).sentences.first_line


def test_the_card_of_the_screen_is_that_of_the_command_line(shop: Path, nut: dict[str, Any]) -> None:
    """Printed from the desk, a card goes by the gauged depths too: word for word the one of the command line."""
    job = shop / "nut.toml"
    job.write_text('machine = "bench"\n' + wordless_nut(), "utf-8")
    assert main(["print", "setup", str(job), "--to", str(shop / "theirs.txt")]) == 0
    more = ("setup", str(shop / "mine.txt"), "A4", str(shop / "kept"), "")
    printed_errand(Errand("print", "1", nut, "mm", str(shop), more), lambda _: None)
    assert (shop / "mine.txt").read_bytes() == (shop / "theirs.txt").read_bytes()


def test_a_save_from_the_screen_is_that_of_the_command_line(shop: Path) -> None:
    """Saved at the desk, a job with a drawing stores the sheet that its drawing makes, and knows the drawing again."""
    (shop / "bar.svg").write_text(BAR, "utf-8")
    text = examples()["regatta-bottle"].read_text("utf-8")
    text = text.replace("[artwork]\n", '[artwork]\npieces = [{ file = "bar.svg" }]\n')
    (shop / "job.toml").write_text(text, "utf-8")
    assert main(["profile", "save", str(shop / "job.toml"), "--as", "theirs"]) == 0
    session = Session(toml_tables(text))
    session.accept(judge(session.request()))
    assert save(session, shop / "kept", shop) is None
    mine, theirs = (load(name, shop / "kept").profile.saved for name in (session.text("item.name"), "theirs"))
    assert mine.drawings == theirs.drawings != ()
    assert mine.plan == theirs.plan
    assert mine.plan is not None
    assert mine.plan.actions is not None
    assert "artwork_size_1" in mine.plan.actions.rows


@pytest.mark.parametrize("ask", [what_helps, draw_next_patch, patch_view])
def test_the_patch_screen_goes_by_the_machine_as_measured(ask: Callable[..., object], shop: Path) -> None:
    """What is chosen, shown and tried there is for the machine that the job names, which has to be one that is kept."""
    job = {"machine": "nowhere", **toml_tables(examples()["regatta-bottle"].read_text("utf-8"))}
    more = (print,) if ask is what_helps else ()
    with pytest.raises(Refused, match="nowhere"):
        ask(job, "mm", shop / "kept", *more)


def test_fronts_ask_the_layer_for_a_plan() -> None:
    """No front calls the stages' plan by itself, but to compare a plan with and without its readings."""
    own = set()
    for path in sorted([*(ROOT / "rotary" / "cli").rglob("*.py"), *(ROOT / "tui").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "rotary.plan":
                own |= {path.name for name in node.names if name.name == "plan"}
    assert own == set()


def test_a_job_from_a_pipe_is_read_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What can be read only once gives its plan and its drawings all the same."""
    monkeypatch.chdir(tmp_path)
    job = examples()[FIRST].read_bytes()
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(job)))
    assert main(["art", "flat", "-", "--text", "Heron", "--to", "out"]) == 0
    assert "slices of" in capsys.readouterr().out
    assert list((tmp_path / "out").glob("heron-*.svg"))


def test_the_seams_as_measured_are_those_of_the_setup_sheet(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """The gap that closes counts in both, so one job has one figure for all its seams."""
    (figure,) = re.findall(r"Seams off by up to (\d+ µm)", rotary("print", "setup", "regatta-bottle")[1])
    said = rotary("job", "as-measured", "regatta-bottle")[1]
    assert said.count(f"seams gap or overlap by at most {figure} on 19 of 20 items") == 2
