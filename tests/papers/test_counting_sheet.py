"""The HTML sheet that counts with the person: driven by touch in a real browser, at a tablet's size."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest

from rotary.papers.drawing import corners
from rotary.papers.formats import document
from rotary.papers.html import html_text
from rotary.papers.model import Paper, PictureRow, PowerStep, Section
from rotary.papers.pages import fit
from rotary.papers.true_size import true_size_picture
from tests.papers.conftest import Sheet
from tests.tui.chromium import PROGRAM, Tab, browser

WIDE, HIGH = 820, 1180
GLOVE_PX = 48
LOCK_MS = 420
RUNGS = (PowerStep(20.0, 2), PowerStep(23.0, 4))

needs_a_browser = pytest.mark.skipif(PROGRAM is None, reason="there is no browser here")


async def tap(tab: Tab, what: str) -> None:
    """A touch in the middle of what a selector names, once it can be touched, until it counts and its lock is over."""
    # What stands in a step that is not in hand is drawn nowhere.
    find = f"[...document.querySelectorAll('{what}')].find(one => !one.disabled && one.getClientRects().length)"
    await tab.until(f"Boolean({find}) && Date.now() >= locked")
    where: Any = await tab.run(
        f"(() => {{ const one = {find}; one.scrollIntoView({{block: 'center'}});"
        " const box = one.getBoundingClientRect();"
        " return [box.left + box.width / 2, box.top + box.height / 2]; })()"
    )
    length = await tab.run("log.length")
    points = [{"x": where[0], "y": where[1]}]
    await tab.ask("Input.dispatchTouchEvent", type="touchStart", touchPoints=points)
    await tab.ask("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
    await tab.until(f"log.length !== {length} && Date.now() >= locked")


async def opened(tab: Tab, page: Path) -> None:
    await tab.ask("Emulation.setTouchEmulationEnabled", enabled=True)
    await tab.go(page.as_uri())


async def ticked_all(tab: Tab) -> None:
    """Every box of the step in hand: the first by a touch, the others as fast as the lock lets them."""
    open_box = ".now input[type=checkbox]:not(:checked)"
    if await tab.run(f"document.querySelectorAll('{open_box}').length"):
        await tap(tab, open_box)
    every = f"for (let one; (one = document.querySelector('{open_box}')); ) {{ locked = 0; one.click(); }}"
    await tab.run(f"(() => {{ {every} }})()")


async def ticked(tab: Tab) -> None:
    """Every box of the step in hand ticked, and the next one begun."""
    await ticked_all(tab)
    await tap(tab, "#main")


async def at_the_first_slice(tab: Tab) -> None:
    if await tab.run("!document.querySelector('#start').hidden"):
        await tap(tab, "#start")
    while await tab.run("document.querySelector('.now').dataset.step !== 'first'"):
        await ticked(tab)


def written(sheet: Sheet, folder: Path, pause: float = 0.0) -> Path:
    """The sheet as a file whose pauses are short."""
    path = folder / "sheet.html"
    make = sheet.make

    def quick(high: float) -> Any:
        paper = make(high)
        assert paper.counting is not None
        return replace(paper, counting=replace(paper.counting, pause_s=pause, slices=4, rungs=RUNGS))

    path.write_bytes(document(quick, ".html", "A4").data)
    return path


@needs_a_browser
@pytest.mark.slow
async def test_the_sheet_counts_a_job_from_the_first_tick_to_the_log(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """Two rungs, a residue, the second slice's count for the rest, then the line for the log; Back and reload, too."""
    page = written(sheets["four rungs"], tmp_path)
    async with browser(tmp_path / "profile") as open_tab:
        tab = await open_tab(WIDE, HIGH)
        await opened(tab, page)
        assert "Start now: done about" in await tab.words()
        await tap(tab, "#start")
        targets = "[...document.querySelectorAll('button, .now label, .slice')].filter(one => one.offsetParent)"
        small = await tab.run(
            f"{targets}.filter(one => one.getBoundingClientRect().height < {GLOVE_PX}).map(one => one.outerHTML)"
        )
        assert small == []
        assert await tab.run("document.documentElement.scrollWidth <= innerWidth")
        await at_the_first_slice(tab)
        assert "TEST FIRST" in await tab.words()
        # By the clock of the tablet: what was begun then is done so much later.
        begun, done = re.findall(r"\d?\d:\d\d", await tab.run("document.querySelector('#done').textContent"))
        hours, minutes = (int(one) - int(other) for one, other in zip(done.split(":"), begun.split(":"), strict=True))
        assert (60 * hours + minutes) % 720 == pytest.approx(await tab.run("job.total_s / 60 % 720"), abs=1)
        for _ in range(RUNGS[0].passes):
            await tap(tab, "#main")
            await tap(tab, '[data-what="left"]')
        assert "Type power 23 %, passes 1" in await tab.words()
        await tap(tab, "#main")
        await tap(tab, '[data-what="residue"]')
        await tap(tab, "#main")
        await tap(tab, '[data-what="clean"]')
        assert await tab.run("document.querySelector('.now').dataset.step") == "second"
        await tap(tab, "#back")
        assert await tab.run("document.querySelector('.now').dataset.step") == "first"
        await tap(tab, '[data-what="clean"]')
        for _ in range(2):
            await tap(tab, "#main")
            if _ == 0:
                await tap(tab, '[data-what="left"]')
        await tap(tab, '[data-what="clean"]')
        assert "Last pass" in await tab.words()
        await tap(tab, "#main")
        await tab.loaded_by("location.reload()")
        words = await tab.words()
        assert "Type power 23 %, passes 2" in words
        assert "slice 3 of 4" in words
        address = await tab.run("location.href")
        await tap(tab, "#main")
        await tap(tab, "#main")
        assert "All slices done" in await tab.words()
        await tap(tab, "#main")
        await ticked_all(tab)
        # Without its power the run would be logged, and repeated, with the first one of the ladder.
        assert 'good --items 1 --took "1 min" --passes 2 --power "23 %"' in await tab.words()
        # What was tapped stands in the address, too, for a tablet that keeps nothing.
        await tab.run("localStorage.clear()")
        await tab.go("about:blank")
        await tab.go(address)
        assert "slice 3 of 4" in await tab.words()
        assert [one for one in tab.requested if not one.startswith(("file:", "about:", "data:"))] == []


@needs_a_browser
@pytest.mark.slow
async def test_a_job_in_parts_is_counted_to_its_last_part(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """A box of a part is ticked when that part is done, the one that was tried first, and none is left out."""
    actions, facts = sheets["three zones"]
    files = actions.run.files
    files = files.model_copy(update={"whole": files.zones[1]})
    run = actions.run.model_copy(update={"files": files})
    page = written(Sheet(actions.model_copy(update={"run": run}), facts), tmp_path)
    done = "[...document.querySelectorAll('.slice.done')].map(one => one.textContent.trim())"
    async with browser(tmp_path / "profile") as open_tab:
        tab = await open_tab(WIDE, HIGH)
        await opened(tab, page)
        await at_the_first_slice(tab)
        for _ in range(2):
            await tap(tab, "#main")
            await tap(tab, '[data-what="clean"]')
            await tap(tab, "#main")
        assert await tab.run(done) == []
        while "All slices done" not in await tab.words() and "Focus for this part" not in await tab.words():
            await tap(tab, "#main")
        assert await tab.run(done) == ["part 2"]
        for name, so_far in (("part 1", ["part 1", "part 2"]), ("part 3", ["part 1", "part 2", "part 3"])):
            assert "Focus for this part, import its file. Type power 20 %, passes 1" in await tab.words()
            assert f"{name} is done" in await tab.words()
            await tap(tab, "#main")
            assert await tab.run(done) == so_far
        assert "All slices done" in await tab.words()


@needs_a_browser
@pytest.mark.slow
async def test_a_marked_metal_stops_and_other_numbers_start_unticked(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """After STOP only Back goes on; a pause is waited for; a bouncing glove taps once; a new plan knows no tick."""
    page = written(sheets["four rungs"], tmp_path, pause=1.0)
    async with browser(tmp_path / "profile") as open_tab:
        tab = await open_tab(WIDE, HIGH)
        await opened(tab, page)
        await at_the_first_slice(tab)
        await tap(tab, "#main")
        await tap(tab, '[data-what="left"]')
        assert "Let it cool" in await tab.words()
        await tab.until("!document.querySelector('#main').disabled")
        await tab.run("(document.querySelector('#main').click(), document.querySelector('#main').click(), 1)")
        assert "after pass 2" in await tab.words()
        await tab.run(f"new Promise(done => setTimeout(done, {LOCK_MS}))")
        await tap(tab, '[data-what="marked"]')
        assert "STOP. The metal is marked" in await tab.words()
        assert await tab.run("document.querySelector('#main').disabled")
        other = written(sheets["a repeat"], tmp_path)
        await tab.go("about:blank")
        await tab.go(other.as_uri())
        assert await tab.run("!document.body.classList.contains('follow')")
        assert await tab.run("document.querySelectorAll('input[type=checkbox]:checked').length") == 0


@needs_a_browser
@pytest.mark.slow
@pytest.mark.parametrize("name", ["regatta-bottle", "brass-nut", "four rungs"])
async def test_printed_it_is_one_page_with_every_number(sheets: dict[str, Sheet], name: str, tmp_path: Path) -> None:
    """A browser prints the plain sheet, followed or not: no button, every number and its warning on page one."""
    page = written(sheets[name], tmp_path)
    async with browser(tmp_path / "profile") as open_tab:
        tab = await open_tab(WIDE, HIGH)
        await opened(tab, page)
        await tap(tab, "#start")
        printed = await tab.ask("Page.printToPDF", preferCSSPageSize=True, printBackground=True)
        import base64

        file = pypdfium2.PdfDocument(base64.b64decode(printed["data"]))
        text = "".join(file[0].get_textpage().get_text_bounded().split())
        for row in sheets[name].actions.type:
            assert "".join(f"{row.figure}".split()) in text
            assert "".join((row.leave or "").split()) in text
        assert "Follow" not in text
        assert len(file) == 1


@needs_a_browser
@pytest.mark.slow
@pytest.mark.parametrize("sheet", ["A4", "Letter"])
async def test_what_is_measured_on_paper_is_printed_at_true_size(sheet: Any, tmp_path: Path) -> None:
    """At 100 % the bar of a printed page is 100 mm long, and a drawing of 40 by 20 mm measures as much."""
    import base64

    drawing = true_size_picture({"a": [corners(-20.0, -10.0, 20.0, 10.0)]}, 40.0, 20.0, (90.0, 60.0), "a")
    paper = Paper("tests", "a", date(2026, 5, 1), (Section("Marks", (PictureRow((drawing,)),)),))
    page = tmp_path / "page.html"
    page.write_text(html_text(*fit(lambda _: paper, sheet), sheet), "utf-8")
    async with browser(tmp_path / "profile") as open_tab:
        tab = await open_tab(WIDE, HIGH)
        await tab.go(page.as_uri())
        printed = await tab.ask("Page.printToPDF", preferCSSPageSize=True, printBackground=True)
    file = pypdfium2.PdfDocument(base64.b64decode(printed["data"]))
    assert "Print at 100 %" in file[0].get_textpage().get_text_bounded()
    wide_mm = file[0].get_width() / 72 * 25.4
    assert wide_mm == pytest.approx(210 if sheet == "A4" else 215.9, abs=0.5)
    dark = np.asarray(file[0].render(scale=4).to_pil().convert("L")) < 128
    mm = wide_mm / dark.shape[1]
    runs = [mm * max(len(run) for run in row.astype("u1").tobytes().split(b"\0")) for row in dark]
    assert any(abs(run - 100) < 0.3 for run in runs)
    assert sum(abs(run - 40) < 0.5 for run in runs) * mm == pytest.approx(20, abs=0.5)
