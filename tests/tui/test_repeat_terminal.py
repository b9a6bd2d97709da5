"""A proven job repeated and its run logged in a real terminal: every key counted."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from rotary.job import job_from_file
from rotary.plan import plan
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.shipped import examples
from rotary.store.additions import prove
from rotary.store.logbook import logbook
from rotary.store.profiles import keep
from tests.patience import until

from .test_end_to_end import Shop, pytestmark

__all__ = ["pytestmark"]

REPEAT_TO_SHEET, RUN_LOGGED = 4, 8


@pytest.fixture(params=[(60, 20), (120, 40)], ids=["60x20", "120x40"])
def shop(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Shop]:
    started = Shop(tmp_path, *request.param)
    yield started
    subprocess.run([*started.base, "kill-server"], capture_output=True, check=False)


@pytest.mark.slow
def test_repeat_to_sheet_and_run_to_logbook(shop: Shop) -> None:
    """From the open list to the printed sheet in four keys, from the job to a logged run in eight."""
    store = shop.folder / "data" / "rotary" / "profiles"
    job = job_from_file(examples()["regatta-bottle"])
    run = with_passes_counted(whole_run(plan(job)), 6)
    prove(keep(job, "Green bottle", store, run).path.parent, run, "B-77")
    shop.write("rotary; echo exit=$?")
    shop.press("Enter")
    shop.see(r"EXAMPLE")
    shop.press("C-o")
    shop.see(r"proven on")
    shop.press("Enter")
    shop.see(r"CHECK TODAY")
    shop.see(r"PROVEN")
    shop.see(r"Enter print")
    shop.press("Enter")
    shop.see(r"Enter writes it")
    shop.press("Enter")
    keys = 3
    printed = shop.folder / "shop" / "regatta-bottle-600-ml-setup.pdf"
    until(printed.is_file, shop.screen)
    assert keys <= REPEAT_TO_SHEET
    shop.see(r"Written: ")
    shop.press("Escape")
    until(lambda: "of this job" not in shop.screen(), shop.screen)
    keys = 0
    for key in ("F8", "g", "1", "3", "Tab", "1", "Enter"):
        shop.press(key)
        keys += 1
        if key == "F8":
            shop.see(r"coating \[L\]eft")
            shop.see(r"PROVEN")
            shop.see(r"how it came out")
        elif key == "g":
            shop.see(r"logs the run")
    (logged,) = until(lambda: logbook(store).runs, shop.screen)
    assert (logged.outcome, logged.items, logged.spoiled) == ("clear", 13, 1)
    assert keys <= RUN_LOGGED
    shop.see(r"12\s+of\s+13\s+items\s+good")
    shop.press("C-q")
    shop.see(r"(?m)^exit=0")
