"""A photograph of a result that is copied beside a profile: pictures are, whatever else is called so is not."""

from pathlib import Path

import pytest
from PIL import Image

from rotary.errors import Refused
from rotary.store.additions import keep_photo


@pytest.mark.parametrize("name", ["a b.png", "a.jpg", "a.JPEG", "a.webp", "a.tif", "a.gif", "a.bmp"])
def test_what_pillow_writes_is_a_photograph(name: str, tmp_path: Path) -> None:
    """Every kind that a camera or a picture program writes, as Pillow writes it, is copied byte by byte."""
    source, home = tmp_path / name, tmp_path / "home"
    home.mkdir()
    Image.new("RGB", (8, 6), "red").save(source)
    kept = keep_photo(source, home)
    assert (home / kept.name).read_bytes() == source.read_bytes()


@pytest.mark.parametrize("data", [b"", b"this is no picture\n", b"<svg/>", b"\x89PN"])
def test_what_only_is_called_a_picture_is_refused(data: bytes, tmp_path: Path) -> None:
    """A text, an empty file, a broken head: refused in a sentence, and nothing is copied."""
    source, home = tmp_path / "result.png", tmp_path / "home"
    home.mkdir()
    source.write_bytes(data)
    with pytest.raises(Refused, match="holds no picture") as refused:
        keep_photo(source, home)
    assert [fault.where for fault in refused.value.faults] == ["photo"]
    assert not list(home.iterdir())
