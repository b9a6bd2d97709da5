"""Small invented drawings, each of one feature, on a page of 100 by 100 with the inked area where it is simple."""

from math import pi, sqrt
from typing import NamedTuple


class Small(NamedTuple):
    """A drawing, and its inked area [square units] where it can be worked out by hand."""

    svg: bytes
    area: float | None = None
    in_reference: bool = True  # whether the reference renderer knows the feature
    told: bool = False  # whether something of it is read otherwise, which is said


def page(body: str, rest: str = "") -> bytes:
    head = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    return f'{head}width="100" height="100" viewBox="0 0 100 100" {rest}>{body}</svg>'.encode()


CLIPPED, MASKED = 'clip-path="url(#c)"', 'mask="url(#m)"'
STAR = "M50 5 79 95 3 39H97L21 95z"
RIGHT_ANGLE = 'd="M20 80V20H80" fill="none" stroke="#000" stroke-width="10"'

SMALL_FILES: dict[str, Small] = {
    "dark, with a light letter on it": Small(
        page('<circle cx="50" cy="50" r="40"/><path d="M40 30h20v40h-20z" fill="#fff"/>'), pi * 1600 - 800
    ),
    "light under dark under light": Small(
        page(
            '<path fill="#fff" d="M0 0h100v100H0z"/><path d="M10 10h80v80H10z"/>'
            '<path fill="#eee" d="M20 20h20v90H20z"/>'
        ),
        6400 - 20 * 70,
    ),
    "translucent": Small(
        page('<path d="M0 0h50v50H0z" opacity=".3"/><path d="M50 0h50v50H50z" fill-opacity="80%"/>'), 2500
    ),
    "translucent light over dark": Small(
        page('<path d="M0 0h80v80H0z"/><path d="M0 0h40v40H0z" fill="#fff" opacity=".3"/>'), 6400
    ),
    "non-zero star": Small(page(f'<path d="{STAR}"/>')),
    "even-odd star": Small(page(f'<path d="{STAR}" fill-rule="evenodd"/>')),
    "hole by direction": Small(page('<path d="M10 10h80v80h-80z M30 30v40h40v-40z"/>'), 6400 - 1600),
    "no hole by direction": Small(page('<path d="M10 10h80v80h-80z M30 30h40v40h-40z"/>'), 6400),
    "island in a hole": Small(
        page('<path fill-rule="evenodd" d="M10 10h80v80h-80z M20 20h60v60h-60z M30 30h40v40h-40z"/>'),
        6400 - 3600 + 1600,
    ),
    "touching rings": Small(
        page('<path fill-rule="evenodd" d="M10 10h40v40h-40z M50 50h40v40h-40z M50 10h40v40h-40z"/>'), 4800
    ),
    "all commands": Small(page('<path d="M10 50q20-40 40 0t40 0s0 40-20 30-20-20-30-10-30 0-30-20m5-40h10v5h-9.5z"/>')),
    "arcs with flags run together": Small(page('<path d="M50 10a40 40 0 1140 40L50 50z"/>'), 0.75 * pi * 1600 + 1600),
    "arc too small for its chord": Small(page('<path d="M20 50A1 1 0 0 1 80 50z"/>'), pi * 900 / 2),
    "an arc that lacks a number": Small(page('<path d="M0 0h10v10zM20 50A50.25 55.00 0 0 1 "/>'), 50),
    "slanted arc": Small(page('<path d="M20 60A40 15 30 1 0 70 40z"/>')),
    "rounded rectangle": Small(page('<rect x="10" y="10" width="80" height="60" rx="10"/>'), 4800 - 400 + 100 * pi),
    "radius too large": Small(page('<rect x="10" y="10" width="80" height="40" rx="90" ry="90"/>'), pi * 40 * 20),
    "ellipse": Small(page('<ellipse cx="50" cy="50" rx="40" ry="20"/>'), pi * 800),
    "polygon": Small(page('<polygon points="10,10 90,10 90,90"/>'), 3200),
    "mitred": Small(page(f"<path {RIGHT_ANGLE}/>"), 1200),
    "mitre past its limit": Small(page(f'<path {RIGHT_ANGLE} stroke-miterlimit="1.2"/>'), 1200 - 12.5),
    "mitre limit of nothing": Small(page(f'<path {RIGHT_ANGLE} stroke-miterlimit="0"/>'), 1200 - 12.5),
    "bevelled": Small(page(f'<path {RIGHT_ANGLE} stroke-linejoin="bevel"/>'), 1187.5),
    "round join": Small(page(f'<path {RIGHT_ANGLE} stroke-linejoin="round"/>'), 1175 + 25 * pi / 4),
    "square ends": Small(page(f'<path {RIGHT_ANGLE} stroke-linecap="square"/>'), 1300),
    "round ends": Small(page(f'<path {RIGHT_ANGLE} stroke-linecap="round"/>'), 1200 + 25 * pi),
    "closed stroke": Small(
        page('<path d="M20 20h60v60h-60z" fill="none" stroke="#000" stroke-width="10"/>'), 70 * 70 - 50 * 50
    ),
    "dot": Small(page('<path d="M50 50h0" stroke="#000" stroke-width="40" stroke-linecap="round"/>'), pi * 400),
    "dashes": Small(page('<path d="M10 50h80" stroke="#000" stroke-width="10" stroke-dasharray="15 5"/>'), 4 * 150),
    "odd dashes, begun later": Small(
        page('<path d="M10 50h80" stroke="#000" stroke-width="10" stroke-dasharray="10" stroke-dashoffset="5"/>'), 400
    ),
    "dashes of a stated length": Small(
        page('<path d="M10 50h80" pathLength="8" stroke="#000" stroke-width="10" stroke-dasharray="1"/>'), 400, False
    ),
    "stroke under a slant": Small(
        page('<path transform="matrix(2 0 .5 .5 0 0)" d="M10 40h20v80" fill="none" stroke="#000" stroke-width="8"/>')
    ),
    "stroke of the page's width": Small(
        page(
            '<path transform="scale(2 .5)" d="M10 40h30v80" fill="none" stroke="#000" stroke-width="8" '
            'vector-effect="non-scaling-stroke"/>'
        ),
        800,
        False,
    ),
    "stroke below its fill": Small(
        page('<circle cx="50" cy="50" r="30" fill="#fff" stroke="#000" stroke-width="20" paint-order="stroke"/>'),
        pi * (1600 - 900),
    ),
    "transforms": Small(
        page(
            '<g transform="translate(50 50)rotate(45)"><rect x="-20" y="-20" width="40" height="40"/></g>'
            '<rect transform="skewX(20) scale(.5, 1)" width="20" height="10"/>'
        ),
        1600 + 100,
    ),
    "transform about a point": Small(
        page(
            '<rect width="100" height="100"/><g fill="#fff">'
            '<rect style="transform:rotate(90deg);transform-origin:50px 50px" x="50" y="50" width="30" height="10"/>'
            '<rect x="40" y="50" width="10" height="30"/></g>'
        ),
        9700,
        False,
    ),
    "nested drawings": Small(
        page(
            '<svg x="10" y="10" width="40" height="80" viewBox="0 0 10 10"><rect width="10" height="10"/></svg>'
            '<svg x="60" y="10" width="20" height="80" viewBox="0 0 10 10" preserveAspectRatio="none">'
            '<rect width="10" height="10"/></svg>'
            '<svg x="85" width="10" height="10"><circle r="20"/></svg>'
        ),
        1600 + 1600 + 100,
    ),
    "slices of a viewBox": Small(
        page(
            '<svg width="40" height="80" viewBox="0 0 10 10" preserveAspectRatio="xMinYMin slice">'
            '<circle cx="5" cy="5" r="5"/></svg>'
        )
    ),
    "placed and mirrored": Small(
        page(
            '<defs><path id="a" d="M0 0h20v10z"/></defs><use xlink:href="#a" x="10" y="10"/>'
            '<use href="#a" transform="matrix(-1 0 0 1 90 50)"/>'
        ),
        200,
    ),
    "symbol": Small(
        page(
            '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="6"/></symbol>'
            '<use href="#s" x="10" y="10" width="40" height="40"/><use href="#s" x="60" y="60" width="20" height="20"/>'
        )
    ),
    "switch": Small(
        page(
            '<switch><rect systemLanguage="tlh" width="90" height="90"/><rect systemLanguage="de, en-GB" '
            'width="10" height="10"/>'
            '<rect width="50" height="50"/></switch>'
        ),
        100,
    ),
    "clipped": Small(
        page(
            '<clipPath id="c"><circle cx="50" cy="50" r="30"/></clipPath><rect width="50" height="100" '
            'clip-path="url(#c)"/>'
        ),
        pi * 450,
    ),
    "clipped by its own box": Small(
        page(
            '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height=".5"/></clipPath>'
            '<g clip-path="url(#c)"><rect x="10" y="10" width="80" height="40"/></g>'
        ),
        800,
    ),
    "clip in a clip": Small(
        page(
            '<clipPath id="a"><rect width="50" height="50"/></clipPath>'
            '<clipPath id="b" clip-path="url(#a)"><circle cx="50" cy="50" r="30"/><rect x="80" width="20" height="9"/>'
            '</clipPath><rect width="100" height="100" clip-path="url(#b)"/>'
        ),
        pi * 225,
    ),
    "clip by even-odd": Small(
        page(
            '<clipPath id="c"><path clip-rule="evenodd" d="M10 10h80v80h-80zM30 30h40v40h-40z"/></clipPath>'
            '<rect width="100" height="50" clip-path="url(#c)"/>'
        ),
        80 * 40 - 40 * 20,
    ),
    "masked": Small(
        page(
            '<mask id="m"><rect width="100" height="100" fill="#fff"/><circle cx="50" cy="50" r="20"/></mask>'
            '<rect x="10" y="10" width="80" height="80" mask="url(#m)"/>'
        ),
        6400 - pi * 400,
    ),
    "masked by opacity": Small(
        page(
            '<mask id="m" mask-type="alpha"><circle cx="50" cy="50" r="20"/></mask>'
            '<rect x="10" y="10" width="80" height="80" mask="url(#m)"/>'
        ),
        pi * 400,
    ),
    "masked in its own box": Small(
        page(
            '<mask id="m" maskContentUnits="objectBoundingBox"><rect width=".5" height="1" fill="#fff"/></mask>'
            '<rect x="10" y="10" width="80" height="40" mask="url(#m)"/>'
        ),
        1600,
    ),
    "arrow heads": Small(
        page(
            '<marker id="h" markerWidth="4" markerHeight="4" refX="0" refY="2" orient="auto-start-reverse">'
            '<path d="M0 0L4 2L0 4z"/></marker><path d="M30 70V30H70" fill="none" stroke="#000" stroke-width="4" '
            'marker-start="url(#h)" marker-end="url(#h)"/>'
        )
    ),
    "dots on corners": Small(
        page(
            '<marker id="d" viewBox="0 0 2 2" refX="1" refY="1" markerWidth="3" markerHeight="3">'
            '<circle cx="1" cy="1" r="1"/></marker><polyline points="20,20 50,80 80,20" fill="none" stroke="#000" '
            'stroke-width="4" marker-mid="url(#d)"/>'
        )
    ),
    "style sheet": Small(
        page(
            '<style>rect{fill:#fff} g > .dark{fill:#000} #last{fill:#fff!important} rect[width="5"]+rect{fill:#111}'
            '</style><g><rect class="light dark" width="20" height="20"/></g>'
            '<rect class="dark" x="50" width="20" height="20"/>'
            '<rect id="last" style="fill:#000" y="50" width="30" height="30"/><rect x="80" width="5" height="5"/>'
            '<rect x="90" width="10" height="10"/>'
        ),
        400 + 100,
    ),
    "inherited and currentColor": Small(
        page(
            '<g fill="currentColor" color="#fff"><rect width="10" height="10"/><g color="navy"><rect x="20" '
            'width="10" height="10"/></g></g>'
        ),
        100,
    ),
    "hidden": Small(
        page(
            '<g display="none"><rect width="9" height="9"/></g><g visibility="hidden">'
            '<rect x="20" width="20" height="20"/>'
            '<rect x="50" width="20" height="20" visibility="visible"/></g>'
        ),
        400,
    ),
    "units": Small(page('<rect width="25.4mm" height="0.5in" transform="scale(.5)"/>'), 48 * 24),
    "per cent": Small(
        page('<rect x="10%" y="10%" width="80%" height="20%"/><circle cx="50%" cy="70%" r="10%"/>'), 1600 + 100 * pi
    ),
    "crossing itself": Small(page('<path d="M10 10L90 90H10L90 10z"/>'), 2 * 1600),
    "a dark gradient": Small(
        page(
            '<linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#333"/></linearGradient>'
            '<rect x="10" y="10" width="50" height="50" fill="url(#g)"/>'
        ),
        2500,
    ),
    "equilateral": Small(page('<path d="M10 90h80L50 20.717967697z"/>'), 1600 * sqrt(3)),
    "light veil over dark": Small(
        page('<path d="M10 10h80v80H10z"/><path d="M0 0h50v100H0z" fill="#fff" opacity=".6"/>'), 40 * 80
    ),
    "veil on veil": Small(
        page(
            '<path d="M10 10h80v80H10z"/><path d="M0 0h50v100H0z" fill="#fff" opacity=".35"/>'
            '<path d="M0 0h100v50H0z" fill="#fff" opacity=".35"/>'
        ),
        6400 - 1600,
    ),
    "a group that fades as one": Small(
        page('<g opacity=".4"><path d="M0 0h60v60H0z"/><path d="M0 0h40v40H0z"/></g><path d="M80 80h10v10H80z"/>'), 100
    ),
    "fill and line fade as one": Small(
        page('<path d="M20 20h60v60H20z" stroke="#000" stroke-width="10" opacity=".4"/><path d="M0 0h9v9H0z"/>'), 81
    ),
    "a grey mask": Small(
        page(
            '<mask id="m"><path d="M0 0h50v100H0z" fill="#aaa"/><path d="M50 0h50v100H50z" fill="#555"/></mask>'
            '<path d="M10 10h80v80H10z" mask="url(#m)"/>'
        ),
        3200,
    ),
    "white to clear over dark": Small(
        page(
            '<linearGradient id="g"><stop stop-color="#fff"/><stop offset="1" stop-color="#fff" stop-opacity="0"/>'
            '</linearGradient><path d="M0 0h100v80H0z"/><path d="M0 0h100v80H0z" fill="url(#g)"/>'
        ),
        4000,
    ),
    "dark to light": Small(
        page(
            '<linearGradient id="g" gradientTransform="rotate(90)"><stop offset=".2"/><stop offset=".6" '
            'stop-color="#fff"/></linearGradient><path d="M10 10h80v50H10z" fill="url(#g)"/>'
        ),
        80 * 20,
        told=True,
    ),
    "dark to light in rings": Small(
        page(
            '<radialGradient id="a" fx=".3"><stop/><stop offset="1" stop-color="#fff"/></radialGradient>'
            '<radialGradient id="g" href="#a" r=".4" spreadMethod="reflect"/>'
            '<circle cx="50" cy="50" r="40" fill="url(#g)"/>'
        ),
        told=True,
    ),
    "a gradient across a gradient": Small(
        page(
            '<linearGradient id="g"><stop/><stop offset="1" stop-color="#fff"/></linearGradient><linearGradient id="h" '
            'x2="0" y2="1"><stop stop-opacity=".9"/><stop offset="1" stop-opacity="0"/></linearGradient>'
            '<path d="M0 0h90v90H0z" fill="url(#g)"/><path d="M9 9h90v90H9z" fill="url(#h)"/>'
        ),
        told=True,
    ),
    "a dark gradient under a veil": Small(
        page(
            '<linearGradient id="g"><stop/><stop offset="1" stop-color="#303030"/></linearGradient>'
            '<path d="M0 0h90v90H0z" fill="url(#g)"/><path d="M0 9h90v90H0z" fill="#fff" fill-opacity=".45"/>'
        ),
        told=True,
    ),
    "a pattern": Small(
        page(
            '<pattern id="p" width="20" height="10" patternUnits="userSpaceOnUse"><path d="M2 2h5v5H2z"/></pattern>'
            '<path d="M0 0h60v50H0z" fill="url(#p)"/>'
        ),
        3 * 5 * 25,
    ),
    "a pattern by the box, turned, with a view": Small(
        page(
            '<pattern id="q" viewBox="0 0 4 4"><circle cx="2" cy="2" r="1.5"/></pattern>'
            '<pattern id="p" href="#q" width=".25" height=".2" x=".1" patternTransform="rotate(30)"/>'
            '<circle cx="50" cy="50" r="40" fill="url(#p)" stroke="#000" fill-opacity=".9"/>'
        )
    ),
    "a pattern along a line": Small(
        page(
            '<pattern id="p" width="10" height="10" patternUnits="userSpaceOnUse"><path d="M0 0h5v10H0z"/></pattern>'
            '<path d="M10 50h80" stroke="url(#p)" stroke-width="20" fill="none"/>'
        ),
        8 * 5 * 20,
        in_reference=False,
    ),
    "dots along a line, from its start": Small(
        page('<path d="M20 50H79" stroke="#000" stroke-width="20" stroke-linecap="round" stroke-dasharray="0 30"/>'),
        2 * pi * 100,
    ),
    "variables, and what stands in for them": Small(
        page(
            "<style>:root{--light:#fff;--dark:var(--none, #000)} .a{fill:var(--light)} .b{fill:var(--dark)}</style>"
            '<path class="a" d="M0 0h50v50H0z"/><path class="b" d="M50 0h20v20H50z"/>'
            '<path fill="#fff" d="M0 60h9v9H0z" style="fill:var(--none)"/>'
            '<path d="M20 60h9v9h-9z" fill="var(--light)"/>'
        ),
        400 + 81,
        in_reference=False,
    ),
    "the first and the last of some": Small(
        page(
            "<style>rect:first-child,rect:last-child{fill:#fff}</style>"
            '<g><rect width="9" height="9"/><rect x="20" width="9" height="9"/><rect x="40" width="9" height="9"/></g>'
        ),
        81,
        in_reference=False,
    ),
    "a rule by the place": Small(
        page('<style>rect:nth-child(2){fill:#fff}</style><rect width="9" height="9"/>'), 81, told=True
    ),
    "a page that is cut": Small(
        page('<clipPath id="c"><circle cx="50" cy="50" r="20"/></clipPath><path d="M0 0h50v99H0z"/>', CLIPPED),
        pi * 200,
    ),
    "a page that is masked": Small(
        page('<mask id="m"><path fill="#fff" d="M0 0h50v50H0z"/></mask><path d="M0 0h99v99H0z"/>', MASKED), 2500
    ),
    "a page that is turned": Small(page('<path d="M50 0h40v40H50z"/>', 'transform="rotate(20)"'), 1600, told=True),
    "turned about its own middle": Small(
        page(
            '<path d="M60 10h20v20H60z" style="transform:rotate(45deg);transform-box:fill-box;'
            'transform-origin:center"/>'
            '<path fill-rule="evenodd" d="M0 0h100v100H0zM55 5h30v30H55z" fill="#fff"/>'
        ),
        400,
        in_reference=False,
    ),
    "one side of the page alone": Small(
        page('<circle cx="50" cy="50" r="40"/>').replace(b' height="100"', b""), pi * 1600
    ),
    "a gradient along a line, repeated": Small(
        page(
            '<linearGradient id="g" x1="10" x2="35" gradientUnits="userSpaceOnUse" spreadMethod="repeat"><stop/>'
            '<stop offset=".5"/><stop offset=".5" stop-color="#fff"/></linearGradient>'
            '<path d="M10 50H90" stroke="url(#g)" stroke-width="20"/>'
        ),
        20 * 42.5,
        told=True,
    ),
}
