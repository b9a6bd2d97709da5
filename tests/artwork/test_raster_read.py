"""Picture files as they come: any orientation, depth and kind, and those that are broken."""

import signal
import struct
import zipfile
import zlib
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rotary.artwork.raster_read import FULL, picture_from_file
from rotary.errors import FileTrouble, Refused


def saved(path: Path, values: object, mode: str | None = None, **how: object) -> Path:
    """A small picture in a file."""
    image = Image.fromarray(np.asarray(values))
    (image.convert(mode) if mode else image).save(path, **how)  # type: ignore[arg-type]
    return path


GREYS = np.array([[0, 64, 128], [192, 255, 30]], np.uint8)


def light(grey: float) -> float:
    """The share of the light of a stored grey, by the curve of sRGB."""
    v = grey / 255
    return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.jpg"])
def test_three_kinds_of_files_are_read(name: str, tmp_path: Path) -> None:
    """PNG and TIFF to the last digit, JPEG as far as it keeps greys."""
    greys = np.kron(GREYS, np.ones((16, 16), np.uint8))
    tones = picture_from_file(saved(tmp_path / name, greys)).tones
    expected = np.vectorize(light)(greys) * FULL
    assert np.abs(tones - expected).max() <= (0.5 if name != "a.jpg" else 1500)


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "LA", "1", "CMYK"])
def test_every_mode_of_black_and_white_reads_as_black_and_white(mode: str, tmp_path: Path) -> None:
    """However colours are stored, black gives no light and white all of it."""
    kind = "tif" if mode == "CMYK" else "png"
    path = saved(tmp_path / f"a.{kind}", np.array([[0, 255], [255, 0]], np.uint8), mode)
    tones = picture_from_file(path).tones
    assert tones.tolist() == [[0, FULL], [FULL, 0]]


def test_sixteen_bits_are_brought_to_eight(tmp_path: Path) -> None:
    """16 bit divided by 257 gives the greys of 8 bit."""
    path = saved(tmp_path / "a.png", GREYS.astype(np.uint16) * 257)
    assert np.array_equal(picture_from_file(path).tones, picture_from_file(saved(tmp_path / "b.png", GREYS)).tones)


def test_what_is_clear_lies_on_white(tmp_path: Path) -> None:
    """A clear dot is white, a half clear black one gives half of the light; the person is told."""
    dots = np.array([[[0, 0, 0, 0], [0, 0, 0, 255]], [[0, 0, 0, 128], [255, 255, 255, 0]]], np.uint8)
    read = picture_from_file(saved(tmp_path / "a.png", dots))
    assert read.tones.ravel() / FULL == pytest.approx([1.0, 0.0, 127 / 255, 1.0], abs=1e-4)
    assert any("Transparent parts" in note for note in read.notes)


def test_the_clear_grey_of_sixteen_bits_lies_on_white(tmp_path: Path) -> None:
    """A PNG of 16 bits may name one grey that is seen through: it is no ink, and that is said."""
    deep = GREYS.astype(np.uint16) * 257
    read = picture_from_file(saved(tmp_path / "a.png", deep, transparency=64 * 257))
    assert read.tones[0, 1] == FULL
    assert (read.tones.ravel()[[0, 2, 3]] < FULL).all()
    assert any("Transparent" in note for note in read.notes)


@pytest.mark.parametrize("kind", ["png", "jpg", "tif"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photograph_stands_as_the_camera_was_held(orientation: int, kind: str, tmp_path: Path) -> None:
    """All eight orientations of EXIF bring the dark corner to where the eye saw it."""
    upright = np.full((24, 32), 255, np.uint8)
    upright[:8, :8] = 0
    undo = {1: lambda a: a, 2: np.fliplr, 3: lambda a: np.rot90(a, 2), 4: np.flipud, 5: np.transpose,
            6: lambda a: np.rot90(a, 1), 7: lambda a: np.rot90(a, 2).T, 8: lambda a: np.rot90(a, -1)}  # fmt: skip
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = saved(tmp_path / f"a.{kind}", np.ascontiguousarray(undo[orientation](upright)), exif=exif)
    assert np.array_equal(picture_from_file(path).tones < FULL / 2, upright == 0)


def test_the_stated_resolution_is_told(tmp_path: Path) -> None:
    """254 dots to the inch are 10 to the millimetre."""
    assert picture_from_file(saved(tmp_path / "a.png", GREYS, dpi=(254, 508))).per_mm == pytest.approx(
        (10, 20), rel=1e-3
    )
    assert picture_from_file(saved(tmp_path / "b.png", GREYS)).per_mm is None


def huge_png(path: Path, side: int) -> Path:
    """A few bytes that claim to be a picture of side by side dots."""
    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b"")]
    data = b"\x89PNG\r\n\x1a\n"
    for name, body in chunks:
        data += struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("side", [12_000, 60_000, 2_000_000])
def test_a_picture_that_claims_to_be_huge_is_refused_before_it_is_unpacked(side: int, tmp_path: Path) -> None:
    """60,000 by 60,000 dots in a hundred bytes are an error with a sentence, not a full memory."""
    with pytest.raises(Refused, match="too large") as refused:
        picture_from_file(huge_png(tmp_path / "a.png", side))
    assert "make it at most" in str(refused.value)


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.95])
def test_a_file_that_was_cut_off_is_refused(name: str, share: float, tmp_path: Path) -> None:
    """Wherever it was cut, a picture is refused in one sentence, never half read."""
    noise = np.random.default_rng(3).integers(0, 256, (200, 200)).astype(np.uint8)
    data = saved(tmp_path / name, noise).read_bytes()
    (tmp_path / name).write_bytes(data[: int(len(data) * share)])
    with pytest.raises(Refused, match="cut off or damaged") as refused:
        picture_from_file(tmp_path / name)
    assert len(refused.value.faults) == 1


def test_random_damage_is_refused_or_read(tmp_path: Path) -> None:
    """Bytes changed at random end in a picture or in a sentence, nothing else."""
    random = np.random.default_rng(5)
    for name in ("a.png", "a.jpg", "a.tif"):
        good = np.frombuffer(saved(tmp_path / name, np.kron(GREYS, np.ones((9, 9), np.uint8))).read_bytes(), np.uint8)
        for _ in range(60):
            bad = good.copy()
            bad[random.integers(0, len(bad), 6)] = random.integers(0, 256, 6)
            (tmp_path / name).write_bytes(bad.tobytes())
            with suppress(Refused):
                assert picture_from_file(tmp_path / name).tones.dtype == np.uint16


def test_other_things_are_no_pictures(tmp_path: Path) -> None:
    """A renamed archive, a text, an empty file, a drawing: one sentence each."""
    with zipfile.ZipFile(tmp_path / "zip.png", "w") as archive:
        archive.writestr("a", "b")
    (tmp_path / "text.png").write_text("not a picture")
    (tmp_path / "empty.png").write_bytes(b"")
    (tmp_path / "drawing.png").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    for path in tmp_path.iterdir():
        with pytest.raises(Refused) as refused:
            picture_from_file(path)
        assert len(refused.value.faults) == 1
    with pytest.raises(FileTrouble, match="there is no"):
        picture_from_file(tmp_path / "missing.png")
    with pytest.raises(FileTrouble, match="is a folder"):
        picture_from_file(tmp_path)


def test_measured_values_are_no_greys(tmp_path: Path) -> None:
    """A file of floats has no black and white of its own."""
    with pytest.raises(Refused, match="8 or 16 bits"):
        picture_from_file(saved(tmp_path / "a.tif", np.ones((4, 4), np.float32)))


def test_reading_can_be_watched_and_stopped(tmp_path: Path) -> None:
    """A photograph of a hundred million dots takes seconds to read: the share that is done is told from the start."""
    Image.new("RGB", (4, 2000), "white").save(tmp_path / "a.png")
    seen: list[float] = []
    picture_from_file(tmp_path / "a.png", seen.append)
    assert seen == sorted(seen)
    assert seen[0] == 0
    assert 0.9 < seen[-1] < 1
    with pytest.raises(KeyboardInterrupt):
        picture_from_file(tmp_path / "a.png", lambda share: signal.raise_signal(signal.SIGINT) if share > 0.5 else None)
