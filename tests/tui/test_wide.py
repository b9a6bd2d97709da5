"""Names in wide scripts: nothing on the desk is pushed out of its column by them."""

from pathlib import Path

import pytest

from tui.drawings.canvas import cells

from .conftest import Desk, read_bottle


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
@pytest.mark.slow
async def test_a_wide_name_moves_nothing(desk: Desk, size: tuple[int, int], tmp_path: Path) -> None:
    """Every painted line is as many cells wide as the window, with the name on the desk, edited, and in a list."""
    data = read_bottle()
    data["item"]["name"] = "鷺のレガッタ瓶 六百ミリリットル 特別"
    (tmp_path / "鷺の紋章・川のレガッタ二〇二六年・特別版.svg").write_text("<svg/>", "utf-8")
    async with desk(*size, data=data, beside=tmp_path) as person:
        for keys in ((), ("home", "end", "x"), ("f6",), ("ctrl+e",)):
            if keys and keys[0] == "home":
                person.go("item.name")
            await person.press(*keys)
            await person.pilot.pause()
            strips = person.app.screen._compositor.render_strips()
            assert {sum(part.cell_length for part in strip) for strip in strips} == {size[0]}
            # No cell of a field is wider than the field: the column to the right of it stands in one line.
            borders = [cells(line[: line.index("▏")]) for line in person.screen().splitlines() if "▏" in line]
            assert len(set(borders)) <= 1
