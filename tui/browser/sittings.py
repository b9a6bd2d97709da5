"""The running desks, each shown by one page at most. A page that is loaded anew finds its desk as it stood."""

import asyncio
import json
import os
import re
import shlex
import sys
import time
from asyncio.subprocess import Process
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Protocol

from aiohttp import web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from tui.browser.file_limits import HELD_TO

WAIT_S: Final = 8 * 3600.0
"""How long a desk waits for its page: a tablet that sleeps over a long break finds its work."""

END_S: Final = 5.0
WIDEST: Final = 500
HIGHEST: Final = 200
MODE: Final = re.compile(rb"\x1b\[\?(\d+)([hl])")
PASSING_MODES: Final = frozenset({b"2026"})
"""Modes that hold for one repaint only."""


class Page(Protocol):
    """What a page's websocket can do here."""

    @property
    def closed(self) -> bool:
        """Whether it is gone."""

    async def send_bytes(self, data: bytes) -> None:
        """Show what the desk writes."""

    async def close(self) -> Any:
        """End it."""


class DeskService(AppService):
    """Textual's bridge to a program in a process of its own, started without a shell; it opens no addresses."""

    def __init__(self, sitting: "Sitting", words: Sequence[str], settings: Mapping[str, str]) -> None:
        super().__init__(
            shlex.join(words),
            write_bytes=sitting.show,
            write_str=_ignored,
            close=sitting.left,
            download_manager=DownloadManager(),
        )
        self.words, self.settings = list(words), dict(settings)

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        pipe = asyncio.subprocess.PIPE
        settings = {**self._build_environment(width, height), **self.settings}
        self._process = process = await asyncio.create_subprocess_exec(
            *self.words, stdin=pipe, stdout=pipe, stderr=pipe, env=settings, cwd=settings.get(HELD_TO)
        )
        self._stdin = process.stdin
        return process

    async def on_meta(self, data: bytes) -> None:
        """Only that the desk was left matters; what would open addresses or hand out files is not passed on."""
        if b'"exit"' in data:
            await self.remote_close()

    @property
    def has_ended(self) -> bool:
        """Whether the process is gone."""
        return self._process is not None and self._process.returncode is not None

    async def end(self) -> None:
        """Have the desk leave; a desk that does not is ended."""
        process = self._process
        with suppress(TimeoutError):
            await asyncio.wait_for(self.stop(), END_S)
        if process is not None and process.returncode is None:
            with suppress(TimeoutError):
                await asyncio.wait_for(process.wait(), END_S)
            if process.returncode is None:
                process.kill()


async def _ignored(_text: str) -> None:
    return


@dataclass
class Sitting:
    """One desk that runs, and the page that shows it."""

    name: str
    page: Page | None = None
    unseen_since_s: float = field(default_factory=time.monotonic)
    over: bool = False
    service: DeskService | None = None
    modes: dict[bytes, bytes] = field(default_factory=dict)

    async def show(self, data: bytes) -> None:
        """Hand on what the desk writes, and remember the state it puts a terminal in."""
        for mode, state in MODE.findall(data):
            if mode not in PASSING_MODES:
                self.modes[mode] = state
        page = self.page
        if page is not None and not page.closed:
            with suppress(ConnectionError):
                await page.send_bytes(data)

    async def left(self) -> None:
        """The person left the desk: the page is told, the place is free."""
        self.over = True
        if self.page is not None:
            await self.page.close()

    async def attach(self, page: Page, width: int, height: int) -> None:
        """Show the desk on this page, and on no other."""
        before, self.page = self.page, page
        if before is not None:
            await before.close()
        service = self.service
        if service is None:
            return
        if self.modes:
            await page.send_bytes(b"".join(b"\x1b[?%s%s" % mode for mode in self.modes.items()))
            # The same size again would repaint nothing.
            await service.set_terminal_size(max(width - 1, 1), height)
        await service.set_terminal_size(width, height)

    async def resize(self, width: int, height: int) -> None:
        """The page has another size."""
        if self.service is not None:
            await self.service.set_terminal_size(*bounded(width, height))

    def detach(self, page: Page) -> None:
        """The page is gone; the desk waits for it."""
        if self.page is page:
            self.page, self.unseen_since_s = None, time.monotonic()

    async def end(self) -> None:
        """End the desk."""
        self.over = True
        if self.service is not None:
            await self.service.end()


class Sittings:
    """All of them, by the name that each page gave."""

    def __init__(self, words: Sequence[str], settings: Mapping[str, str], most: int) -> None:
        self.words, self.settings, self.most = words, settings, most
        self.running: dict[str, Sitting] = {}
        self._one_at_a_time = asyncio.Lock()

    async def seat(self, name: str, page: Page, width: int, height: int) -> Sitting | None:
        """The desk of this page, started if there is none; None where every place is taken by a page that is open.

        Where a desk has no page, the one that was left longest ago gives way; what was typed there stays as a draft.
        """
        width, height = bounded(width, height)
        async with self._one_at_a_time:
            await self.clear()
            sitting = self.running.get(name)
            if sitting is None:
                if len(self.running) >= self.most and not await self._give_way():
                    return None
                sitting = self.running[name] = Sitting(name)
                sitting.page = page
                sitting.service = DeskService(sitting, self.words, self.settings)
                await sitting.service.start(width, height)
            else:
                await sitting.attach(page, width, height)
        return sitting

    async def _give_way(self) -> bool:
        """End the desk that no page has shown for longest; False where every one is shown."""
        unseen = [one for one in self.running.values() if one.page is None or one.page.closed]
        if not unseen:
            return False
        longest = min(unseen, key=lambda one: one.unseen_since_s)
        del self.running[longest.name]
        await longest.end()
        return True

    async def clear(self) -> None:
        """Give the places free of desks that were left, or whose page did not come back."""
        now_s = time.monotonic()
        for name, sitting in list(self.running.items()):
            gone = sitting.page is None and now_s - sitting.unseen_since_s > WAIT_S
            ended = sitting.service is not None and sitting.service.has_ended
            if sitting.over or gone or ended:
                del self.running[name]
                await sitting.end()

    async def end(self) -> None:
        """End all of them."""
        running, self.running = list(self.running.values()), {}
        await asyncio.gather(*(sitting.end() for sitting in running))


def bounded(width: int, height: int) -> tuple[int, int]:
    """A size that a screen can have.

    >>> bounded(10**5, -3)
    (500, 5)
    """
    return min(max(width, 20), WIDEST), min(max(height, 5), HIGHEST)


def desk_words(job: str | None) -> list[str]:
    """The command that starts a desk."""
    # -P: a file in the folder one happens to be in must not pass for a library.
    return [sys.executable, "-P", "-m", "tui.browser.child", *([job] if job else [])]


def desk_settings(held_to: Path) -> dict[str, str]:
    """What a desk in a browser is told through its environment."""
    from rotary.shipped import machine_folder, profile_folder

    root = str(Path(__file__).resolve().parents[2])
    paths = filter(None, (root, os.environ.get("PYTHONPATH", "")))
    return {
        "PYTHONPATH": os.pathsep.join(paths),
        "PYTHONIOENCODING": "utf-8",
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        "ROTARY_FOLDER": str(profile_folder().absolute()),
        "ROTARY_MACHINES": str(machine_folder().absolute()),
        HELD_TO: str(held_to.absolute()),
    }


async def take(sitting: Sitting, text: str, line: web.WebSocketResponse) -> None:
    """Do what a page asks; what can't be understood is passed over."""
    service = sitting.service
    try:
        asked, *rest = json.loads(text)
    except (ValueError, TypeError, RecursionError):
        return
    first = rest[0] if rest else None
    if service is None:
        return
    if asked == "stdin" and isinstance(first, str):
        await service.send_bytes(first.encode("utf-8", "replace"))
    elif asked == "resize" and isinstance(first, dict):
        await sitting.resize(whole(first.get("width"), 80), whole(first.get("height"), 24))
    elif asked == "ping":
        await line.send_json(["pong", first])
    elif asked == "focus":
        await service.focus()
    elif asked == "blur":
        await service.blur()


def whole(value: object, otherwise: int) -> int:
    """A number that a page sent, or another where it is none."""
    try:
        return int(str(value)[:6])
    except ValueError:
        return otherwise
