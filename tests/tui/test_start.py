"""What the start of the screen loads, and what it doesn't."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HEAVY = (
    "pint", "numpy", "pydantic", "PIL", "asteval", "rotary.plan", "rotary.job", "textual.widgets._markdown",
    "textual.widgets._data_table", "textual.widgets._text_area",
)  # fmt: skip


def fresh(code: str) -> str:
    """What a fresh interpreter prints."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=200,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_nothing_heavy_is_loaded_before_the_first_frame() -> None:
    """Importing the program loads neither the core's heavy libraries nor widgets that it has no use for."""
    assert fresh(f"import sys, tui.app; print([m for m in {HEAVY!r} if m in sys.modules])") == "[]"


def test_opening_a_job_loads_nothing_heavy() -> None:
    """The fields stand before the core is there."""
    code = f"""
import sys, tui.app
data = tui.app.read_job(None)
tui.app.Rotary(data)
print([m for m in {HEAVY!r} if m in sys.modules])
"""
    assert fresh(code) == "[]"


def test_a_missing_file_is_a_sentence_and_a_code() -> None:
    """No traceback, no screen: one line says what is wrong."""
    code = "import tui.app, sys; print(tui.app.run('no-such-job.toml'), file=sys.stdout)"
    assert fresh(code) == "2"


def test_putting_the_desk_up_loads_nothing_heavy(tmp_path: Path) -> None:
    """What was set before and drafts that were left are looked for without the core."""
    code = f"""
import asyncio, sys, tui.app
app = tui.app.Rotary(tui.app.read_job(None))
app.folder = __import__("pathlib").Path({str(tmp_path)!r})
app.desk._begin = lambda: None
async def main():
    async with app.run_test(size=(120, 40)):
        print([m for m in {HEAVY!r} if m in sys.modules])
asyncio.run(main())
"""
    assert fresh(code) == "[]"
