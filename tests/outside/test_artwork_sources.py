"""Reading of artwork against a reference renderer, on open icon and flag sets and on our own small files.

Reference: resvg, the SVG renderer of the Linebender project, by its Python package resvg-py.
Texts: the same renderer with the same font files; advance widths against the fonts' own tables as fontTools
reads them. Sets, fetched when the test runs and never kept: see SETS with their licences. Where the package
registry is not reached, that part is skipped; the small files are always compared.
"""

import shutil
import subprocess
import tarfile
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from rotary.artwork.fonts import default_faces, face_from_file
from tests.artwork.small_files import SMALL_FILES, page
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
    folders = {package: tmp_path_factory.mktemp("set") for package in SETS}
    # All at once: each mostly waits for the registry.
    fetching = [
        subprocess.Popen([npm, "pack", "--silent", package], cwd=folder, stdout=subprocess.DEVNULL)
        for package, folder in folders.items()
    ]
    try:
        ended = [one.wait(timeout=200) for one in fetching]
    except subprocess.TimeoutExpired:
        ended = [1]
    finally:
        for one in fetching:
            one.kill()
            one.wait()
    if any(ended):
        pytest.skip("the package registry is not reached")
    found = {}
    for package, folder in folders.items():
        with tarfile.open(next(folder.glob("*.tgz"))) as packed:
            drawings = [one for one in packed.getmembers() if one.name.endswith(".svg") and one.size < LARGEST_BYTES]
            drawings.sort(key=lambda one: Path(one.name))
            Random(SEED).shuffle(drawings)
            packed.extractall(folder, drawings[:FILES_OF_EACH], filter="data")
        found[package] = [folder / one.name for one in drawings[:FILES_OF_EACH]]
    return found


@pytest.mark.slow
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
    assert bool(ledger.list_of_unread()) == SMALL_FILES[name].told
    assert share is not None
    assert share >= RIGHT


def open_fonts() -> list[Path]:
    """The default font, and those that a plotting library brings along (they have Arabic and Hebrew letters)."""
    import fontpkg_noto_sans
    import matplotlib

    plotting = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return [
        *sorted(Path(fontpkg_noto_sans.ROOT).glob("files/*.ttf")),
        plotting / "DejaVuSans.ttf",
        plotting / "DejaVuSerif-Bold.ttf",
        plotting / "DejaVuSansMono.ttf",
    ]


TEXTS = {
    "named from elsewhere": '<defs><text id="t">Reg<tspan>atta</tspan></text></defs>'
    '<text x="5" y="50" font-size="20" font-family="Noto Sans"><tref href="#t"/></text>',
    "kerned": '<text x="5" y="50" font-size="20" font-family="Noto Sans">AVATAR To</text>',
    "heavy": '<text x="5" y="50" font-size="20" font-family="Noto Sans" font-weight="800">Regatta</text>',
    "slanted": '<text x="5" y="50" font-size="20" font-family="Noto Sans" font-style="italic">Regatta</text>',
    "Greek and Cyrillic": '<text x="2" y="50" font-size="14" font-family="Noto Sans">Ωρα Весло</text>',
    "Vietnamese": '<text x="2" y="50" font-size="14" font-family="Noto Sans">Tiếng Việt ổ</text>',
    "combining": '<text x="2" y="50" font-size="16" font-family="Noto Sans">e\u0301 a\u030a n\u0303</text>',
    "in the middle": '<text x="50" y="50" font-size="16" font-family="DejaVu Sans" text-anchor="middle">Oarsmen</text>',
    "at the end": '<text x="95" y="50" font-size="16" font-family="DejaVu Serif" font-weight="bold" text-anchor="end">'
    "Club</text>",
    "spaced": '<text x="5" y="50" font-size="12" font-family="DejaVu Sans Mono" letter-spacing="3">fi fl 12</text>',
    "white space": '<text x="5" y="50" font-size="12" font-family="DejaVu Sans">\n two  <tspan> words </tspan> </text>',
    "moved letters": '<text x="5 20 45" y="30 40 50" font-size="20" font-family="DejaVu Sans">abcd</text>',
    "shifted letters": '<text x="5" y="50" dx="0 5 5" dy="0 5 -9" font-size="20" font-family="DejaVu Sans">abcd</text>',
    "turned letters": '<text x="10" y="50" rotate="10 -20 30" font-size="20" font-family="DejaVu Sans">abcd</text>',
    "spans": '<text x="5" y="50" font-size="12" font-family="DejaVu Sans">a<tspan font-size="24" dy="5">b</tspan>'
    '<tspan font-family="Noto Sans" font-weight="700" dy="-5">c</tspan></text>',
    "stroked": '<text x="5" y="60" font-size="40" font-family="Noto Sans" fill="none" stroke="#000">Rim</text>',
    "Hebrew": '<text x="5" y="50" font-size="16" font-family="DejaVu Sans">שלום 12</text>',
    "Arabic": '<text x="5" y="50" font-size="20" font-family="DejaVu Sans">مرحبا</text>',
    "both ways": '<text x="5" y="50" font-size="12" font-family="DejaVu Sans">club שלום 12</text>',
    "clipped by letters": '<clipPath id="c"><text x="5" y="60" font-size="50" font-family="Noto Sans" '
    'font-weight="900">Rim</text></clipPath><circle cx="50" cy="50" r="40" clip-path="url(#c)"/>',
}


@pytest.mark.parametrize("name", TEXTS)
def test_texts_are_set_as_the_reference_sets_them(name: str, renderer: Renderer) -> None:
    """Shaping, kerning, marks, anchors, spacing, both directions: letters stand where the reference puts them."""
    share, _ = compared(renderer, page(TEXTS[name]), open_fonts())
    assert share is not None
    assert share >= RIGHT


@pytest.mark.parametrize("index", range(5))
def test_advance_widths_are_those_of_the_fonts_own_table(index: int) -> None:
    """Each letter moves the pen on by what the font's horizontal metrics table says."""
    from fontTools.ttLib import TTFont

    path = open_fonts()[index]
    table = TTFont(path)
    font = face_from_file(path).font(400)
    names, widths = table.getBestCmap(), table["hmtx"]
    if "fvar" in table:
        axes = {axis.axisTag: axis.defaultValue for axis in table["fvar"].axes}
        assert axes["wght"] == 400
    for letter in "AaBbGgMmWwXx0189&@":
        assert sum(glyph.advance for glyph in font.shaped(letter)) == widths[names[ord(letter)]][0]


@pytest.mark.slow
def test_the_default_font_is_open() -> None:
    """The font that ships may be shipped: its own licence field names the SIL Open Font License."""
    from fontTools.ttLib import TTFont

    for path in open_fonts()[:2]:
        assert "Open Font License" in TTFont(path)["name"].getDebugName(13)
    assert len(default_faces()) == 2
