"""Inscriptions: how soon a keystroke is answered, and a thousand names on both nuts with their memory.

Usage: python tests/bench/inscriptions.py [names]
"""

import resource
import sys
import tempfile
import time
import tomllib
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

FIRST = ("Anna", "Björn", "Jeg", "Lukas", "Mia", "Ödön")
TEXT = "Boathouse Regatta 2026, Heron & Kingfisher, for the crew"


def main(count: int) -> None:
    """Time what a person waits for."""
    from rotary.inscription.legibility import make_ready
    from rotary.inscription.lists import ListRow
    from rotary.inscription.names import names
    from rotary.inscription.work import size
    from rotary.job import job_from_file
    from rotary.shipped import examples
    from rotary.wording import InscriptionWish

    jobs = {name: job_from_file(examples()[name]) for name in ("brass-nut", "domed-nut")}
    start = time.perf_counter()
    make_ready(InscriptionWish())
    size(jobs["brass-nut"], InscriptionWish(text="x"))  # what is loaded once
    print(f"letters made ready before the first is typed: {1e3 * (time.perf_counter() - start):.0f} ms")
    waits = []
    for length in range(1, len(TEXT) + 1):
        if not TEXT[:length].strip():
            continue
        start = time.perf_counter()
        size(jobs["brass-nut"], InscriptionWish(text=TEXT[:length]))
        waits.append(1e3 * (time.perf_counter() - start))
    print(
        f"typing {len(waits)} letters, every letter's first time among them: middle {np.median(waits):.1f} ms, "
        f"longest {max(waits):.1f} ms (budget 30 ms)"
    )
    screen()
    wanted = tuple(ListRow(k + 2, "", f"{FIRST[k % 6]} Heron {k}") for k in range(count))
    wanted = tuple(one._replace(name=one.text) for one in wanted)
    for name, job in jobs.items():
        for around in ("ring", "arc"):
            peaks = []
            for part in (wanted[: count // 4], wanted):
                with tempfile.TemporaryDirectory() as folder:
                    start, spent = time.perf_counter(), time.process_time()
                    made = names(job, InscriptionWish(around=around), part, Path(folder) / "out")
                    wall, spent = time.perf_counter() - start, time.process_time() - spent
                peaks.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
            print(
                f"{name}, {around}: {count - made.misfits} of {count}: {wall:.1f} s, of which processor {spent:.1f} s "
                f"(budget 60 s for 1000); peak {peaks[0]:.0f} MB after a quarter, {peaks[1]:.0f} MB after all"
            )


def screen() -> None:
    """All that the screen shows for a key: sizes, legibility, slices, depth, picture, and bringing it over."""
    from tui.background.inscriptions import looked
    from tui.background.tasks import Errand
    from tui.form.lettering import Lettering
    from tui.planner.process import plain_bytes

    job = tomllib.loads((ROOT / "profiles" / "brass-nut.toml").read_text("utf-8"))
    for around in ("ring", "arc", "axis", "end"):
        waits = []
        for length in range(1, 24):
            request = Lettering({"text": [{"line": TEXT[:length]}], "around": around}, "mm", job).request()
            start = time.perf_counter()
            plain_bytes(looked(Errand("inscription", "", {**request.data, "profiles": "none"}, "mm", "")))
            waits.append(1e3 * (time.perf_counter() - start))
        middle, longest = np.median(waits[1:]), max(waits[1:])
        print(f"the whole answer at the screen, {around}: middle {middle:.1f} ms, longest {longest:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
