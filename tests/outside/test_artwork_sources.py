"""Reading of artwork against a reference renderer, on open icon and flag sets and on our own small files.

Reference: resvg, the SVG renderer of the Linebender project, by its Python package resvg-py.
Sets, fetched when the test runs and never kept: see SETS with their licences. Where the package
registry is not reached, that part is skipped; the small files are always compared.
"""

import shutil
import subprocess
import tarfile
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from tests.artwork.small_files import SMALL_FILES
from tests.outside.svg_reference import Renderer, compared

SETS = {
    "lucide-static@1.62.0": "ISC",
    "@tabler/icons@3.52.0": "MIT",
    "bootstrap-icons@1.13.2": "MIT",
    "@mapbox/maki@8.2.0": "CC0",
    "healthicons@2.0.0": "MIT",
    "circle-flags@2.8.3": "MIT",
    "flag-icons@7.5.0": "MIT",
    "@bybas/weather-icons@2.0.0": "MIT",
}
FILES_OF_EACH = 20
SEED = 7
RIGHT = 0.995  # of the painted area within one pixel
LARGEST_BYTES = 1_000_000


@pytest.fixture(scope="module")
def renderer() -> Iterator[Renderer]:
    started = Renderer()
    yield started
    started.close()


@pytest.fixture(scope="module")
def sets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Path]]:
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("no npm here")
    found = {}
    for package in SETS:
        folder = tmp_path_factory.mktemp("set")
        try:
            subprocess.run([npm, "pack", "--silent", package], cwd=folder, check=True, capture_output=True, timeout=60)
        except (subprocess.SubprocessError, OSError):
            pytest.skip("the package registry is not reached")
        with tarfile.open(next(folder.glob("*.tgz"))) as packed:
            packed.extractall(folder, filter="data")
        files = sorted(p for p in folder.rglob("*.svg") if p.stat().st_size < LARGEST_BYTES)
        Random(SEED).shuffle(files)
        found[package] = files[:FILES_OF_EACH]
    return found


@pytest.mark.timeout(900)
def test_real_files_are_read_as_the_reference_renders_them(sets: dict[str, list[Path]], renderer: Renderer) -> None:
    """At least 99.5 % of a seeded sample is right to a pixel; what is not is said to have been read otherwise."""
    right, said, wrong = 0, 0, []
    for package, files in sets.items():
        assert len(files) == FILES_OF_EACH, package
        for path in files:
            share, ledger = compared(renderer, path.read_bytes())
            if share is None:
                continue
            if share >= RIGHT:
                right += 1
            elif ledger.list_of_unread():
                said += 1
            else:
                wrong.append(f"{package} {path.name} {share:.4f}")
    print(f"right {right}, read otherwise and said so {said}, wrong {len(wrong)}")
    assert right >= 0.995 * (right + len(wrong)), wrong
    assert said <= 0.05 * (right + said)


@pytest.mark.parametrize("name", [name for name, small in SMALL_FILES.items() if small.in_reference])
def test_small_files_are_read_as_the_reference_renders_them(name: str, renderer: Renderer) -> None:
    """Each feature of SVG that drawings for marking use, one small file each, agrees to a pixel."""
    share, ledger = compared(renderer, SMALL_FILES[name].svg)
    assert not ledger.list_of_unread()
    assert share is not None
    assert share >= RIGHT
