"""The desk served to browsers, for tests: on a free port of this machine, with a store of its own."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from aiohttp import web

from tui.browser.guard import Guard
from tui.browser.server import Serving
from tui.browser.sittings import Sittings, desk_settings, desk_words


@asynccontextmanager
async def served(folder: Path, most: int = 2, **more: str) -> AsyncIterator[tuple[str, Guard, Sittings]]:
    """The server on a free port of this machine: its address, its guard, its desks."""
    runner = web.AppRunner(web.Application())
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", 0).start()
    port = runner.addresses[0][1]
    await runner.cleanup()
    guard = Guard(port)
    settings = {**desk_settings(folder), "ROTARY_FOLDER": str(folder / "kept"), **more}
    sittings = Sittings(desk_words(None), settings, most)
    serving = Serving(guard, sittings)
    async with serving.listening("127.0.0.1", port):
        yield f"http://127.0.0.1:{port}", guard, sittings
