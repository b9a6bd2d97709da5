"""Pictures against other libraries and the standard's own figures."""

import io
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from rotary.artwork.raster import averaged, remapped
from rotary.artwork.raster_read import FULL, WEIGHTS, picture_from_file

RANDOM = np.random.default_rng(2)


# IEC 61966-2-1 (sRGB), from memory, not seen: linear below 0.04045, weights that add up to one, and the
# two figures that image texts quote: stored 188 gives half of the light (0.503), stored 119 a fifth (0.184).
@pytest.mark.parametrize(
    ("stored", "share"), [(0, 0.0), (10, 10 / 255 / 12.92), (119, 0.184), (188, 0.503), (255, 1.0)]
)
def test_stored_greys_give_the_light_of_the_standard(stored: int, share: float, tmp_path: Path) -> None:
    """The curve of sRGB at its ends, in its straight part and in the middle."""
    Image.new("L", (4, 4), stored).save(tmp_path / "a.png")
    assert picture_from_file(tmp_path / "a.png").tones / FULL == pytest.approx(share, abs=0.0006)


def test_colours_weigh_as_the_standard_has_it(tmp_path: Path) -> None:
    """Pure red, green and blue give 21, 72 and 7 % of the light, together all of it."""
    dots = np.array([[[255, 0, 0], [0, 255, 0]], [[0, 0, 255], [255, 255, 255]]], np.uint8)
    Image.fromarray(dots).save(tmp_path / "a.png")
    assert picture_from_file(tmp_path / "a.png").tones.ravel() / FULL == pytest.approx(
        [0.2126, 0.7152, 0.0722, 1], abs=1e-4
    )
    assert sum(WEIGHTS) == pytest.approx(1.0)


def test_tones_between_dots_agree_with_a_vision_library() -> None:
    """OpenCV's bilinear remap of the same places gives the same tones, to its own 1/32 dot."""
    tones = cv2.GaussianBlur(RANDOM.integers(0, 65_536, (400, 500)).astype(np.uint16), (0, 0), 2)
    x = RANDOM.uniform(1, 498, (300, 350)).astype(np.float32)
    y = RANDOM.uniform(1, 398, (300, 350)).astype(np.float32)
    theirs = cv2.remap(tones.astype(np.float32), x, y, cv2.INTER_LINEAR)
    steepest = max(np.abs(np.diff(tones.astype(float), axis=k)).max() for k in (0, 1))
    assert np.abs(remapped(tones, x, y) - theirs).max() < steepest / 16


@pytest.mark.parametrize("factor", [3, 8])
def test_shrinking_agrees_with_a_vision_library(factor: int) -> None:
    """OpenCV's area average of a photograph-like picture, reduced by whole factors, differs by little on average."""
    noise = RANDOM.integers(0, 65_536, (480, 480)).astype(np.uint16)
    tones = cv2.GaussianBlur(noise, (0, 0), 3)
    count = 480 // factor
    middle = (np.arange(count) + 0.5) * factor - 0.5
    x, y = np.meshgrid(middle, middle)
    theirs = cv2.resize(tones.astype(np.float32), (count, count), interpolation=cv2.INTER_AREA)
    off = averaged(tones, x, y) - theirs
    assert np.abs(off).mean() < 0.02 * tones.std()
    assert np.abs(off).max() < 0.15 * tones.std()


def test_the_resolution_survives_another_reader() -> None:
    """508 dots to the inch are 20 to the millimetre: what is written is read back to the digit."""
    from rotary.exports.png import png_bytes

    with Image.open(io.BytesIO(png_bytes(np.zeros((30, 50), np.uint8), 20_000, False, "a"))) as image:
        assert image.info["dpi"][0] / 25.4 == pytest.approx(20.0, rel=1e-12)
