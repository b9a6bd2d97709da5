"""A picture or a page as SVG at true size."""

import base64
import math
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from rotary.files import MADE_BY
from rotary.formulas.arrays import Floats
from rotary.papers.drawing import Line, Mark, PaperPicture, Tone, Words, tone_parts
from rotary.papers.letters import CUTS, FAMILY, font_of, printable, wide_mm


def svg_text(picture: PaperPicture, embed: bool = True, alone: bool = True) -> str:
    """The picture in micrometres; `embed` puts its letters' font in, `alone` makes it a file of its own.

    >>> svg_text(PaperPicture(20.0, 10.0, (), "nothing"), embed=False).splitlines()[1][:100]
    '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="20mm" height="10mm" viewBox="0 0 20000 '
    """
    wide, high = round(1000 * picture.wide_mm), round(1000 * picture.high_mm)
    about = " ".join(filter(None, (picture.title, picture.says)))
    size = f'width="{wide / 1000:g}mm" height="{high / 1000:g}mm" ' if alone else ""
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}viewBox="0 0 {wide} {high}" fill="none" '
        f'role="img" aria-label={quoteattr(printable_attr(about))}>',
        f"<title>{escape(printable_attr(picture.title))}</title>",
    ]
    if alone:
        lines.insert(0, '<?xml version="1.0" encoding="UTF-8"?>')
        lines.append(f"<desc>{escape(printable_attr(picture.says))} ({MADE_BY})</desc>")
        lines.append('<rect width="100%" height="100%" fill="#fff"/>')
    if embed:
        lines += _fonts(picture.marks)
    lines += [_mark(mark, picture.high_mm) for mark in picture.marks]
    return "\n".join([*lines, "</svg>"]) + "\n"


def printable_attr(text: str) -> str:
    """Words for a title or a description: on one line, without signs that XML can't hold."""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())


def _fonts(marks: Iterable[Mark]) -> list[str]:
    """The letters that are used, in each cut that is used, as a style with the fonts in it."""
    rules = []
    words = [mark for mark in marks if isinstance(mark, Words)]
    for face, (weight, _) in CUTS.items():
        letters = frozenset("".join(printable(mark.text) for mark in words if mark.face == face))
        if letters:
            data = base64.b64encode(font_of(letters, face)).decode("ascii")
            rules.append(
                f"@font-face{{font-family:'{_name(face)}';font-weight:{weight:.0f};"
                f"src:url(data:font/ttf;base64,{data}) format('truetype')}}"
            )
    return [f"<style>{''.join(rules)}</style>"] if rules else []


def _name(face: str) -> str:
    return f"rotary {face}"


def _colour(shade: Tone) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in tone_parts(shade))


def _data(points: Floats, high_mm: float) -> str:
    return "M" + "L".join(f"{1000 * x:.0f} {1000 * (high_mm - y):.0f}" for x, y in points.tolist())


def _mark(mark: Mark, high_mm: float) -> str:
    if isinstance(mark, Words):
        return _words(mark, high_mm)
    kind = f' class="{mark.kind}"' if mark.kind else ""
    if isinstance(mark, Line):
        dashes = " ".join(f"{1000 * dash:.0f}" for dash in mark.dashes_mm)
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        return (
            f'<path{kind} stroke="{_colour(mark.shade)}" stroke-width="{1000 * mark.width_mm:.0f}"{dashed} '
            f'stroke-linejoin="round" d="{_data(mark.points_mm, high_mm)}"/>'
        )
    data = "".join(_data(ring, high_mm) + "z" for ring in mark.rings_mm)
    edge = f' stroke="{_colour(mark.shade)}" stroke-width="{1000 * mark.edge_mm:.0f}"' if mark.edge_mm else ""
    if mark.opacity < 1:
        edge += f' stroke-linejoin="round" opacity="{mark.opacity:g}"'
    return f'<path{kind} fill="{_colour(mark.shade)}" fill-rule="evenodd"{edge} d="{data}"/>'


def _words(mark: Words, high_mm: float) -> str:
    text = printable(mark.text)
    x, y = 1000 * mark.x_mm, 1000 * (high_mm - mark.y_mm)
    turned = f' transform="rotate({-math.degrees(mark.turn_rad):.3f} {x:.0f} {y:.0f})"' if mark.turn_rad else ""
    weight = CUTS[mark.face][0]
    # Another face than the one it was measured with must not run any further.
    length = f' textLength="{1000 * wide_mm(text, mark.size_mm, mark.face):.0f}" lengthAdjust="spacingAndGlyphs"'
    return (
        f'<text x="{x:.0f}" y="{y:.0f}" font-family="\'{_name(mark.face)}\', \'{FAMILY}\', sans-serif" '
        f'font-weight="{weight:.0f}" font-size="{1000 * mark.size_mm:.0f}" fill="{_colour(mark.shade)}" '
        f'text-anchor="{mark.anchor}"{length if len(text) > 1 else ""}{turned} xml:space="preserve">'
        f"{escape(text)}</text>"
    )
