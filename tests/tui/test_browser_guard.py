"""Who may talk to the desk in a browser: the rules, and the server that keeps them."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import aiohttp
import pyte
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.patience import PATIENCE_S, chances, until_it_is
from tests.tui.serving import served
from tui.browser import file_limits as limits
from tui.browser import server
from tui.browser.file_limits import AllowedPaths
from tui.browser.greeting import greeting
from tui.browser.guard import Guard, comes_from_elsewhere, is_this_machine_only, new_key
from tui.browser.sittings import bounded

ROOT = Path(__file__).resolve().parents[2]
TAB = "0123456789abcdef" * 2


@pytest.mark.parametrize(
    ("host", "came_in_on", "ours"),
    [
        ("127.0.0.1:7480", "127.0.0.1", True),
        ("localhost:7480", "127.0.0.1", True),
        ("LOCALHOST:7480", "127.0.0.1", True),
        ("[::1]:7480", "::1", True),
        ("192.0.2.7:7480", "192.0.2.7", True),
        ("shop.local:7480", "192.0.2.7", True),
        ("192.0.2.7:7480", "::ffff:192.0.2.7", True),
        ("localhost:7480", "192.0.2.7", False),
        ("127.0.0.1", "127.0.0.1", False),
        ("127.0.0.1:80", "127.0.0.1", False),
        ("127.0.0.1:7480.evil.test", "127.0.0.1", False),
        ("evil.test:7480", "127.0.0.1", False),
        ("localhost.evil.test:7480", "127.0.0.1", False),
        ("127.0.0.1.evil.test:7480", "127.0.0.1", False),
        ("2130706433:7480", "127.0.0.1", False),
        ("::1:7480", "::1", False),
        ("127.0.0.1:7480@evil.test", "127.0.0.1", False),
        ("", "127.0.0.1", False),
        (":7480", "127.0.0.1", False),
    ],
)
def test_only_names_that_lead_here_are_answered(host: str, came_in_on: str, ours: bool) -> None:
    """A page whose owner points a name of his own at this machine asks under that name, and gets nothing."""
    assert Guard(7480, names=("shop.local",)).host_is_ours(host, came_in_on) is ours


@given(st.text(max_size=60))
def test_no_text_is_taken_for_host_origin_cookie_or_key(text: str) -> None:
    """Whatever stands in a header, the answer is no, and never an exception."""
    guard = Guard(7480)
    assert not guard.host_is_ours(text, "192.0.2.7") or "192.0.2.7" in text
    assert not guard.origin_is_ours(text, "localhost:7480") or text.casefold() == "http://localhost:7480"
    assert not guard.has_cookie(text)
    assert not guard.is_key(text)


def test_the_key_is_long_random_and_typed_as_one_likes() -> None:
    """Over 59 bits, no two alike; dashes and capitals don't matter, a wrong letter does."""
    keys = {new_key() for _ in range(200)}
    assert len(keys) == 200
    assert 31**12 > 2**59
    guard = Guard(7480)
    assert guard.is_key(guard.key.upper().replace("-", " "))
    assert not guard.is_key(guard.key[:-1])
    assert not guard.is_key(guard.key + "2")
    assert len(guard.token) >= 43


def test_another_port_of_this_machine_is_another_site() -> None:
    """A strict cookie goes to every port of a host, so the origin has to be the same to the port."""
    guard = Guard(7480)
    assert guard.origin_is_ours("http://localhost:7480", "localhost:7480")
    for other in ("http://localhost:9000", "https://localhost:7480", "http://localhost", "null", None):
        assert not guard.origin_is_ours(other, "localhost:7480")
    assert comes_from_elsewhere("same-site", is_navigation=False)
    assert comes_from_elsewhere("cross-site", is_navigation=False)
    assert not comes_from_elsewhere("same-origin", is_navigation=False)
    assert not comes_from_elsewhere(None, is_navigation=False)


def test_other_machines_are_warned_of() -> None:
    """On this machine only, no warning; on any other address a clear one, with the key in either case."""
    guard = Guard(7480)
    alone, shared = ("\n".join(greeting(guard, address, Path("shop"))) for address in ("127.0.0.1", "192.0.2.7"))
    assert "WARNING" not in alone
    assert "WARNING" in shared
    assert "sent unencrypted" in shared
    assert f"http://192.0.2.7:7480/enter/{guard.key}" in shared
    assert f"/enter/{guard.key}" in alone
    assert not is_this_machine_only("0.0.0.0")
    assert f"http://[::1]:7480/enter/{guard.key}" in "\n".join(greeting(guard, "::1", Path("shop")))


def test_paths_are_followed_to_where_they_lead(tmp_path: Path) -> None:
    """Names that climb out, absolute names elsewhere and links that lead out are not in the folder."""
    folder, program = tmp_path / "files", tmp_path / "program"
    folder.mkdir()
    (folder / "out").symlink_to(tmp_path)
    allowed = AllowedPaths([folder], [program])
    for inside in ("crest.svg", "a/b.svg", "a/../crest.svg"):
        assert allowed.writes(folder / inside), inside
        assert allowed.reads(str(folder / inside)), inside
    for outside in (folder / "../crest.svg", tmp_path / "filesystem.svg", folder / "out" / "crest.svg", b"/etc/passwd"):
        assert not allowed.reads(outside), outside
    assert allowed.reads(program / "a.py")
    assert not allowed.writes(program / "a.py")


def test_a_held_process_opens_nothing_else(tmp_path: Path) -> None:
    """Whatever is typed wherever: reading, writing, listing, renaming outside is refused as the system would.

    The store is no part of the folder, and is read and written all the same.
    """
    folder, elsewhere = tmp_path / "files", tmp_path / "elsewhere"
    for place in (folder, elsewhere, tmp_path / "kept", tmp_path / "tmp"):
        place.mkdir()
    (tmp_path / "kept" / "readings.toml").write_text("kept", "utf-8")
    (elsewhere / "secret.svg").write_text("<svg/>", "utf-8")
    code = f"""
import os, pathlib
from tui.browser.file_limits import confine
confine()
import rotary.files, rotary.plan, rotary.shipped
assert rotary.files.regular_bytes(pathlib.Path(os.environ["ROTARY_FOLDER"]) / "readings.toml", 100) == b"kept"
rotary.shipped.examples()
inside, outside = pathlib.Path({str(folder)!r}), pathlib.Path({str(elsewhere)!r})
(inside / "a.svg").write_text("<svg/>")
os.rename(inside / "a.svg", inside / "b.svg")
assert os.listdir(inside) == ["b.svg"]
for what in (
    lambda: (outside / "secret.svg").read_text(),
    lambda: (outside / "new.svg").write_text("x"),
    lambda: (inside / ".." / "elsewhere" / "secret.svg").read_bytes(),
    lambda: os.rename(inside / "b.svg", outside / "b.svg"),
    lambda: os.listdir(outside),
    lambda: (outside / "made").mkdir(),
    lambda: (outside / "secret.svg").unlink(),
):
    try:
        what()
    except PermissionError as trouble:
        assert "only files in the folder files" in str(trouble)
    else:
        raise SystemExit("not refused")
print("held")
"""
    held = {"PYTHONPATH": str(ROOT), limits.HELD_TO: str(folder), "TMPDIR": str(tmp_path / "tmp")}
    environment = os.environ | held | {"ROTARY_FOLDER": str(tmp_path / "kept")}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, env=environment)
    assert done.stdout.strip() == "held", done.stderr
    assert sorted(path.name for path in elsewhere.iterdir()) == ["secret.svg"]


def test_a_page_can_t_ask_for_any_size() -> None:
    """Sizes from a page are bounded, so that none can have the machine paint a square mile."""
    assert bounded(10**9, 10**9) == (500, 200)
    assert bounded(-1, 0) == (20, 5)


# -- the server, asked over the wire


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wrong key need not take a second here."""
    monkeypatch.setattr(server, "GUESS_S", 0.05)


@pytest.mark.usefixtures("quick")
async def test_nothing_without_the_key(tmp_path: Path) -> None:
    """Page, files and line are refused without the cookie; a wrong key gives none; the right one gives a strict one."""
    async with served(tmp_path) as (address, guard, sittings), aiohttp.ClientSession() as client:
        for path in ("/", "/page/page.js", "/page/textual.js", f"/desk/{TAB}"):
            answer = await client.get(address + path)
            assert answer.status == 403, path
            assert "key" in await answer.text()
        for wrong in (f"/enter/{new_key()}", "/enter?key=banana", "/enter/%00"):
            answer = await client.get(address + wrong)
            assert answer.status == 403
            assert "Set-Cookie" not in answer.headers
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await client.ws_connect(f"{address}/desk/{TAB}", origin=address)
        assert refused.value.status == 403
        assert not sittings.running
        answer = await client.get(f"{address}/enter/{guard.key}")
        cookie = answer.headers["Set-Cookie"]
        assert "SameSite=Strict" in cookie
        assert "HttpOnly" in cookie
        assert guard.key.replace("-", "") not in cookie
        assert (await client.get(address + "/", headers={"Cookie": f"{guard.cookie_name}={guard.token}"})).status == 200


async def test_wrong_host_and_foreign_origin_are_refused_even_with_the_cookie(tmp_path: Path) -> None:
    """The cookie alone opens nothing: the name asked for must be ours, and the line must come from our page."""
    async with served(tmp_path) as (address, guard, sittings), aiohttp.ClientSession() as client:
        cookie = {"Cookie": f"{guard.cookie_name}={guard.token}"}
        for host in ("evil.test", f"evil.test:{guard.port}", "127.0.0.1:1"):
            answer = await client.get(address + "/", headers={**cookie, "Host": host})
            assert answer.status == 403, host
            answer = await client.get(f"{address}/enter/{guard.key}", headers={"Host": host})
            assert (answer.status, "Set-Cookie" in answer.headers) == (403, False)
        for origin in ("http://evil.test", "null", f"http://127.0.0.1:{guard.port + 1}", None):
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await client.ws_connect(f"{address}/desk/{TAB}", origin=origin, headers=cookie)
            assert refused.value.status == 403, origin
        foreign = {**cookie, "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
        assert (await client.get(address + "/page/page.js", headers=foreign)).status == 403
        assert not sittings.running


@pytest.mark.usefixtures("quick")
async def test_every_answer_carries_its_guards(tmp_path: Path) -> None:
    """No answer can be framed, sniffed, kept, or made to load anything from elsewhere; nothing is listed."""
    async with served(tmp_path) as (address, guard, _), aiohttp.ClientSession() as client:
        cookie = {"Cookie": f"{guard.cookie_name}={guard.token}"}
        expected = {
            "/": 200, "/page/page.css": 200, "/page/": 404, "/page/..%2Fguard.py": 404, "/static/": 404,
            "/download/x": 404, "/enter/x": 403, f"/desk/{TAB}x": 404,
        }  # fmt: skip
        for path, status in expected.items():
            answer = await client.get(address + path, headers=cookie)
            assert answer.status == status, path
            assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
            assert answer.headers["Cache-Control"] == "no-store"
            assert "aiohttp" not in str(answer.headers)
        assert (await client.post(address + "/", headers=cookie)).status == 405


async def test_the_page_links_nothing_outside() -> None:
    """Fonts, styles and scripts come from this machine: no page names another."""
    folder = Path(server.__file__).parent / "page"
    for file in folder.iterdir():
        found = re.findall(r"(?:src|href|url|import|fetch)\W{1,3}(https?:|//)\S*", file.read_text("utf-8"))
        assert not found, file.name


async def until(line: aiohttp.ClientWebSocketResponse, sign: bytes) -> bytes:
    """All that a line brings until a sign comes."""
    got = b""
    while sign not in got:
        message = await line.receive(timeout=PATIENCE_S)
        assert message.type == aiohttp.WSMsgType.BINARY, (message, got[-400:])
        got += message.data
    return got


@pytest.mark.slow
async def test_a_desk_answers_a_page_and_waits_for_it(tmp_path: Path) -> None:
    """Over the line: the numbers come, typing changes them; a page loaded anew finds the same desk as it stood."""
    async with served(tmp_path, most=1) as (address, guard, sittings), aiohttp.ClientSession() as client:
        how = {"origin": address, "headers": {"Cookie": f"{guard.cookie_name}={guard.token}"}}
        line = await client.ws_connect(f"{address}/desk/{TAB}?width=120&height=40", **how)
        await until(line, b"Heron cup, blue")
        for rubbish in ("", "[]", "{", '["stdin", 3]', '["resize", {"width": "x"}]', "[" * 5000, '["nothing", null]'):
            await line.send_str(rubbish)
        await line.send_str(json.dumps(["stdin", "91"]))
        await until(line, b"NOT READY")
        other = await client.ws_connect(f"{address}/desk/{TAB[::-1]}?width=80&height=24", **how)
        assert b"Too many pages are open" in (await other.receive(timeout=PATIENCE_S)).data
        await line.close()
        await until_it_is(lambda: list(sittings.running) == [TAB])
        again = await client.ws_connect(f"{address}/desk/{TAB}?width=100&height=30", **how)
        shown = await until(again, b"91")
        assert b"\x1b[?1049h" in shown, "the terminal is put into the state that the desk has it in"
        await again.send_str(json.dumps(["stdin", "\x11"]))
        await until(again, b"not saved")
        await again.send_str(json.dumps(["stdin", "l"]))
        end = await again.receive(timeout=PATIENCE_S)
        while end.type == aiohttp.WSMsgType.BINARY:
            # A question takes no answer in the moment in which it is painted: it may have to be said again.
            try:
                end = await again.receive(timeout=0.5)
            except TimeoutError:
                await again.send_str(json.dumps(["stdin", "l"]))
        assert end.type in (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED, aiohttp.WSMsgType.CLOSING)
        await until_it_is(lambda: not sittings.running)


@pytest.mark.slow
async def test_work_outlives_the_server(tmp_path: Path) -> None:
    """Typed, not saved, and the server is ended: the next desk, on a new server, offers what was left."""
    for round_number in (1, 2):
        async with served(tmp_path) as (address, guard, _), aiohttp.ClientSession() as client:
            how = {"origin": address, "headers": {"Cookie": f"{guard.cookie_name}={guard.token}"}}
            line = await client.ws_connect(f"{address}/desk/{TAB}?width=120&height=40", **how)
            if round_number == 1:
                await until(line, b"Heron cup, blue")
                await line.send_str(json.dumps(["stdin", "91"]))
                await until(line, b"NOT READY")
            else:
                await until(line, b"You have unsaved work on")
            await line.close()


async def seen(line: aiohttp.ClientWebSocketResponse, stream: pyte.ByteStream, screen: pyte.Screen, text: str) -> None:
    """Wait until the screen that a line paints has a text, whatever frame or line end stands in it."""
    for _ in chances(lambda: f"{text!r} is not on the screen:\n" + "\n".join(screen.display)):
        if text in " ".join("".join(screen.display).replace("│", " ").split()):
            return
        try:
            message = await line.receive(timeout=1)
        except TimeoutError:
            continue
        assert message.type == aiohttp.WSMsgType.BINARY, (message, screen.display)
        stream.feed(message.data)


@pytest.mark.slow
async def test_a_paper_goes_nowhere_else(tmp_path: Path) -> None:
    """From the desk's own screen: a name outside the folder is refused in a sentence, one inside is written."""
    outside = tmp_path / "elsewhere.pdf"
    for place in ("shop", "tmp"):
        (tmp_path / place).mkdir()
    screen = pyte.Screen(120, 40)
    stream = pyte.ByteStream(screen)
    room = {"TMPDIR": str(tmp_path / "tmp")}
    async with served(tmp_path / "shop", **room) as (address, guard, _), aiohttp.ClientSession() as client:
        how = {"origin": address, "headers": {"Cookie": f"{guard.cookie_name}={guard.token}"}}
        line = await client.ws_connect(f"{address}/desk/{TAB}?width=120&height=40", **how)
        # The plan is there: without one no paper is made, and the screen says so.
        await seen(line, stream, screen, "not 74.4")
        await line.send_str(json.dumps(["stdin", "\x0b"]))
        await seen(line, stream, screen, "Papers of this job")
        await seen(line, stream, screen, "> paper")
        for row in ("kind", "size", "file"):
            await line.send_str(json.dumps(["stdin", "\x1b[B"]))
            await seen(line, stream, screen, f"> {row}")
        for name, says in ((str(outside), "Not written."), ("card.pdf", "Written:")):
            await line.send_str(json.dumps(["stdin", "\x15"]))
            await line.send_str(json.dumps(["stdin", name]))
            await seen(line, stream, screen, Path(name).name)
            await line.send_str(json.dumps(["stdin", "\r"]))
            await seen(line, stream, screen, says)
        assert not outside.exists()
        assert (tmp_path / "shop" / "card.pdf").read_bytes().startswith(b"%PDF")


def test_a_desk_passes_files_in_a_folder_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The computer's common folder for passing files is not open to a browser; the server's own is gone with it."""
    import tempfile

    from tui.browser import server

    seen: list[Path] = []

    async def served(_guard: object, _address: str, _words: object, settings: dict[str, str], *_: object) -> None:
        seen.extend(Path(settings[name]) for name in ("TMPDIR", "TEMP", "TMP"))
        assert all(path.is_dir() and path != Path(tempfile.gettempdir()) for path in seen)

    monkeypatch.setattr(server, "_served", served)
    assert server.run(None, "127.0.0.1", 7499, (), 1, tmp_path) == 0
    assert len(seen) == 3
    assert not any(path.exists() for path in seen)


def test_folders_of_the_system_are_neither_offered_nor_read(tmp_path: Path) -> None:
    """Even where all files may be named, what the system makes up is not listed, nor read by its path or a link."""
    (tmp_path / "tmp").mkdir()
    (tmp_path / "endless.svg").symlink_to("/dev/zero")
    (tmp_path / "heron.svg").write_text("<svg/>", "utf-8")
    code = f"""
import pathlib
from tui.browser.file_limits import confine
confine()
from rotary.artwork.fonts import default_faces
from rotary.errors import FileTrouble
from rotary.files import bytes_of_file
from tui.drawings.file_list import listing
top = [entry.name for entry in listing(pathlib.Path("/")).entries]
assert not {{"dev", "proc", "sys", "etc", "usr"}} & set(top), top
for folder in ("/dev", "/proc", "/sys", "/proc/self", "/etc"):
    found = listing(pathlib.Path(folder))
    assert found.trouble and not found.entries, found
for name in ("/dev/zero", "/proc/self/environ", "/proc/version", "/etc/passwd", {str(tmp_path / "endless.svg")!r}):
    try:
        bytes_of_file(pathlib.Path(name), 1000, "name another")
    except FileTrouble as trouble:
        assert "needs rights that you don't have" in str(trouble), trouble
    else:
        raise SystemExit(name + " was read")
here = [entry.name for entry in listing(pathlib.Path({str(tmp_path)!r})).entries]
assert "heron.svg" in here and "endless.svg" not in here, here
assert bytes_of_file(pathlib.Path({str(tmp_path / "heron.svg")!r}), 1000, "")
assert default_faces()
print("held")
"""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), limits.HELD_TO: "/", "TMPDIR": str(tmp_path / "tmp")}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, env=environment)
    assert done.stdout.strip() == "held", done.stderr
