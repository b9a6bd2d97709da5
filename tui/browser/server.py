"""What is answered at which address: the door, the page, its files, and the line to a desk."""

import asyncio
import contextlib
import logging
import os
import re
import sys
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from importlib.resources import files
from pathlib import Path
from typing import Final

from aiohttp import WSMsgType, web
from aiohttp.http_exceptions import HttpProcessingError

from rotary.errors import FileTrouble, single_line
from rotary.scratch import scratch_folder
from tui.browser.greeting import greeting
from tui.browser.guard import HEADERS, Guard, comes_from_elsewhere
from tui.browser.sittings import Sittings, desk_settings, desk_words, take, whole
from tui.form.fields import Tables

LONGEST_MESSAGE_BYTES: Final = 64 * 1024
GUESS_S: Final = 1.0
"""So long after a wrong key no other is looked at, the right one neither."""

REST_S: Final = 15.0
"""So long a connection may take to ask for something, and rest between two requests."""

MOST_RESTING: Final = 32
"""So many may rest at once, a page opens six; one more, and the oldest is closed."""

MOST_GUESSES: Final = 8
"""So many keys wait to be looked at; more are sent away."""

TYPES: Final = {".css": "text/css", ".js": "text/javascript", ".ttf": "font/ttf", ".html": "text/html"}
OWN: Final = ("page.css", "page.js", "door.css")
BORROWED: Final = {
    "xterm.css": "css/xterm.css",
    "textual.js": "js/textual.js",
    "mono.ttf": "fonts/RobotoMono-VariableFont_wght.ttf",
}
"""What the page takes from textual-serve, which has them beside its code."""

TAB: Final = re.compile(r"[0-9a-f]{32}")
FULL: Final = (
    "\r\n Too many pages are open. Close another page (Ctrl+Q there), or start rotary open --browser\r\n"
    " with --most and a larger number, then load this page again.\r\n"
)

UNREADABLE: Final = "a request can't be read: load the page again"


class _Connection(web.RequestHandler):
    """A connection on which what can't be answered gets a page with a sentence in place of the library's words."""

    __slots__ = ()

    def handle_error(
        self,
        request: web.BaseRequest,
        status: int = 500,
        exc: BaseException | None = None,
        message: str | None = None,
    ) -> web.StreamResponse:
        super().handle_error(request, status, exc, message)
        says = UNREADABLE if status < 500 else "this is a fault in rotary itself: load the page again"
        answer = _said(says, status)
        answer.headers.update(HEADERS)
        answer.headers["Server"] = "rotary"
        answer.force_close()
        return answer


def _telling(tell: Callable[[str], None]) -> logging.Logger:
    """Where the library reports what it can't answer: one sentence in place of a traceback."""

    class Telling(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            kind = record.exc_info[0] if record.exc_info else None
            if kind is None or issubclass(kind, HttpProcessingError):
                tell(UNREADABLE)
            else:
                tell(f"this is a fault in rotary itself ({kind.__name__}): load the page again")

    log = logging.Logger(__name__)
    log.addHandler(Telling())
    return log


Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class Serving:
    """One server: its guard, its desks, and the door."""

    def __init__(self, guard: Guard, sittings: Sittings, tell: Callable[[str], None] = lambda _: None) -> None:
        self.guard, self.sittings, self.tell = guard, sittings, tell
        self._at_work: set[asyncio.BaseProtocol] = set()
        self._guessing = asyncio.Lock()
        self._guesses, self._next_guess_s = 0, 0.0

    def application(self) -> web.Application:
        """Everything that is answered; nothing else is."""
        made = web.Application(middlewares=[self._checked])
        made.add_routes(
            [
                web.get("/", self._page),
                web.get("/enter", self._enter),
                web.get("/enter/{key}", self._enter),
                web.get("/page/{name}", self._file),
                web.get("/desk/{tab}", self._desk),
            ]
        )
        made.on_response_prepare.append(_with_headers)
        made.on_shutdown.append(self._shut)
        return made

    @contextlib.asynccontextmanager
    async def listening(self, address: str, port: int) -> AsyncIterator[None]:
        """Listen at an address until the end of the block; raises OSError where it can't be had."""
        how: Tables = {"access_log": None, "shutdown_timeout": 2, "keepalive_timeout": REST_S}
        if not os.environ.get("ROTARY_DEBUG"):
            how["logger"] = _telling(self.tell)
        runner = web.AppRunner(self.application(), handle_signals=False, **how)
        await runner.setup()
        try:
            server = runner.server
            assert server is not None

            def met() -> asyncio.BaseProtocol:
                resting = [one for one in server.connections if one not in self._at_work]
                if len(resting) >= MOST_RESTING:
                    resting[0].force_close()
                connection = server()
                connection.__class__ = _Connection  # the library has no other way to choose one
                return connection

            listener = await asyncio.get_running_loop().create_server(met, address, port)
            try:
                yield
            finally:
                listener.close()
        finally:
            await runner.cleanup()

    async def _shut(self, _: web.Application) -> None:
        await self.sittings.end()

    # -- who may

    @web.middleware
    async def _checked(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """The rules before anything is answered; a refusal is a page with a sentence."""
        self._at_work.add(request.protocol)
        try:
            return await self._answer(request, handler)
        finally:
            self._at_work.discard(request.protocol)

    async def _answer(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        refusal = self._refusal(request)
        if refusal:
            self.tell(f"refused {request.remote}: {refusal}")
            return _said(refusal, 403)
        at_the_door = request.path == "/enter" or request.path.startswith(("/enter/", "/page/door.css"))
        if not at_the_door and not self.guard.has_cookie(request.headers.get("Cookie", "")):
            return _door("", 403)
        try:
            return await handler(request)
        except web.HTTPException as answer:
            return _said("there is nothing at this address: open the address shown in the terminal", answer.status)

    def _refusal(self, request: web.Request) -> str:
        host, origin = request.headers.get("Host", ""), request.headers.get("Origin")
        local = _local_address(request)
        if not self.guard.host_is_ours(host, local):
            return "this address doesn't belong to this screen: open the address shown in the terminal"
        is_line = request.headers.get("Upgrade", "").casefold() == "websocket"
        if (is_line or origin is not None) and not self.guard.origin_is_ours(origin, host):
            return "a page of another site can't use this screen"
        is_navigation = request.headers.get("Sec-Fetch-Mode") == "navigate" and not is_line
        if comes_from_elsewhere(request.headers.get("Sec-Fetch-Site"), is_navigation):
            return "a page of another site can't use this screen"
        return ""

    # -- what is answered

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        """The door: the key gives the cookie."""
        typed = request.match_info.get("key") or request.query.get("key", "")
        if not typed:
            return _door("", 200)
        if self._guesses >= MOST_GUESSES:
            return _door(
                "Somebody typed too many wrong passwords for this page. Wait a few seconds, then type yours again.", 429
            )
        self._guesses += 1
        try:
            is_right = await self._guessed(typed)
        finally:
            self._guesses -= 1
        if not is_right:
            self.tell(f"refused {request.remote}: a wrong password")
            return _door(
                "Wrong password. The terminal shows the right one. It changes each time you start rotary.", 403
            )
        # Not a redirect: one that began at another site's link would not carry a strict cookie.
        answer = _html("inside.html", 200)
        answer.set_cookie(self.guard.cookie_name, self.guard.token, httponly=True, samesite="Strict", path="/")
        return answer

    async def _guessed(self, typed: str) -> bool:
        """Whether it is the key, one at a time: nobody learns sooner than a second after the last wrong one."""
        async with self._guessing:
            await asyncio.sleep(max(0.0, self._next_guess_s - time.monotonic()))
            is_right = self.guard.is_key(typed)
            if not is_right:
                self._next_guess_s = time.monotonic() + GUESS_S
            return is_right

    async def _page(self, _request: web.Request) -> web.StreamResponse:
        return _html("page.html", 200)

    async def _file(self, request: web.Request) -> web.StreamResponse:
        name = request.match_info["name"]
        if name in OWN:
            body = files("tui.browser").joinpath("page", name).read_bytes()
        elif name in BORROWED:
            body = files("textual_serve").joinpath("static", BORROWED[name]).read_bytes()
        else:
            raise web.HTTPNotFound
        return web.Response(body=body, content_type=TYPES[Path(name).suffix])

    async def _desk(self, request: web.Request) -> web.StreamResponse:
        """The line between a page and its desk."""
        tab = request.match_info["tab"]
        if not TAB.fullmatch(tab):
            raise web.HTTPNotFound
        line = web.WebSocketResponse(heartbeat=15, max_msg_size=LONGEST_MESSAGE_BYTES)
        await line.prepare(request)
        size = whole(request.query.get("width"), 80), whole(request.query.get("height"), 24)
        sitting = await self.sittings.seat(tab, line, *size)
        if sitting is None:
            self.tell(f"too many pages are open for {request.remote}")
            await line.send_bytes(FULL.encode())
            await line.close()
            return line
        try:
            async for message in line:
                if message.type == WSMsgType.TEXT and sitting.page is line:
                    await take(sitting, message.data, line)
        finally:
            sitting.detach(line)
            await self.sittings.clear()
        return line


def _local_address(request: web.Request) -> str:
    place = request.transport.get_extra_info("sockname") if request.transport else None
    return str(place[0]) if place else ""


async def _with_headers(_request: web.Request, answer: web.StreamResponse) -> None:
    for name, value in HEADERS.items():
        answer.headers.setdefault(name, value)
    answer.headers.popall("Server", None)


def _html(name: str, status: int, says: str = "") -> web.Response:
    from html import escape

    text = files("tui.browser").joinpath("page", name).read_text("utf-8")
    return web.Response(text=text.replace("{says}", escape(says)), content_type="text/html", status=status)


def _door(says: str, status: int) -> web.Response:
    return _html("door.html", status, says)


def _said(says: str, status: int) -> web.Response:
    return _html("refused.html", status, f"{says[0].upper()}{says[1:]}.")


# -- from the command line


def run(job: str | None, address: str, port: int, names: tuple[str, ...], most: int, held_to: Path) -> int:
    """Serve until Ctrl+C, files from one folder only; raises FileTrouble where the address can't be had."""
    guard = Guard(port, names)
    held = held_to.resolve()
    # What lies in the computer's own folder for passing files is nobody's business in a browser.
    with contextlib.suppress(KeyboardInterrupt), scratch_folder() as passing:
        settings = {**desk_settings(held), **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(passing))}
        asyncio.run(_served(guard, address, desk_words(job), settings, held, most))
    return 0


async def _served(
    guard: Guard, address: str, words: list[str], settings: dict[str, str], held: Path, most: int
) -> None:
    serving = Serving(guard, Sittings(words, settings, most), _tell)
    try:
        async with serving.listening(address, guard.port):
            for told in greeting(guard, address, held):
                print(told, flush=True)
            await asyncio.Event().wait()
    except OSError as trouble:
        says = single_line(trouble.strerror or str(trouble))
        raise FileTrouble(
            f"{address} with port {guard.port} can't be used ({says}): write --port with another number, "
            "or --address with an address of this computer"
        ) from None


def _tell(text: str) -> None:
    with contextlib.suppress(OSError):
        print(single_line(text), file=sys.stderr, flush=True)
