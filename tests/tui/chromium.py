"""A real browser for tests, driven over its own debugging protocol: no driver program, no download."""

import asyncio
import base64
import itertools
import os
import re
import shutil
import subprocess
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any

import aiohttp
import pyte

from tests.patience import PATIENCE_S, chances

PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
BINARY = 2
"""The kind of frame in which a desk's output comes."""

QUIET = (
    "--headless=new", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-extensions", "--mute-audio",
    "--disable-features=Translate,OptimizationHints,MediaRouter", "--remote-debugging-port=0",
)  # fmt: skip


class Tab:
    """One page of the browser."""

    def __init__(self, line: aiohttp.ClientWebSocketResponse, session: str) -> None:
        self.line, self.session = line, session
        self.numbers = itertools.count(1)
        self.requested: list[str] = []
        self._empty()

    def _empty(self) -> None:
        """What the page before was shown is no news of the page that stands here now."""
        self.size = (80, 24)
        self.screen = pyte.Screen(*self.size)
        self.stream = pyte.ByteStream(self.screen)

    async def ask(self, method: str, **how: Any) -> dict[str, Any]:
        """One command of the protocol, and its answer; what the page asks for and is sent is noted on the way."""
        number = next(self.numbers)
        await self.line.send_json({"id": number, "sessionId": self.session, "method": method, "params": how})
        while True:
            told = await self.line.receive_json(timeout=PATIENCE_S)
            if told.get("sessionId") != self.session:
                continue
            if told.get("id") == number:
                assert "error" not in told, told
                return dict(told["result"])
            self._note(told.get("method"), told.get("params", {}))

    def _note(self, what: str | None, about: dict[str, Any]) -> None:
        """What the browser tells of its own accord."""
        if what in ("Network.requestWillBeSent", "Network.webSocketCreated"):
            self.requested.append(about.get("url") or about["request"]["url"])
        if what == "Page.frameNavigated" and "parentId" not in about["frame"]:
            self._empty()
        if what == "Network.webSocketCreated" and (size := re.search(r"\?width=(\d+)&height=(\d+)", about["url"])):
            self._empty()
            self.size = int(size[1]), int(size[2])
            self.screen.resize(self.size[1], self.size[0])
        if what == "Network.webSocketFrameReceived" and about["response"]["opcode"] == BINARY:
            self.stream.feed(base64.b64decode(about["response"]["payloadData"]))

    async def run(self, script: str) -> Any:
        """What a script gives in the page."""
        told = await self.ask("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    async def go(self, address: str) -> None:
        """Follow an address and wait until it is loaded."""
        await self._loaded(self.ask("Page.navigate", url=address))

    async def loaded_by(self, script: str) -> None:
        """Run a script that loads a page, and wait until that stands where this one did."""
        await self._loaded(self.run(script))

    async def _loaded(self, loading: Awaitable[Any]) -> None:
        await self.run("window.before = true")
        await loading
        await self.until("!window.before && document.readyState === 'complete'")

    async def until(self, script: str) -> Any:
        """Wait until a script gives something true."""
        for _ in chances(lambda: f"{script} does not come true"):
            # Between two pages there is none to ask.
            with suppress(AssertionError):
                if found := await self.run(script):
                    return found
            await asyncio.sleep(0.05)
        raise AssertionError

    async def words(self) -> str:
        """The text of the page."""
        return str(await self.run("document.body ? document.body.innerText : ''"))

    async def press(self, key: str, code: int, text: str = "", ctrl: bool = False) -> None:
        """A key, down and up."""
        how: dict[str, Any] = {
            "key": key, "windowsVirtualKeyCode": code, "modifiers": 2 if ctrl else 0,
        }  # fmt: skip
        await self.ask("Input.dispatchKeyEvent", type="keyDown", **how, **({"text": text} if text else {}))
        await self.ask("Input.dispatchKeyEvent", type="keyUp", **how)

    async def write(self, text: str) -> None:
        """A text, key by key."""
        for sign in text:
            await self.press(sign, ord(sign.upper()) if sign.isalnum() else 0, sign)

    async def terminal(self) -> str:
        """What the terminal in the page was sent since it was loaded, as the text that stands on it."""
        with suppress(AssertionError):
            # Whatever was sent meanwhile comes before the answer; there is none while the page changes.
            await self.run("1")
        return "\n".join(line.rstrip() for line in self.screen.display)

    async def see(self, pattern: str) -> str:
        """Wait until the terminal shows it; all that it shows."""
        text = ""
        for _ in chances(lambda: f"{pattern!r} is not on the screen:\n{text}"):
            if re.search(pattern, text := await self.terminal()):
                return text
            await asyncio.sleep(0.1)
        raise AssertionError

    async def see_no_more(self, pattern: str) -> None:
        """Wait until the terminal shows it no longer."""
        for _ in chances(lambda: f"{pattern!r} is still on the screen"):
            if not re.search(pattern, await self.terminal()):
                return
            await asyncio.sleep(0.1)

    async def picture(self, file: Path) -> None:
        """What is painted, as PNG."""
        told = await self.ask("Page.captureScreenshot", format="png")
        file.write_bytes(base64.b64decode(told["data"]))


Open = Callable[..., Awaitable[Tab]]


@asynccontextmanager
async def browser(folder: Path) -> AsyncIterator[Open]:
    """A browser with nothing in it: ``async with browser(folder) as open_tab``."""
    assert PROGRAM is not None
    root = ("--no-sandbox",) if hasattr(os, "geteuid") and os.geteuid() == 0 else ()
    command = [PROGRAM, *QUIET, *root, f"--user-data-dir={folder}", "about:blank"]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        place = folder / "DevToolsActivePort"
        for _ in chances(lambda: "the browser is too slow"):
            if place.exists() and len(place.read_text("utf-8").splitlines()) == 2:
                break
            assert process.poll() is None, "the browser did not start"
            await asyncio.sleep(0.05)
        port, path = place.read_text("utf-8").splitlines()
        async with (
            aiohttp.ClientSession() as client,
            client.ws_connect(f"ws://127.0.0.1:{port}{path}", max_msg_size=0) as line,
        ):
            numbers = itertools.count(10**6)

            async def asked(method: str, **how: Any) -> dict[str, Any]:
                number = next(numbers)
                await line.send_json({"id": number, "method": method, "params": how})
                while (told := await line.receive_json(timeout=PATIENCE_S)).get("id") != number:
                    pass
                return dict(told["result"])

            async def open_tab(width: int = 1280, height: int = 800) -> Tab:
                """A page of a size, in a window of its own."""
                target = (await asked("Target.createTarget", url="about:blank"))["targetId"]
                session = (await asked("Target.attachToTarget", targetId=target, flatten=True))["sessionId"]
                tab = Tab(line, session)
                await tab.ask("Page.enable")
                await tab.ask("Network.enable")
                await tab.ask(
                    "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False
                )
                await tab.ask("Page.bringToFront")
                return tab

            yield open_tab
            await line.send_json({"id": next(numbers), "method": "Browser.close"})
            process.wait(PATIENCE_S)
    finally:
        if process.poll() is None:
            process.kill()
            process.wait(10)
