"""How many open drawings are read as the reference renderer paints them, kind by kind.

Usage: python tests/bench/drawings.py COUNT[:SEED] NAME=FOLDER[,FOLDER...] ...

Right is what agrees within a pixel over 99.5 % of the painted area at 1,024 pixels; a drawing that is not right and
about which nothing is said is wrong in silence. Texts are left out of account: renderer and reader have other fonts.
"""

import sys
import time
from collections import Counter
from pathlib import Path
from random import Random

from rotary.errors import Refused

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from tests.outside.svg_reference import Renderer, compared  # noqa: E402  (the folder of this file is the only one that is looked in otherwise)

RIGHT = 0.995
LARGEST_BYTES = 1_000_000
SEED = int(sys.argv[1].partition(":")[2] or 11)


def drawings(folders: list[Path], count: int) -> list[Path]:
    """A sample of the drawings in the folders, as many of each folder as there are, up to an equal share."""
    draw = Random(SEED)
    sample = []
    for folder in folders:
        # An icon of one name stands in a theme in several sizes and colours: one of them is enough.
        names: dict[str, Path] = {}
        for path in sorted(folder.rglob("*.svg")):
            if not path.is_symlink() and path.stat().st_size < LARGEST_BYTES:
                names[path.name] = path
        paths = [path for path in names.values() if b"<text" not in path.read_bytes()]
        draw.shuffle(paths)
        sample += paths[: count // len(folders)]
    return sample


def outcome(renderer: Renderer, path: Path) -> tuple[str, str]:
    """What came of a drawing, and more about it."""
    try:
        share, ledger = compared(renderer, path.read_bytes())
    except Refused as refusal:
        return "refused", str(refusal)[:90]
    except UnicodeDecodeError:
        return "left out", ""
    if share is None:
        return "left out", ""
    told = ", ".join(one.what for one in ledger.list_of_unread())
    if share >= RIGHT:
        return "right", ""
    return ("told" if told else "silent"), f"{share:.4f} {told}"


def main() -> None:
    renderer = Renderer()
    for asked in sys.argv[2:]:
        name, _, folders = asked.partition("=")
        counts: Counter[str] = Counter()
        times = []
        for path in drawings([Path(folder) for folder in folders.split(",")], int(sys.argv[1].partition(":")[0])):
            start = time.process_time()
            what, more = outcome(renderer, path)
            times.append((time.process_time() - start, path.name))
            counts[what] += 1
            if what not in ("right", "left out"):
                print(f"  {what}: {path} {more}", flush=True)
        whole = sum(counts.values()) - counts["left out"]
        print(
            f"{name}: {whole} drawings, right {100 * counts['right'] / whole:.2f} %, "
            f"wrong in silence {100 * counts['silent'] / whole:.2f} %, {dict(counts)}, slowest {max(times)}",
            flush=True,
        )
    renderer.close()


if __name__ == "__main__":
    main()
