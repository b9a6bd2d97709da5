"""A picture in dots: a PNG, or the dots themselves for a screen."""

import io
from importlib.resources import files

from PIL import Image
from PIL.PngImagePlugin import PngInfo

from rotary.files import MADE_BY
from rotary.papers.drawing import PaperPicture
from rotary.papers.svg import printable_attr, svg_text


def dots_of(picture: PaperPicture, wide: int, high: int) -> Image.Image:
    """The picture as large as it goes into so many dots."""
    import resvg_py

    fonts = [str(files("fontpkg_noto_sans") / "files" / "NotoSans[wdth,wght].ttf")]
    # Without a size of its own, whose dots would be rounded up: the picture would end short of its last one.
    text = svg_text(picture, embed=False, alone=False)
    # The last dots are covered in part: without something behind them they would come out dark.
    data = resvg_py.svg_to_bytes(
        text, background="white", width=wide, height=high, dpi=96.0, font_files=fonts, skip_system_fonts=True
    )
    return Image.open(io.BytesIO(data)).convert("RGB")


def png_bytes(picture: PaperPicture, per_mm: float) -> bytes:
    """The picture as a PNG, so many dots to the millimetre, which the file says."""
    info = PngInfo()
    info.add_itxt("Description", f"{printable_attr(picture.says)} ({MADE_BY})")
    info.add_itxt("Title", printable_attr(picture.title))
    out = io.BytesIO()
    longer = round(max(picture.wide_mm, picture.high_mm) * per_mm)
    image = dots_of(picture, longer, longer)
    image.save(out, "PNG", dpi=(per_mm * 25.4, per_mm * 25.4), pnginfo=info)
    return out.getvalue()
