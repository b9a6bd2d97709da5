"""Pages of the machine's screen: strip, level, focus, pointer, an item taken off, machines by name; with keys only."""

import json
import re
from collections.abc import AsyncIterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from rotary.cli import main
from rotary.machine.readings import Heights, Pointer, Stairs, StripResult
from rotary.machine.store import load_machine
from tui.drawings.canvas import plain
from tui.job_files import example
from tui.screens.machine import MachineScreen
from tui.screens.machine_pages import Answer
from tui.screens.machine_readings import bench_of

from .conftest import Desk, Person


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    monkeypatch.chdir(tmp_path)
    return tmp_path / "rigs"


@pytest.fixture
async def person(desk: Desk, machines: Path) -> AsyncIterator[Person]:
    """Somebody who has opened the machine's screen."""
    assert not machines.exists()
    async with desk(160, 50) as person:
        await person.press("ctrl+r")
        await person.see("0 readings")
        await page(person, "readings")
        yield person


async def page(person: Person, name: str) -> None:
    """Turn to a page."""
    while f"[{name}]" not in person.screen():
        await person.press("f4")
        await person.pilot.pause()


async def down(person: Person, *texts: str) -> None:
    """Type into one field after the other, an empty text leaves one as it is."""
    for text in texts:
        await person.write(text)
        await person.press("tab")


async def read_strip(person: Person, rising: str, falling: str) -> None:
    """Fill in the whole form of the strip."""
    await page(person, "seam test")
    await person.see("tape thickness")
    await person.press("tab", "tab", "right", "tab", "right", "tab", "tab", "tab")
    for _ in range(3):
        await down(person, *[rising] * 4, *[falling] * 4)


def test_a_job_without_a_plan_is_told_with_what_it_lacks(machines: Path) -> None:
    """The sentence names the field: "Is missing" alone says nothing."""
    assert not machines.exists()
    tables = example()
    del tables["artwork"]["width"]
    assert "Width is missing" in bench_of(tables, "mm", "")[0].trouble


def test_no_step_of_an_answer_is_cut() -> None:
    """Which way the item is turned stands at the end of a line with a box: it goes on below where it has no room."""
    says = "[ ] Turn the item 25 steps: the crosses come back on top from the right (+X)."
    page = SimpleNamespace(bench=object(), answer=Answer((("plain", says),)))
    assert " ".join(plain(MachineScreen._answer(page, 40, 9)).split()) == says  # type: ignore[arg-type]


@pytest.mark.slow
async def test_one_strip_leads_from_beliefs_to_a_corrected_sheet(
    person: Person, machines: Path, tmp_path: Path
) -> None:
    """With keys only: files, reading, diagnosis, correction; the desk then plans as the command line does with it."""
    before = person.session.plan.split.slice_width_mm
    await page(person, "seam test")
    await person.see("Mark the test, read it")
    await person.press("f5")
    await person.until(lambda: (tmp_path / "seam-test" / "seam-test-form.toml").exists())
    await read_strip(person, "-2", "2")
    screen = await person.see("makes each slice")
    assert "+40 / +0" in screen
    await person.press("ctrl+s")
    await person.see("reading saved: main now has")
    kept = load_machine("main", machines).readings
    assert isinstance(kept[0], StripResult)
    assert kept[0].scale_share == pytest.approx(0.004, abs=0.0005)
    await person.press("escape")
    await person.see("*  on main ")
    await person.judged()
    assert person.session.text("machine") == "main"
    plan = person.session.plan
    assert plan.split.slice_width_mm != before
    assert main(["plan", "regatta-bottle", "--machine", "main", "--json", "--to", "plan.json"]) == 0
    said = json.loads((tmp_path / "plan.json").read_text("utf-8"))
    for part in ("split", "focus", "removal", "turning", "optics"):
        assert json.loads(getattr(plan, part).model_dump_json()) == said[part]
    await person.press("f7")
    await person.judged()
    assert person.session.plan.split.slice_width_mm == before


@pytest.mark.slow
async def test_ticks_answer_one_by_one_and_wrong_ones_are_told(person: Person, machines: Path) -> None:
    """A gap shows from the first pair of ticks on; a senseless tick is marked with a sentence, and nothing is kept."""
    await page(person, "seam test")
    await person.see("tape thickness")
    await person.press(*["tab"] * 6)
    await down(person, "-1", "", "", "", "1")
    screen = await person.see("+19 / +0")
    assert "Still missing: the order of the numbers and how the F looks" in screen
    await person.press("tab", "tab", "tab")
    await person.write("400")
    await person.see("more than the test shows")
    await person.press("ctrl+s")
    await person.see("no correction to save yet")
    await person.press("f7")
    await person.see("+19 / +0")
    assert not machines.exists()


@pytest.mark.slow
async def test_a_mirrored_strip_is_a_setting_and_nothing_is_kept(person: Person, machines: Path) -> None:
    """Before all ticks: a mirrored letter has a setting to put right."""
    await page(person, "seam test")
    await person.see("tape thickness")
    await person.press("tab", "tab", "right", "tab", "right", "right")
    await person.see("Each slice is mirrored")
    await person.press("ctrl+s")
    await person.see("no correction to save yet")
    assert not machines.exists()


@pytest.mark.slow
async def test_heights_say_what_to_put_under_which_end(person: Person, machines: Path) -> None:
    """The shim as the command line says it, in mm and in inches; kept as this item's level, whatever is shown."""
    await page(person, "level")
    await person.press("up", "down", "down", "down")
    assert re.search(r"shim from the end +150 mm", person.screen()), "what holds stays in sight under the cursor"
    await person.press("up", "up", "up")
    await down(person, "95", "97", "60")
    await person.see("mm shim under the rotary, at the end where the item's base is")
    await person.press("f2")
    await person.until(lambda: "3.74" in person.screen())
    assert " in shim under the rotary" in await person.see("0.1967 in shim")
    await person.press("ctrl+s")
    await person.see("reading saved: main now has")
    kept = load_machine("main", machines).readings[0]
    assert isinstance(kept, Heights)
    assert (kept.base_end_mm, kept.rim_end_mm, kept.apart_mm) == pytest.approx((95, 97, 60), rel=1e-12)
    await person.press("shift+tab")
    await person.write("0")
    await person.press("shift+tab")
    await person.write("-3")
    await person.see("above zero")


@pytest.mark.slow
async def test_enter_goes_down_the_column(person: Person, machines: Path) -> None:
    """Widths are read one after the other: Enter leads from one to the next, past the heights beside them."""
    assert not machines.exists()
    await page(person, "focus")
    await person.see("line 11")
    await person.press("tab", "1", "enter", "2", "enter")
    values = person.app.screen.values  # type: ignore[attr-defined]
    assert [values.text(f"width {k}") for k in range(3)] == ["1", "2", ""]
    assert person.app.screen.form.cell.key == "width 2"  # type: ignore[attr-defined]


@pytest.mark.slow
async def test_stairs_give_the_waist(person: Person, machines: Path) -> None:
    """Widths of a known beam give its focal plane back; a text that is no width is marked."""
    await page(person, "focus")
    screen = await person.see("line 11")
    assert "line 1 " in screen
    fields = person.app.screen.values.fields.values()  # type: ignore[attr-defined]
    heights = [float(field.stands.split()[0]) for field in fields if field.key.startswith("height")]
    for height in heights:
        await down(person, "", f"{0.1 * (1 + ((height - 0.5) / 2) ** 2) ** 0.5:.3f}")
    screen = await person.see("narrowest line")
    assert "The focus is 0.50 mm" in screen
    assert "below where you set it" in screen
    assert "depth of focus: 2.0" in screen
    await person.press("ctrl+s")
    # The job goes by this machine on leaving. The next lines have other heights, so these widths are no longer theirs.
    screen = await person.see("reading saved: main now has")
    assert "this job uses no machine" not in screen
    await person.see("Type how wide each marked line is")
    assert isinstance(load_machine("main", machines).readings[0], Stairs)


@pytest.mark.slow
async def test_the_pointer_is_told_over_height(person: Person, machines: Path) -> None:
    """Two heights give the offset at any other; what is missing is asked for."""
    await page(person, "pointer")
    await down(person, "", "", "1", "1.5", "0.2", "0.2")
    screen = await person.see("+10 mm")
    line = next(line for line in screen.splitlines() if "+20 mm " in line)
    # What was believed before pulls a little.
    assert float(line.split("+20 mm")[1].split()[0]) == pytest.approx(2.0, abs=0.2)
    await person.press("ctrl+s")
    await person.see("reading saved: main now has")
    assert isinstance(load_machine("main", machines).readings[0], Pointer)


@pytest.mark.slow
async def test_what_is_left_after_the_item_was_taken_off(person: Person, machines: Path, tmp_path: Path) -> None:
    """Ticks read, boxes ticked: the card and a file for each slice that is left; misread ticks are refused."""
    await page(person, "after a stop")
    await person.see("two witness")
    await down(person, "0.4", "0.2", "0.5", "0.2", "", "1-3", "6")
    await person.see("6 passes + last pass")
    await down(person, "", "Regatta")
    await person.press("f5")
    await person.see("now in the folder what-is-left")
    names = sorted(path.name for path in (tmp_path / "what-is-left").iterdir())
    assert "what-is-left.txt" in names
    assert all(int(name.split("-slice-")[1][:2]) > 3 for name in names if name.endswith(".svg"))
    assert not machines.exists()


@pytest.mark.slow
async def test_ticks_that_can_not_be_right_are_told_at_their_field(person: Person, tmp_path: Path) -> None:
    """The ticks can't move on the item: readings that bring them nearer together are refused, and nothing written."""
    await page(person, "after a stop")
    await down(person, "0.4", "0", "0.5", "5")
    await person.see("can't have moved on the item")
    await person.press("f5")
    await person.see("nothing to write yet")
    assert not (tmp_path / "what-is-left").exists()


@pytest.mark.slow
async def test_machines_are_begun_renamed_and_chosen(person: Person, machines: Path) -> None:
    """A name begins a machine, another renames it, the job follows; none gives the job its own figures back."""
    await page(person, "machines")
    await person.press("tab")
    await person.write("Boathouse laser")
    await person.press("ctrl+s")
    await person.see("this job now uses it (0 readings)")
    assert (machines / "boathouse-laser.toml").exists()
    await person.press("tab")
    await person.write("Shed laser")
    await person.press("ctrl+s")
    await person.see("is now called Shed laser")
    assert [path.name for path in machines.glob("*.toml")] == ["shed-laser.toml"]
    await person.press("escape")
    await person.see("*  on Shed laser ")
    assert person.session.text("machine") == "Shed laser"
    await person.press("ctrl+r")
    await person.see("Your machine: Shed laser")
    await page(person, "machines")
    await person.press("right", "ctrl+s")
    await person.see("no machine")
    await person.press("escape")
    await person.judged()
    assert person.session.text("machine") == ""


@pytest.mark.slow
async def test_a_machine_that_nobody_kept_is_told_at_its_field(desk: Desk, machines: Path) -> None:
    """A job from elsewhere names a machine that is not here: the desk says so and what to do."""
    assert not machines.exists()
    async with desk(120, 40) as person:
        person.session.edit("machine", "harbour laser")
        person.app.desk.refresh_all()
        await person.judged()
        assert "no machine named harbour laser is saved here" in person.session.faults()["machine"]


@pytest.mark.slow
async def test_a_proof_from_the_screen_takes_the_machine_along(person: Person, machines: Path, tmp_path: Path) -> None:
    """Ctrl+Y writes down what the desk planned: for the machine as measured, with what was read there."""
    from rotary.store.profiles import load

    await person.press("enter")
    await person.write("full")
    await person.press("enter")
    await person.see("at height")
    await person.until(lambda: person.app.screen.form.cell.key != "what")
    await person.write("0.85")
    await person.press("ctrl+s")
    await person.see("1 reading")
    await person.press("escape")
    await person.see("*  on main ")
    await person.judged()
    assert person.session.plan.turning.readings_used == 3
    await person.press("ctrl+s")
    await person.until(lambda: not person.session.unsaved)
    await person.press("ctrl+o")
    await person.see("version 1")
    await person.press("ctrl+y")
    await person.press("enter")
    await person.see("Type how many passes each slice got")
    await person.press("6", "enter")
    await person.see("Saved as proven, version 2")
    proof = load("Regatta bottle 600 ml", tmp_path / "kept").profile.saved.proof
    assert proof is not None
    assert proof.machine == "main"
    assert [reading.of for reading in proof.machine_readings] == ["turn"]
    assert proof.job.machine == "main"
    assert len(load_machine("main", machines).readings) == 1


@pytest.mark.slow
async def test_what_lapsed_is_told_on_the_desk(person: Person, machines: Path) -> None:
    """A changed lens makes readings stale: the title counts it, the machine's field says what to read again."""
    await person.press("enter")
    await person.write("field")
    await person.press("enter")
    await person.see("measured")
    await person.until(lambda: person.app.screen.form.cell.key != "what")
    await person.press("down", "down")
    await person.write("139.6")
    await person.press("ctrl+s")
    await person.see("1 reading")
    await person.press("up", "up", "up", "enter")
    await person.write("changed")
    await person.press("enter")
    await person.see("the lens was")
    await person.press("ctrl+s")
    await person.see("the change is saved")
    await person.press("escape")
    await person.see("*  on main, 1 reading to repeat")
    person.go("machine")
    await person.see("out of date")
    assert len(load_machine("main", machines).changes) == 1


@pytest.mark.slow
@pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.slow), pytest.param((200, 60), marks=pytest.mark.slow)]
)
async def test_every_page_at_every_size(desk: Desk, machines: Path, size: tuple[int, int]) -> None:
    """Each page opens, answers and explains itself on small and on large terminals."""
    async with desk(*size) as person:
        await person.press("ctrl+r")
        await person.see("0 readings")
        for name in ("seam test", "level", "focus", "pointer", "after a stop", "machines"):
            await page(person, name) if size[0] > 80 else await person.press("f4")
            await person.press("f1")
            await person.see("help: arrows")
            await person.press("escape", "f2", "f7")
        await person.press("escape")
        await person.until(lambda: person.app.screen is person.app.desk)
    assert not machines.exists()


@pytest.mark.usefixtures("machines")
async def test_what_was_typed_and_not_saved_is_back(desk: Desk) -> None:
    """Esc loses nothing that was read at the machine; a choice alone, or what was saved, does not come back."""
    async with desk(100, 30) as person:
        await person.press("ctrl+r")
        await page(person, "focus")
        await down(person, "12.5")
        await person.press("escape")
        await person.see("What you typed is not")
        await person.press("ctrl+r")
        await person.see("What you typed here")
        await page(person, "focus")
        # It is the field's value again, and goes with the other system.
        await person.press("f2")
        await person.see("0.49213 in")
        await person.press("f2", "f7")
        await person.until(lambda: "12.5" not in person.screen())
        await page(person, "readings")
        await person.press("right", "right")
        screen = person.app.screen
        assert isinstance(screen, MachineScreen)
        assert screen.typed[0].exact_texts()
        screen.draft.flush()
        assert not screen.draft.texts()


async def test_a_refused_reading_is_told_without_the_name_of_a_file_s_key(person: Person, machines: Path) -> None:
    """Two heights that no bench has are refused in a person's words, in the notice too; nothing is saved."""
    await page(person, "level")
    await down(person, "118", "12 in")
    await person.press("ctrl+s")
    screen = await person.see("not done")
    assert "the heights differ by more" in screen
    assert "reading." not in screen
    assert "rim_end" not in screen
    assert not machines.exists()
