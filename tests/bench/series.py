"""A thousand names with a crest: wall and processor time, peak of memory.

Usage: python tests/bench/series.py [names]
"""

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

FIRST = ("Anna", "Björn", "Jeg", "Lukas", "Mia", "Ödön")
BOATS = ("Heron", "Kingfisher", "Otter", "Swan")


def main(count: int) -> None:
    """On the tapered bottle, by slice sheets, and on the mug, by plain columns."""
    from rotary.artwork.rings import rings_from_list
    from rotary.job import job_from_file
    from rotary.plan import plan
    from rotary.series import SeriesWish, series
    from rotary.shipped import examples

    turns = np.arange(20) * np.pi / 10
    star = rings_from_list([[(q * np.cos(a), 13 + q * np.sin(a)) for a, q in zip(turns, [9, 4] * 10, strict=True)]])
    names = [f"{FIRST[k % 6]} {BOATS[k % 4]} {k}" for k in range(count)]
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "list.csv").write_text("\n".join(["name", *names]), "utf-8")
        for name, crest, wish in (
            ("regatta-bottle", star, SeriesWish(letter_height_mm=6.0)),
            ("boathouse-mug", None, SeriesWish(letter_height_mm=5.0)),
        ):
            made = plan(job_from_file(examples()[name]), 0)
            start, spent = time.perf_counter(), time.process_time()
            more = {} if crest is None else {"crest": crest}
            found, _ = series(made, Path(folder) / "list.csv", Path(folder) / name, wish, **more)
            wall, spent = time.perf_counter() - start, time.process_time() - spent
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            print(
                f"{name}: {count - found.misfits} of {count} names, {made.split.slices} {made.split.method} columns: "
                f"{wall:.1f} s, of which processor {spent:.1f} s (budget 60 s for 1000); peak {peak:.0f} MB"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
