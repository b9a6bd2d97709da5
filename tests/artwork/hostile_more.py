"""More files made to stall, swell or crash a reader: texts, styles, layers, gradients, and DXF."""

import io
from collections.abc import Callable
from random import Random
from typing import Any

import ezdxf

from tests.artwork.hostile import svg

TREF = '<tref href="#t"/>'
RECT = '<rect width="9" height="9" fill="url(#g)"/>'
GRADIENT = '<linearGradient id="g" {}><stop/><stop offset="1" stop-color="#fff"/></linearGradient>'


def dxf(draw: Callable[[Any], object]) -> bytes:
    document = ezdxf.new()  # type: ignore[attr-defined, unused-ignore]
    document.header["$INSUNITS"] = 4
    draw(document)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def circles(count: int, rest: str) -> str:
    """Circles that lie over each other; `rest` has the number of each put in."""
    return "".join(
        f'<circle cx="{i * 37 % 100}" cy="{i * 53 % 97}" r="{1 + i % 30}" {rest.replace("%", str(i % 2))}/>'
        for i in range(count)
    )


def rows(declared: str, count: int, rest: str = "") -> bytes:
    return svg(f"<style>{declared}</style>" + f'<rect width="50" height="100" {rest}/>' * count)


def circle(old: bytes, new: bytes) -> Callable[[], bytes]:
    """A circle in which one number is another."""
    return lambda: dxf(lambda d: d.modelspace().add_circle((7.25, 0), 3.75)).replace(old, new)


def corner(new: bytes) -> Callable[[], bytes]:
    """A contour with a bulge of that size."""
    contour = [(0, 0, 0, 0, 0.4375), (10, 0), (10, 10)]
    return lambda: dxf(lambda d: d.modelspace().add_lwpolyline(contour, close=True)).replace(b"0.4375", new)


def blocks(document: Any, deep: int, wide: int) -> None:
    document.blocks.new("B0").add_circle((0, 0), 1)
    for i in range(1, deep):
        block = document.blocks.new(f"B{i}")
        for k in range(wide):
            block.add_blockref(f"B{i - 1}", (k, i))
    document.modelspace().add_blockref(f"B{deep - 1}", (0, 0))


def endless_blocks(document: Any) -> None:
    for name, other in (("A", "B"), ("B", "A")):
        document.blocks.new(name).add_blockref(other, (1, 1))
    document.modelspace().add_blockref("A", (0, 0))


def grid(document: Any) -> None:
    document.blocks.new("B0").add_circle((0, 0), 1)
    place = document.modelspace().add_blockref("B0", (0, 0))
    place.dxf.row_count = place.dxf.column_count = 3000
    place.dxf.row_spacing = place.dxf.column_spacing = 1


def tangle(document: Any) -> None:
    draw = Random(3)
    points = [(99 * draw.random(), 99 * draw.random()) for _ in range(15_000)]
    document.modelspace().add_lwpolyline(points, close=True)


def lines(document: Any) -> None:
    draw = Random(4)
    for _ in range(15_000):
        document.modelspace().add_line(*[(99 * draw.random(), 99 * draw.random()) for _ in range(2)])


def star(points: int, seed: int) -> str:
    """A path from corner to corner at random."""
    draw = Random(seed)
    return "M" + " ".join(f"{99 * draw.random():.2f} {99 * draw.random():.2f}" for _ in range(points)) + "z"


def tangle_svg(points: int) -> Callable[[], bytes]:
    return lambda: svg(f'<path d="{star(points, 3)}"/>')


def plain_dxf(entities: str, before: str = "") -> bytes:
    """As small programs write it, without release, classes and marks; words for lines."""
    head = "0 SECTION 2 HEADER 9 $INSUNITS 70 4 0 ENDSEC"
    words = f"{head} {before} 0 SECTION 2 ENTITIES {entities} 0 ENDSEC 0 EOF".split()
    return "\n".join(words).encode() + b"\n"


ANY: dict[str, Callable[[], bytes]] = {
    "letters that run to the left": lambda: svg(f'<text y="50" font-size="1">{"א" * 160_000}</text>'),
    "letters": lambda: svg(f'<text y="50" font-size="1">{"a" * 600_000}</text>'),
    "a span for each letter": lambda: svg(f'<text y="50" font-size="1">{"<tspan>a</tspan>" * 100_000}</text>'),
    "a place for each letter": lambda: svg(f'<text y="50" x="{"1 " * 50_000}">{"a" * 50_000}</text>'),
    "spaces": lambda: svg(f'<text y="50">{" " * 2_000_000}</text>'),
    "letters along a path": lambda: svg(
        f'<path id="p" d="M0 50{"l1 0" * 9000}"/><text><textPath href="#p">{"a" * 60_000}</textPath></text>'
    ),
    "marks on a letter": lambda: svg(f'<text y="50">a{chr(0x301) * 30_000}</text>'),
    "an endless turn of letters": lambda: svg('<text y="20" rotate="1e400">ab</text>'),
    "huge letters": lambda: svg('<text y="20" font-size="1e30">ab</text>'),
    "rules that nearly fit": lambda: rows(
        "".join(f"g g g g g g g g rect.a{i % 7}{{fill:#000}}" for i in range(8000)), 3000, 'class="a1 a2 a3 a4 a5 a6"'
    ),
    "rules on what stands before": lambda: rows("rect ~ rect ~ rect ~ rect{fill:#000}" * 2000, 3000),
    "rules on attributes": lambda: rows("".join(f'[a{i}*="x"]{{fill:#000}}' for i in range(20_000)), 9000),
    "a rule that declares much": lambda: rows(f"rect{{{'fill:#000;' * 200_000}}}", 2000),
    "remarks that never end": lambda: rows("/*" * 500_000, 2),
    "brackets that never end": lambda: svg(f'<rect width="9" height="9" style="{"fill:url(" * 100_000}"/>'),
    "styles of their own": lambda: svg(f'<rect width="5" height="5" style="{"fill:#000;" * 2000}"/>' * 2000),
    "deep styles": lambda: svg(
        '<g stroke="#000">' * 200 + '<rect width="9" height="9"/>' * 20_000 + "</g>" * 200
    ),
    "alternating circles": lambda: svg(circles(20_000, 'fill="#%%%%%%" stroke="none"').replace("#111111", "#fff")),
    "veils": lambda: svg(circles(5000, 'opacity=".3"')),
    "groups that fade": lambda: svg(f'<g opacity=".5">{circles(1, "")}</g>' * 20_000),
    "groups in groups that fade": lambda: svg('<g opacity=".99">' * 200 + circles(900, "") + "</g>" * 200),
    "gradients": lambda: svg(GRADIENT.format('spreadMethod="reflect" x2=".1"') + circles(2000, 'fill="url(#g)"')),
    "gradients that repeat": lambda: svg(
        GRADIENT.format('spreadMethod="repeat" x2="1e-9"') + circles(50, 'fill="url(#g)"')
    ),
    "gradients of gradients": lambda: svg(
        "".join(f'<linearGradient id="g{i}" href="#g{i + 1}"/>' for i in range(5000))
        + '<rect width="9" height="9" fill="url(#g0)"/>' * 2000
    ),
    "a gradient of itself": lambda: svg('<linearGradient id="g" href="#g"/>' + RECT),
    "stops": lambda: svg(
        f'<linearGradient id="g">{"<stop/>" * 4000}</linearGradient>' + RECT * 2000
    ),
    "an endless gradient": lambda: svg(
        GRADIENT.format('x2="1e308" gradientTransform="scale(1e308)"') + '<rect width="9" height="9" fill="url(#g)"/>'
    ),
    "masks on masks": lambda: svg(
        f'<mask id="m">{circles(300, "")}</mask>' + '<g mask="url(#m)"><rect width="9" height="9"/></g>' * 4000
    ),
    "clips in clips": lambda: svg(
        '<clipPath id="c"><circle cx="50" cy="50" r="40"/></clipPath>' + '<g clip-path="url(#c)">' * 200
        + '<rect width="9" height="9"/>' * 2000 + "</g>" * 200
    ),
    "a large part used often": lambda: svg(
        f'<defs><path id="u" d="M0 0{"l1 1 1 -1" * 2000}"/></defs>' + '<use href="#u"/>' * 5000
    ),
    "an endless turn": lambda: svg('<rect width="9" height="9" transform="rotate(1e400)"/>'),
    "an endless slant": lambda: svg('<rect width="9" height="9" transform="skewX(1e999)"/>'),
    "an endless arc": lambda: svg('<path d="M0 0A5 5 1e999 0 1 9 9z"/>'),
    "a thin arc": lambda: svg('<path d="M0 0A1e300 1e-300 7 0 1 9 9z"/>'),
    "an endless mark": lambda: svg(
        '<marker id="m" orient="1e400"><rect width="1" height="1"/></marker>'
        '<path d="M0 0L9 9L20 0" marker-mid="url(#m)"/>'
    ),
    "an endless line width": lambda: svg('<path d="M0 0H90" stroke="#000" stroke-width="1e300"/>'),
    "an endless dash": lambda: svg(
        '<path d="M0 0H90" stroke="#000" stroke-dasharray="5 1e300" stroke-dashoffset="1e300"/>'
    ),
    "endless opacity": lambda: svg('<g opacity="1e400"><rect width="9" height="9" opacity="-1e400"/></g>'),
    "patterns in patterns": lambda: svg(
        "".join(
            f'<pattern id="p{i}" width="9" height="9" patternUnits="userSpaceOnUse"><rect width="8" height="8" '
            f'fill="url(#p{i + 1})"/></pattern>'
            for i in range(12)
        )
        + '<rect width="99" height="99" fill="url(#p0)"/>'
    ),
    "letters with a pattern": lambda: svg(
        '<pattern id="p" width="1" height="1" patternUnits="userSpaceOnUse"><circle r=".3"/></pattern>'
        f'<text y="50" fill="url(#p)">{"abc " * 5000}</text>'
    ),
    "a pattern that is cut and masked by itself": lambda: svg(
        '<pattern id="p" width="2" height="2" patternUnits="userSpaceOnUse"><g clip-path="url(#c)" mask="url(#m)">'
        '<rect width="1" height="1"/></g></pattern><clipPath id="c"><circle r="50"/></clipPath><mask id="m">'
        '<rect width="99" height="99" fill="url(#p)"/></mask><rect width="99" height="99" fill="url(#p)"/>'
    ),
    "symbols that double": lambda: svg(
        "".join(f'<symbol id="s{i}">' + 2 * f'<use href="#s{i + 1}"/>' + "</symbol>" for i in range(38))
        + '<symbol id="s38"><rect width="9" height="9"/></symbol><use href="#s0"/>'
    ),
    "marks on marks on marks": lambda: svg(
        "".join(
            f'<marker id="m{i}" overflow="visible"><polyline marker-mid="url(#m{i + 1})" '
            'points="0 0 1 1 2 2 3 0 4 4 5 0 6 6" stroke="#000"/></marker>'
            for i in range(12)
        )
        + '<polyline marker-mid="url(#m0)" points="0 0 9 9 20 0 30 30"/>'
    ),
    "classes and rules for each": lambda: svg(
        f"<style>{''.join(f'.c{i}{{fill:#000}}' for i in range(20_000))}</style>"
        + f'<rect width="9" height="9" class="{" ".join(f"c{i}" for i in range(20_000))}"/>' * 200
    ),
    "a list of dashes for each line": lambda: svg(
        f'<path d="M0 0H99V99" fill="none" stroke="#000" stroke-dasharray="{"9 " * 4000}"/>' * 3000
    ),
    "a list of dashes that all inherit": lambda: svg(
        f'<g stroke="#000" stroke-dasharray="{"9 " * 400_000}">' + '<path d="M0 0H99"/>' * 3000 + "</g>"
    ),
    "long turns by a rule": lambda: svg(
        f"<style>rect{{transform:{'rotate(1deg)' * 3000}}}</style>" + '<rect width="9" height="9"/>' * 5000
    ),
    "a long colour that all inherit": lambda: svg(
        f'<g fill="rgb({"1," * 100_000}">' + '<rect width="9" height="9"/>' * 5000 + "</g>"
    ),
    "variables of variables": lambda: svg(
        "<style>rect{" + "".join(f"--v{i}:{f'var(--v{i + 1}) ' * 10};" for i in range(40)) + "fill:var(--v0)}</style>"
        + '<rect width="9" height="9"/>' * 500
    ),
    "a variable of itself": lambda: svg('<rect width="9" height="9" style="--a:var(--a);fill:var(--a)"/>'),
    "fonts that all letters ask for": lambda: svg(
        f'<text y="50" font-family="{",".join(f"Face {i}" for i in range(20_000))}">{"abc" * 2000}</text>'
    ),
    "a font for each letter": lambda: svg(
        "<text y='50'>" + "".join(f'<tspan font-family="Face{i}">a</tspan>' for i in range(4000)) + "</text>"
    ),
    "spans in spans with many letters": lambda: svg(
        '<text y="50">' + '<tspan x="1 2 3" rotate="3">' * 240 + "a" * 20_000 + "</tspan>" * 240 + "</text>"
    ),
    "a text that is named often": lambda: svg(
        f'<defs><text id="t">{"<tspan/>" * 100_000}a</text></defs><text y="60">{TREF * 5000}</text>'
    ),
    "turns of direction": lambda: svg(f'<text y="50">{chr(0x202E) + chr(0x202A)}a</text>' * 3000),
    "half a letter": lambda: svg("<text y='50'>&#xD83D;</text>"),
    "boxes within boxes that turn": lambda: svg(
        '<g style="transform:rotate(1deg);transform-box:fill-box">' * 200 + RECT + "</g>" * 200
    ),
    "a tangle of a thousand corners": tangle_svg(1000),
    "small tangles": lambda: svg(
        "".join(f'<path d="{star(199, 10 + i)}"/>' for i in range(60))
    ),
    "a clip of tangles": lambda: svg(
        f'<clipPath id="c"><path d="{star(3000, 7)}"/></clipPath>'
        + '<circle cx="50" cy="50" r="40" clip-path="url(#c)"/>' * 300
    ),
    "a tangle that can be seen through": lambda: svg(
        f'<path opacity=".5" d="{star(1200, 1)}"/><path opacity=".5" d="{star(1200, 2)}"/>'
    ),
    "stripes that cross": lambda: svg(
        "".join(
            f'<rect x="{i / 30:.3f}" width=".01" height="99"/><rect y="{i / 30:.3f}" height=".01" width="99"/>'
            for i in range(3000)
        )
    ),
    "arcs": lambda: svg(f'<path d="M0 0{"A5 3 7 1 0 9 9A5 3 7 1 0 0 0" * 50_000}"/>'),
    "no page": lambda: svg("").replace(b'viewBox="0 0 100 100"', b'viewBox="0 0 1e-300 1e-300"'),
    "DXF: a middle that is none": circle(b"7.25", b"nan"),
    "DXF: an endless middle": circle(b"7.25", b"-inf"),
    "DXF: a radius beyond reach": circle(b"3.75", b"1e12"),
    "DXF: a radius at the edge": circle(b"3.75", b"9e6"),
    "DXF: no radius": circle(b"3.75", b"0.0"),
    "DXF: a radius below nothing": circle(b"3.75", b"-5.0"),
    "DXF: an endless bulge": corner(b"1e300"),
    "DXF: a wide bulge": corner(b"1e7"),
    "DXF: a flat ellipse": lambda: dxf(lambda d: d.modelspace().add_ellipse((0, 0), (1.25, 0), 0.5)).replace(
        b"1.25", b"0.0"
    ),
    "DXF: blocks in blocks": lambda: dxf(lambda d: blocks(d, 8, 10)),
    "DXF: endless blocks": lambda: dxf(endless_blocks),
    "DXF: a grid of blocks": lambda: dxf(grid),
    "DXF: a tangle": lambda: dxf(tangle),
    "DXF: loose lines": lambda: dxf(lines),
    "DXF: a block that is not there": lambda: dxf(
        lambda d: (d.modelspace().add_blockref("none", (0, 0)), d.modelspace().add_circle((0, 0), 3))
    ),
    "DXF: a layer with a long name": lambda: dxf(
        lambda d: (
            d.layers.add("x" * 5000).off(), d.modelspace().add_circle((0, 0), 3, {"layer": "x" * 5000}),
            d.modelspace().add_circle((0, 0), 5),
        )
    ),
    "DXF: an endless grid of nothing": lambda: plain_dxf(
        "0 INSERT 8 0 2 B 10 0 20 0 70 30000 71 30000 44 1 45 1",
        "0 SECTION 2 BLOCKS 0 BLOCK 8 0 2 B 70 0 10 0 20 0 0 ENDBLK 8 0 0 ENDSEC",
    ),
    "DXF: a spline of degree 1,000": lambda: plain_dxf(
        "0 SPLINE 8 0 70 0 71 1000 72 8 73 4 40 0 40 1 40 2 40 3 10 0 20 0 10 1 20 1 10 2 20 0 10 3 20 3"
    ),
    "DXF: a spline whose knots are one": lambda: plain_dxf(
        f"0 SPLINE 8 0 70 0 71 3 72 8 73 4 {'40 0 ' * 8}10 0 20 0 10 1 20 1 10 2 20 0 10 3 20 3"
    ),
    "DXF: no way up": lambda: plain_dxf("0 CIRCLE 8 0 10 0 20 0 40 5 210 0 220 0 230 0"),
    "DXF: too small to be seen": lambda: dxf(lambda d: d.modelspace().add_circle((0, 0), 1e-9)),
    "DXF: lines from one place": lambda: plain_dxf(
        " ".join(f"0 LINE 8 0 10 0 20 0 11 {i} 21 5" for i in range(15_000))
    ),
    "DXF: a comma in a number": lambda: plain_dxf("0 CIRCLE 8 0 10 0,5 20 0 40 5"),
    "DXF: an odd number of lines": lambda: plain_dxf("0 CIRCLE 8 0 10 0 20 0 40 5 0"),
    "DXF: a long spline": lambda: dxf(
        lambda d: d.modelspace().add_open_spline([(i % 7, i % 5) for i in range(20_000)])
    ),
    "DXF: hatches": lambda: dxf(
        lambda d: [
            d.modelspace().add_hatch().paths.add_polyline_path([(k, 0), (k + 0.5, 0), (k, 0.5)]) for k in range(3000)
        ]
    ),
}  # fmt: skip
LONG = {
        "rules that nearly fit", "rules on what stands before", "rules on attributes", "a rule that declares much",
        "styles of their own", "deep styles", "alternating circles", "veils", "groups that fade", "stops",
        "groups in groups that fade", "gradients", "masks on masks", "clips in clips", "a large part used often",
        "DXF: blocks in blocks", "DXF: a grid of blocks", "DXF: a tangle", "DXF: loose lines", "DXF: hatches",
        "DXF: a long spline", "DXF: a radius at the edge", "a span for each letter", "letters along a path",
        "gradients of gradients", "letters with a pattern", "marks on marks on marks", "classes and rules for each",
        "a list of dashes for each line", "a list of dashes that all inherit", "long turns by a rule",
        "a long colour that all inherit", "a font for each letter", "spans in spans with many letters",
        "a text that is named often", "a tangle that can be seen through", "arcs", "small tangles",
        "symbols that double", "boxes within boxes that turn", "patterns in patterns",
}  # fmt: skip
"""What is made to take as long as it can."""
