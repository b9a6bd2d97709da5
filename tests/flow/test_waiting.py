"""Work above a second is told of and can be stopped."""

import io
import os
import pty
import signal
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from rotary import cli
from rotary.cli import output as module
from rotary.cli.output import waiting
from rotary.shipped import FIRST
from tests.flow.test_artwork_cli import JOB
from tests.patience import until


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_quick_work_shows_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is done before patience ends needs no line."""
    assert module.PATIENCE_S == 1.0
    monkeypatch.setattr(module, "PATIENCE_S", 3600.0)
    out = Terminal()
    with waiting("drawing", out) as tell:
        tell(0.5)
    assert out.getvalue() == ""


def test_slow_work_shows_its_share_and_wipes_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """The line says what is done and how far it is, and is gone in the end, also when the work fails."""
    monkeypatch.setattr(module, "PATIENCE_S", 0.01)
    monkeypatch.setattr(module, "BETWEEN_S", 0.01)
    out = Terminal()

    def work() -> None:
        with waiting("drawing", out) as tell:
            tell(0.42)
            until(lambda: "42 %" in out.getvalue())
            raise ValueError("on purpose")

    with pytest.raises(ValueError, match="on purpose"):
        work()
    assert "drawing ...  42 %" in out.getvalue()
    assert out.getvalue().endswith(module.ERASE)


def test_a_share_told_while_the_line_is_written_does_no_harm(monkeypatch: pytest.MonkeyPatch) -> None:
    """The work tells how far it is at any moment, also while the one before is being put into words."""
    monkeypatch.setattr(module, "PATIENCE_S", 0.01)
    monkeypatch.setattr(module, "BETWEEN_S", 0.01)
    out = Terminal()
    with waiting("drawing", out) as tell:

        class Busy(float):
            def __rmul__(self, other: float) -> float:
                tell(0.75)
                return other * float(self)

        tell(Busy(0.25))
        until(lambda: "75 %" in out.getvalue())
    assert "25 %" in out.getvalue()


def test_a_file_or_pipe_gets_no_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only a terminal is told: for an error log nobody even watches how long it takes."""
    monkeypatch.setattr(module, "_watch", None)
    out = io.StringIO()
    with waiting("drawing", out) as tell:
        tell(0.5)
    assert out.getvalue() == ""


@pytest.mark.slow
def test_ctrl_c_stops_a_long_sheet_and_leaves_nothing(tmp_path: Path) -> None:
    """A drawing of very many dots is stopped in the middle: exit code 130, one word, no file."""
    dots = "".join(f'<circle cx="{x}" cy="{y}" r="0.45"/>' for x in range(250) for y in range(200))
    (tmp_path / "crest.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="40mm" viewBox="0 0 250 200">{dots}</svg>',
        "utf-8",
    )
    (tmp_path / "job.toml").write_text(JOB, "utf-8")
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "rotary", "art", "slice", "job.toml", "--art", "crest.svg", "--to", "out"]
    root = Path(__file__).resolve().parents[2]
    child = subprocess.Popen(
        command, cwd=tmp_path, stderr=theirs, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(root)}
    )
    os.close(theirs)
    said = b""
    try:
        while b"Ctrl+C stops it" not in said:
            said += os.read(ours, 4096)
        child.send_signal(signal.SIGINT)
        assert child.wait(timeout=200) == 130
        said = os.read(ours, 4096)
    finally:
        child.kill()
        child.wait()
        os.close(ours)
    assert b"rotary: stopped" in said
    assert not list((tmp_path / "out").rglob("*")) if (tmp_path / "out").exists() else True


@pytest.mark.slow
@pytest.mark.parametrize(
    "words",
    [
        ("plan", FIRST, "--samples", "90000", "--to", "plan.txt"),
        ("art", "names", FIRST, "crew.csv", "--to", "crew"),
        ("print", "setup", FIRST, "--samples", "90000", "--to", "setup.pdf"),
    ],
)
def test_the_key_itself_stops_a_command_at_its_terminal(words: tuple[str, ...], tmp_path: Path) -> None:
    """Ctrl+C, typed at the terminal that a long command runs in: exit code 130, one word, nothing half written."""
    (tmp_path / "crew.csv").write_text("name\n" + "".join(f"Rower {k}\n" for k in range(2000)), "utf-8")
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(tmp_path)
        root = str(Path(__file__).resolve().parents[2])
        # Told at once, so that a quick machine is not done before.
        run = "from rotary.cli import output; output.PATIENCE_S = 0.01; from rotary.__main__ import main; exit(main())"
        os.execve(sys.executable, [sys.executable, "-c", run, *words], {**os.environ, "PYTHONPATH": root})
    said, typed = b"", False
    with suppress(OSError):
        while part := os.read(terminal, 4096):
            said += part
            if b"Ctrl+C stops it" in said and not typed:
                typed = os.write(terminal, b"\x03") == 1
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 130, said
    os.close(terminal)
    assert b"rotary: stopped" in said, said
    assert [path.name for path in tmp_path.iterdir()] == ["crew.csv"]


@pytest.mark.parametrize("tells", [True, False])
def test_ctrl_c_that_a_library_swallows_stops_all_the_same(tells: bool) -> None:
    """It stops where the work next tells its share, or where it ends, before anything is written."""
    before, done = signal.getsignal(signal.SIGINT), []

    def work() -> None:
        with waiting("drawing", Terminal()) as tell:
            with suppress(BaseException):
                signal.raise_signal(signal.SIGINT)
            if tells:
                tell(0.5)
                done.append("told")
        done.append("ended")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert not done
    assert signal.getsignal(signal.SIGINT) is before


def test_ctrl_c_while_a_class_is_made_is_no_fault(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Python makes an error of its own of it there, which is no fault of rotary's."""

    class Name:
        def __set_name__(self, owner: type, name: str) -> None:
            raise KeyboardInterrupt

    def broken(_words: list[str]) -> int:
        type("Record", (), {"name": Name()})
        return 0

    monkeypatch.setattr(cli, "_run", broken)
    assert cli.main(["plan"]) == 130
    assert capsys.readouterr().err == "rotary: stopped\n"
