"""The desk in a real browser: what a person beside the machine sees, and what other pages can't do."""

import re
import struct
import zlib
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from aiohttp import web

from tests.tui.chromium import PROGRAM, browser
from tests.tui.serving import served

pytestmark = pytest.mark.skipif(PROGRAM is None, reason="there is no Chromium here")

COARSE = {"enabled": True, "maxTouchPoints": 5}


def inks(picture: Path) -> int:
    """How many different bytes the lines of a PNG have: a blank page has few."""
    data, at, packed = picture.read_bytes(), 8, b""
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        if data[at + 4 : at + 8] == b"IDAT":
            packed += data[at + 8 : at + 8 + length]
        at += length + 12
    return len(set(zlib.decompress(packed)))


@pytest.mark.slow
async def test_typing_a_diameter_changes_the_numbers(tmp_path: Path) -> None:
    """By the address of the terminal to the desk; typed digits change the numbers; loading anew loses nothing."""
    async with served(tmp_path) as (address, guard, sittings), browser(tmp_path / "person") as open_tab:
        tab = await open_tab()
        await tab.go(f"{address}/enter/{guard.key}")
        before = await tab.see(r"not 74\.4")
        assert guard.key not in str(await tab.run("location.href")), "the key does not stay in the address bar"
        assert await tab.run("document.cookie") == "", "no script can read the cookie"
        await tab.write("2.5 in")
        after = await tab.see(r"not 75\.1")
        typed = [re.findall(r"2 diameter +(\S+) mm", screen) for screen in (before, after)]
        assert all(typed)
        assert typed[0] != typed[1]
        await tab.picture(tmp_path / "desk.png")
        assert inks(tmp_path / "desk.png") > 100
        await tab.go(address)
        await tab.see(r"2\.5 in")
        await tab.see(r"not 75\.1")
        assert len(sittings.running) == 1
        # Undo still knows what was typed before the page was loaded anew.
        await tab.press("F7", 118)
        await tab.see(r"not 74\.4")
        places = {re.sub(r"^\w+://([^/]+)/.*$", r"\1", place) for place in tab.requested if "://" in place}
        assert places == {f"127.0.0.1:{guard.port}"}, "nothing is fetched from anywhere else"
        assert await tab.run("document.fonts.check('16px \"Roboto Mono\"')")


@pytest.mark.slow
async def test_keys_on_the_glass(tmp_path: Path) -> None:
    """A tablet has no function keys: the page has buttons for them, as large as a finger."""
    async with served(tmp_path) as (address, guard, _), browser(tmp_path / "person") as open_tab:
        tab = await open_tab(1024, 768)
        await tab.ask("Emulation.setTouchEmulationEnabled", **COARSE)
        await tab.go(f"{address}/enter/{guard.key}")
        await tab.see(r"Heron cup, blue")
        assert await tab.until("document.getElementById('keys').offsetHeight > 40")
        assert await tab.run("[...document.querySelectorAll('#keys button')].every(b => b.offsetHeight >= 44)")
        await tab.run("document.querySelector('[data-key=F4]').click()")
        await tab.see(r"\[2 side\]")
        await tab.run("document.querySelector('[data-key=p]').click()")
        await tab.see(r"What do you want to do")
        await tab.run("document.querySelector('[data-key=Escape]').click()")
        await tab.see_no_more(r"What do you want to do")
        await tab.run("document.querySelector('[data-key=s]').click()")
        await tab.see(r"version 1")
        width, _ = tab.size
        await tab.loaded_by("document.querySelector('[data-size=\"2\"]').click()")
        await tab.see(r"Heron cup, blue")
        assert tab.size[0] < width, "larger letters, fewer columns"


@pytest.mark.slow
async def test_without_the_key_there_is_a_door(tmp_path: Path) -> None:
    """Whoever has only the address finds a field for the key, and behind it the desk."""
    async with served(tmp_path) as (address, guard, sittings), browser(tmp_path / "person") as open_tab:
        tab = await open_tab()
        await tab.go(address)
        assert "You find it in the terminal" in await tab.words()
        assert not sittings.running
        await tab.run("document.getElementById('key').value = 'wrong'; document.forms[0].submit()")
        await tab.until("document.body && document.body.innerText.includes('Wrong password')")
        await tab.run(f"document.getElementById('key').value = '{guard.key.upper()}'; document.forms[0].submit()")
        await tab.see(r"Heron cup, blue")


@pytest.fixture
async def other_port() -> AsyncIterator[int]:
    """The port of another site on this machine."""

    async def other_page(_request: web.Request) -> web.Response:
        return web.Response(text="<!DOCTYPE html><title>other</title><body>other</body>", content_type="text/html")

    runner = web.AppRunner(web.Application())
    runner.app.router.add_get("/", other_page)
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", 0).start()
    yield runner.addresses[0][1]
    await runner.cleanup()


@pytest.mark.slow
async def test_a_page_of_another_site_opens_nothing(tmp_path: Path, other_port: int) -> None:
    """With the cookie in the browser, another page gets no line, no frame and no answer, and a link from it no desk."""
    async with served(tmp_path) as (address, guard, sittings), browser(tmp_path / "person") as open_tab:
        tab = await open_tab()
        await tab.go(f"{address}/enter/{guard.key}")
        await tab.see(r"Heron cup, blue")
        running = list(sittings.running)
        line = f"ws://127.0.0.1:{guard.port}/desk/{'0' * 32}"
        script = (
            f"new Promise(done => {{ const line = new WebSocket('{line}');"
            " line.onopen = () => done('open'); line.onerror = () => done('refused'); })"
        )
        ask = f"fetch('{address}/', {{credentials: 'include'}}).then(() => 'answered', () => 'refused')"
        # Another port of the same host, to which the strict cookie is sent, and another name altogether.
        for other in (f"http://127.0.0.1:{other_port}/", f"http://localhost:{other_port}/"):
            await tab.go(other)
            assert await tab.run(script) == "refused", other
            assert await tab.run(ask) == "refused", other
            await tab.run(f"document.body.innerHTML = '<iframe src=\"{address}/\"></iframe>'; 1")
            await tab.until("!!document.querySelector('iframe')")
        assert list(sittings.running) == running
        # From localhost to 127.0.0.1 is from one site to another: a strict cookie stays at home.
        await tab.run(f"location.href = '{address}/'; 1")
        await tab.until("document.body && document.body.innerText.includes('You find it in the terminal')")
        # A link of our own page leads in again.
        await tab.run("document.querySelector('a').click()")
        await tab.see(r"Heron cup, blue")


@pytest.mark.slow
async def test_a_name_that_is_pointed_here_is_refused(tmp_path: Path) -> None:
    """A name of someone else's that leads to this machine shows a refusal and gets no cookie, key or not."""
    async with served(tmp_path) as (_, guard, sittings), browser(tmp_path / "person") as open_tab:
        tab = await open_tab()
        # Names below localhost lead to this machine in every browser, as a name pointed here would.
        await tab.go(f"http://evil.localhost:{guard.port}/enter/{guard.key}")
        assert "doesn't belong to this screen" in await tab.words()
        told = await tab.ask("Network.getCookies")
        assert told["cookies"] == []
        assert not sittings.running
