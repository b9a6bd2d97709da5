"""The example that is open at the first start: ready, with a drawing that ships, and plainly nobody's machine."""

import re
from pathlib import Path
from typing import Any

import pytest

from rotary.actions.build import actions_of
from rotary.actions.verdict import step
from rotary.job import job_from_file
from rotary.sentences.actions import with_words
from rotary.services.planning import plan_for
from rotary.shipped import examples
from rotary.store.readings import invented_readings
from tests.actions.cases import plan_of
from tests.tui.conftest import Desk
from tui.background.worker import Worker
from tui.drawings.canvas import plain
from tui.drawings.standing import AFTER, lines_needed, standing_lines
from tui.form.progress import did, done_last
from tui.job_files import example


async def test_it_is_ready_says_example_first_and_writes_its_file_at_the_first_key(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is missing, the verdict begins with EXAMPLE, its step is in sight, F5 writes what the panel names."""
    monkeypatch.chdir(tmp_path)
    async with desk(60, 20, example()) as person:
        assert "EXAMPLE, NOT YOUR MACHINE. Clean: " in person.screen()
        assert "READY" not in person.screen()
        await person.see("Make the file heron-oars-first.svg")
        await person.press("f5")
        await person.until((tmp_path / "heron-oars-first.svg").is_file)
        await person.until(lambda: "Make the file heron-oars-first.svg" not in person.screen())


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_top_lines_say_what_comes_after_each_step(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """Files, sheet, saved, marked: each done by the key that was named last; a change of the job begins again."""
    monkeypatch.chdir(tmp_path)
    async with desk(*size, example()) as person:
        await person.press("f5")
        await person.see("Next: print the setup sheet.")
        assert "[3 PRINT]" in person.screen()
        await person.press("ctrl+k", "enter")
        await person.until(lambda: list(tmp_path.glob("*.pdf")))
        await person.until(lambda: done_last(person.session) == "sheet")
        await person.press("escape")
        await person.see("Next: save the job, then mark by the sheet.")
        assert "[4 MARK]" in person.screen()
        await person.press("ctrl+s")
        await person.see("Next: mark by the sheet, then say how it went.")
        person.go("artwork.width")
        await person.press("delete")
        await person.write("58 mm")
        await person.judged()
        assert "Next: " not in person.screen()
        did(person.session, "sheet")
        person.app.desk.say_next()
        await person.see("Next: save the job, then mark by the sheet.")


async def test_the_size_that_the_program_must_show_is_that_of_the_file_or_has_no_digits_yet(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before the drawing is laid out only its frame is known, which is not as high as the file comes out."""
    monkeypatch.chdir(tmp_path)
    held, ask = list[object](), Worker.ask

    def hold(worker: Any, errand: Any) -> None:
        if getattr(errand, "what", "") == "actions":
            held.append(errand)
        else:
            ask(worker, errand)

    with monkeypatch.context() as patch:
        patch.setattr(Worker, "ask", hold)
        async with desk(120, 40, example()) as person:
            await person.until(lambda: held)
            assert "program must show --.--- × --.--- mm" in person.screen()
    async with desk(120, 40, example()) as person:
        await person.press("f5")
        await person.until((tmp_path / "heron-oars-sliced.svg").is_file)
        head = (tmp_path / "heron-oars-first.svg").read_text("utf-8")[:400]
        wide, high = re.findall(r'(?:width|height)="([0-9.]+)mm"', head)[:2]
        await person.see(f"program must show {wide} × {high} mm")


def test_its_readings_teach_that_example_alone() -> None:
    """Another item on the same laser, or the same item on a laser of ones own, learns nothing from them."""
    job = job_from_file(examples()["heron-cup"])
    assert plan_for(job, draws=50).removal.readings == len(invented_readings(job)) > 0
    other = job.model_copy(update={"item": job.item.model_copy(update={"name": "mine"})})
    own = job.model_copy(update={"laser": job.laser.model_copy(update={"use": ""})})
    assert invented_readings(other) == invented_readings(own) == ()


def test_what_was_done_hides_no_step_but_the_sheet() -> None:
    """A first slice on scrap is still to be marked once files and sheet are written, and has its line."""
    made = actions_of(plan_of("chuck, straight"))
    steps = (step("scrap_first", 0.5), step("print_sheet", 1))
    actions = with_words(made.model_copy(update={"steps": steps}), ())
    for after in AFTER:
        lines = standing_lines(actions, (), "", (), False, 80, lines_needed(actions, 80, after), after)
        shown = " ".join(plain(lines).split())
        assert "Next: " in shown
        assert actions.steps[0].text in shown.replace(" [Ctrl+K]", "")
        assert actions.steps[1].text not in shown
