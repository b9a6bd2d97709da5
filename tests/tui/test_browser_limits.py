"""What one page, or somebody without the key, can hold up: no place for hours, no guess sooner, no line for ever."""

import asyncio
import json
import socket
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from tests.patience import until_it_is
from tests.tui.serving import served
from tests.tui.test_browser_guard import TAB, until
from tui.browser import server
from tui.browser.guard import Guard
from tui.browser.server import Serving
from tui.browser.sittings import DeskService, Sittings


class Shown:
    """A page that is open until it is closed."""

    closed = False

    async def send_bytes(self, data: bytes) -> None:
        pass

    async def close(self) -> None:
        self.closed = True


@pytest.fixture
def ended(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Desks without a process of their own; the names of those that were ended, in order."""
    names: list[str] = []

    async def start(*_: Any) -> None:
        pass

    async def end(self: DeskService) -> None:
        names.append(self.words[0])

    monkeypatch.setattr(DeskService, "start", start)
    monkeypatch.setattr(DeskService, "end", end)
    monkeypatch.setattr(DeskService, "set_terminal_size", start)
    return names


async def test_closed_pages_lock_nobody_out(ended: list[str]) -> None:
    """With every place taken the desk that was left longest ago gives way; one that is shown never does."""
    sittings = Sittings(["desk"], {}, 3)
    pages = {name: Shown() for name in "abc"}
    places = {name: await sittings.seat(name, page, 80, 24) for name, page in pages.items()}
    assert await sittings.seat("d", Shown(), 80, 24) is None
    for at, name in enumerate("cab"):
        place = places[name]
        assert place is not None
        place.detach(pages[name])
        place.unseen_since_s += at
    assert await sittings.seat("d", Shown(), 80, 24)
    assert set(sittings.running) == {"a", "b", "d"}
    assert await sittings.seat("a", Shown(), 80, 24) is places["a"]
    assert await sittings.seat("e", Shown(), 80, 24)
    assert (set(sittings.running), len(ended)) == ({"a", "d", "e"}, 2)
    assert await sittings.seat("f", Shown(), 80, 24) is None


async def test_the_right_key_waits_as_a_wrong_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Guesses sent at once are looked at one a second, the right one too; the first of all waits for nothing."""
    waits: list[float] = []

    async def sleep(seconds: float) -> None:
        waits.append(seconds)

    now = [100.0]
    monkeypatch.setattr(server.asyncio, "sleep", sleep)
    monkeypatch.setattr(server.time, "monotonic", lambda: now[0])
    guard = Guard(7480)
    serving = Serving(guard, Sittings([], {}, 1))
    assert await serving._guessed(guard.key)
    assert not await serving._guessed("wrong")
    now[0] += 0.25
    assert await serving._guessed(guard.key)
    assert waits == [0.0, 0.0, server.GUESS_S - 0.25]


async def test_too_many_guesses_are_sent_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A crowd of guesses is no queue of hours before whoever has the key."""
    monkeypatch.setattr(server, "GUESS_S", 0.05)
    async with served(tmp_path) as (address, guard, _), aiohttp.ClientSession() as person:

        async def guess(key: str) -> int:
            async with person.get(f"{address}/enter/{key}") as answer:
                return answer.status

        statuses = await asyncio.gather(*(guess(f"wrong{number}") for number in range(40)))
        assert set(statuses) == {403, 429}
        assert await guess(guard.key) == 200


async def test_connections_that_ask_nothing_are_closed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a request is waited for so long and no longer, and of many the oldest goes; a person still comes in."""
    async with served(tmp_path) as (address, guard, _), aiohttp.ClientSession() as person:
        port = int(address.rpartition(":")[2])
        lines = [await asyncio.open_connection("127.0.0.1", port) for _ in range(server.MOST_RESTING + 5)]
        for _, writer in lines:
            writer.write(b"GET / HTTP/1.1\r\nHost: ")
        for reader, _ in lines[:4]:
            assert await reader.read() == b""
        assert not lines[-1][0].at_eof()
        async with person.get(f"{address}/enter/{guard.key}") as answer:
            assert answer.status == 200
        for _, writer in lines:
            writer.close()
    monkeypatch.setattr(server, "REST_S", 0.05)
    async with served(tmp_path) as (address, _, _):
        reader, writer = await asyncio.open_connection("127.0.0.1", int(address.rpartition(":")[2]))
        writer.write(b"GET / HTTP/1.1\r\nHost: ")
        assert await reader.read() == b""
        writer.close()


@pytest.mark.slow
async def test_a_desk_that_gives_way_leaves_its_work(tmp_path: Path) -> None:
    """Its page is closed and another needs the place: what was typed is offered there."""
    async with served(tmp_path, most=1) as (address, guard, sittings), aiohttp.ClientSession() as client:
        how = {"origin": address, "headers": {"Cookie": f"{guard.cookie_name}={guard.token}"}}
        line = await client.ws_connect(f"{address}/desk/{TAB}?width=120&height=40", **how)
        await until(line, b"Heron cup, blue")
        await line.send_str(json.dumps(["stdin", "91"]))
        await until(line, b"NOT READY")
        await line.close()
        await until_it_is(lambda: sittings.running[TAB].page is None)
        other = await client.ws_connect(f"{address}/desk/{TAB[::-1]}?width=120&height=40", **how)
        await until(other, b"You have unsaved work on")
        await other.close()


async def test_what_is_no_request_is_one_sentence_in_the_terminal(
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half a sentence of another protocol is answered, told in one line, and no traceback is logged; a fault of our
    own is called one."""
    told: list[str] = []
    serving = Serving(Guard(7480), Sittings([], {}, 1), told.append)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    async with serving.listening("127.0.0.1", port):
        for sent in (b"GET / HTTP/1.1\r\n\r\n", b"\x16\x03\x01\x02\x00", b"GET /" + b"a" * 100_000):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(sent)
            answer = await reader.read()
            assert answer.startswith(b"HTTP/1.0 400")
            assert b"<p>A request can&#x27;t be read: load the page again.</p>" in answer
            assert b"Content-Security-Policy" in answer
            writer.close()
        assert set(told) == {"a request can't be read: load the page again"}
        monkeypatch.setattr(serving, "_refusal", lambda _: 1 // 0)
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(b"GET / HTTP/1.1\r\nHost: heron\r\n\r\n")
        answer = await reader.read()
        assert b" 500 " in answer
        assert b"<p>This is a fault in rotary itself: load the page again.</p>" in answer
        writer.close()
    assert told[-1] == "this is a fault in rotary itself (ZeroDivisionError): load the page again"
    assert not caplog.records
