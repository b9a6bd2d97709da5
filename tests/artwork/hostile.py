"""Files made to stall, swell, crash or trick whatever opens them, and harmless ones that look like them."""

import gzip
import zlib
from collections.abc import Callable
from random import Random

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'width="100mm" height="100mm" viewBox="0 0 100 100">'
)
HALF = '<rect width="50" height="100"/></svg>'
HALF_MM2 = 5000.0


def svg(body: str, before: str = "") -> bytes:
    return (before + HEAD + body + HALF).encode()


def laughs() -> bytes:
    entities = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 11))
    return svg("<text>&a10;</text>", f'<!DOCTYPE svg [<!ENTITY a0 "lol">{entities}]>')


def many_copies_of_an_entity() -> bytes:
    return svg(f'<path d="{"&a;" * 4000}"/>', f'<!DOCTYPE svg [<!ENTITY a "{"M0 0L9 9" * 6000}">]>')


def long_entity() -> bytes:
    return svg('<path d="&a;"/>', f'<!DOCTYPE svg [<!ENTITY a "{"M0 0L9 9" * 20000}">]>')


def entity_of_a_file() -> bytes:
    return svg('<text y="20">&x;</text>', '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>')


def entity_of_a_parameter() -> bytes:
    return svg("", '<!DOCTYPE svg [<!ENTITY % p SYSTEM "file:///etc/hostname"> %p;]>')


def attributes_of_all() -> bytes:
    declared = " ".join(f'a{i} CDATA ""' for i in range(1000))
    return svg("<g/>" * 100_000, f"<!DOCTYPE svg [<!ATTLIST g {declared}>]>")


def harmless_entities() -> bytes:
    return (
        b'<?xml version="1.0" encoding="utf-8"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        b'"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [<!ENTITY ns_svg "http://www.w3.org/2000/svg">'
        b'<!ENTITY ns_xlink "http://www.w3.org/1999/xlink"><!ENTITY ns_extend "http://example.org/extend/1.0/">'
        b'<!ENTITY colour "fill:#000">]><svg xmlns="&ns_svg;" xmlns:xlink="&ns_xlink;" xmlns:x="&ns_extend;" '
        b'width="100mm" height="100mm" viewBox="0 0 100 100"><x:data kept="&ns_extend;"/>'
        b'<rect style="&colour;" width="50" height="100"/></svg>'
    )


def nested(depth: int) -> Callable[[], bytes]:
    return lambda: (HEAD + "<g>" * depth + '<rect width="50" height="100"/>' + "</g>" * depth + "</svg>").encode()


def uses_of_uses() -> bytes:
    groups = "".join(f'<g id="u{i}">' + f'<use xlink:href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 10))
    return svg(f'<defs><rect id="u0" width="1" height="1"/>{groups}</defs><use xlink:href="#u9"/>')


def use_of_itself() -> bytes:
    return svg('<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g>')


def clip_of_itself() -> bytes:
    return svg(
        '<clipPath id="c" clip-path="url(#d)"><rect width="50" height="50"/></clipPath>'
        '<clipPath id="d" clip-path="url(#c)"><rect width="50" height="50"/></clipPath>'
        '<rect width="50" height="100" clip-path="url(#c)"/>'
    )


def mask_of_itself() -> bytes:
    return svg(
        '<mask id="m"><rect width="50" height="50" fill="#fff" mask="url(#m)"/></mask>'
        '<rect width="50" height="100" mask="url(#m)"/>'
    )


def masks_in_masks() -> bytes:
    masks = "".join(
        f'<mask id="m{i}">' + f'<rect width="50" height="50" fill="#fff" mask="url(#m{i + 1})"/>' * 8 + "</mask>"
        for i in range(11)
    )
    return svg(masks + '<rect width="50" height="100" mask="url(#m0)"/>')


def markers_on_markers() -> bytes:
    return svg(
        '<marker id="m" overflow="visible"><path d="'
        + "M0 0h1v1z" * 500
        + '"/></marker><polyline marker-mid="url(#m)" '
        'points="' + " ".join(f"{i % 100},{i * 7 % 100}" for i in range(20000)) + '"/>'
    )


def style_rules() -> bytes:
    rules = "".join(f".a{i} g g g g g g rect," for i in range(20000))
    rows = '<rect width="50" height="100"/>' * 2000
    return svg(f"<style>{rules}rect{{fill:red}}</style>" + "<g>" * 20 + rows + "</g>" * 20)


def style_rules_that_all_fit() -> bytes:
    rules = "".join(f"g g g g g g g g rect.a{i % 7}{{fill:#000}}" for i in range(5000))
    rows = '<rect class="a1 a2 a3 a4 a5 a6" width="50" height="100"/>' * 2000
    return svg(f"<style>{rules}</style>" + "<g>" * 20 + rows + "</g>" * 20)


def tangle(points: int, rest: str = "") -> Callable[[], bytes]:
    def make() -> bytes:
        draw = Random(5)
        steps = " ".join(f"{draw.random() * 100:.3f} {draw.random() * 100:.3f}" for _ in range(points))
        return svg(f'<path d="M{steps}Z" {rest}/>')

    return make


def three_million_lines() -> bytes:
    lines = "".join(f"L{i % 97}.{i % 89:02d} {i * 31 % 89}" for i in range(10_000))
    return svg(f'<path d="M0 0{300 * lines}Z"/>')


def unpacked_to_much() -> bytes:
    pack = zlib.compressobj(1, zlib.DEFLATED, 31)
    parts = [pack.compress(HEAD.encode())] + [pack.compress(b" " * (16 << 20)) for _ in range(5)]
    return b"".join([*parts, pack.compress(HALF.encode()), pack.flush()])


REFUSED: dict[str, Callable[[], bytes]] = {
    "entities of entities": laughs,
    "many copies of an entity": many_copies_of_an_entity,
    "a long entity": long_entity,
    "1,000 deep": nested(1000),
    "100,000 deep": nested(100_000),
    "uses of uses": uses_of_uses,
    "markers on markers": markers_on_markers,
    "style rules": style_rules_that_all_fit,
    "dashes": lambda: svg('<path d="M0 0H100V100H0Z" fill="none" stroke="#000" stroke-dasharray="0.000001"/>'),
    "a comb of dashes": lambda: svg('<path d="M0 0h90" stroke="#000" stroke-dasharray="0.001"/>'),
    "attributes that all elements have": attributes_of_all,
    "long dashes": lambda: svg('<path d="M0 0H1000000" fill="none" stroke="#000" stroke-dasharray="0.01"/>'),
    "a tangle": tangle(300_000),
    "a tangle of lines": tangle(60_000, 'fill="none" stroke="#000" stroke-linejoin="round"'),
    "three million lines": three_million_lines,
    "a million elements": lambda: svg('<rect width="1" height="1"/>' * 1_000_000),
    "unpacked to much": unpacked_to_much,
    "no size": lambda: svg("").replace(b'width="100mm"', b'width="0"', 1),
    "a huge size": lambda: svg("").replace(b'width="100mm"', b'width="1e9mm"', 1),
    "random bytes": lambda: b"\x00\xff\xfe" + Random(1).randbytes(5000),
    "empty": lambda: b"",
    "white space": lambda: b" \n\t ",
    "cut short": lambda: (HEAD + '<path d="M0 0L50 0L50 100L0 1').encode(),
    "cut short after a tag": lambda: (HEAD + '<path d="M0 0L50 0L50 100Z"/>').encode(),
    "packed and cut short": lambda: gzip.compress(svg(""))[:-30],
    "packed and damaged": lambda: b"\x1f\x8b" + Random(2).randbytes(500),
    "a web page": lambda: b"<!DOCTYPE html><html><body><p>artwork</p></body></html>",
    "an archive": lambda: b"PK\x03\x04" + bytes(100),
}

READ: dict[str, Callable[[], bytes]] = {
    "an entity of a file": entity_of_a_file,
    "an entity of a parameter": entity_of_a_parameter,
    "harmless entities": harmless_entities,
    "a picture of a file": lambda: svg('<image xlink:href="file:///etc/hostname" width="10" height="10"/>'),
    "250 deep": nested(250),
    "use of itself": use_of_itself,
    "clip of itself": clip_of_itself,
    "mask of itself": mask_of_itself,
    "rules that never fit": style_rules,
    "no numbers": lambda: svg(
        '<path d="M nan nan L 10 10 L NaN 5 Z"/><rect x="nan" y="inf" width="1e400" height="5"/><circle r="-nan"/>'
    ),
    "endless transforms": lambda: svg(
        '<g transform="scale(1e308)"><g transform="scale(1e308)"><rect width="50" height="100"/></g></g>'
    ),
    "far outside": lambda: svg('<path d="M-1e30 -1e30C1e30 -1e30 1e30 1e30 -1e30 1e30Z"/>'),
    "a tiny pattern": lambda: svg(
        '<pattern id="p" width="1e-7" height="1e-7" patternUnits="userSpaceOnUse"><rect width="1e-7" height="1e-8"/>'
        '</pattern><rect width="50" height="100" fill="url(#p)"/>'
    ),
    "scripts": lambda: svg('<script>while(1);</script><foreignObject width="10" height="10"/>'),
    "two bytes a letter": lambda: ('<?xml version="1.0" encoding="UTF-16"?>' + svg("").decode()).encode("utf-16"),
    "an old encoding": lambda: (
        '<?xml version="1.0" encoding="ISO-8859-1"?>' + svg("<title>hé</title>").decode()
    ).encode("latin-1"),
    "an old encoding that it does not name": lambda: svg("<title>hé</title>").decode().encode("latin-1"),
    "an encoding of two bytes": lambda: (
        '<?xml version="1.0" encoding="GB2312"?>' + svg("<title>中</title>").decode()
    ).encode("gb2312"),
    "four bytes a letter": lambda: ('<?xml version="1.0" encoding="UTF-32"?>' + svg("").decode()).encode("utf-32"),
    "another encoding than it names": lambda: b'<?xml version="1.0" encoding="UTF-16"?>' + svg(""),
    "blank lines before the first": lambda: b' \r\n\n<?xml version="1.0"?>' + svg(""),
    "zeros at the end": lambda: svg("") + bytes(500),
    "a remark of many letters": lambda: svg(f"<!--{'x' * 9_000_000}-->"),
    "more attributes than any element has": lambda: svg("<g" + "".join(f' a{i}="1"' for i in range(50_000)) + "/>"),
    "more prefixes than any drawing has": lambda: svg(
        "<g" + "".join(f' xmlns:n{i}="http://example.org/{i}"' for i in range(50_000)) + "/>"
    ),
    "a picture of many letters": lambda: svg(
        '<image width="9" height="9" href="data:image/png;base64,' + "A" * 9_000_000 + '"/>'
    ),
    "digits without end": lambda: svg('<g stroke-width="' + "9" * 900_000 + '" fill="#000"/>'),
    "views within views that shrink": lambda: svg(
        '<svg width="1" height="1" viewBox="0 0 1000 1000">' * 200 + '<rect width="9" height="9"/>' + "</svg>" * 200
    ),
    "a selector longer than any drawing is deep": lambda: svg(
        f"<style>{'g ' * 3000}rect{{fill:#fff}}</style>{'<g>' * 200}<g/>{'</g>' * 200}"
    ),
    "letters at no size": lambda: svg('<text y="20" font-size="1e-300">ab</text><text font-size="-5">ab</text>'),
    "letters out of reach": lambda: svg('<text y="1e300" x="-1e300" letter-spacing="1e300">ab</text>'),
    "packed": lambda: gzip.compress(svg("")),
    "a bad viewBox": lambda: (
        b'<svg width="100mm" height="100mm" viewBox="0 0 0 -5"><rect width="50%" height="100%"/></svg>'
    ),
}
EITHER: dict[str, Callable[[], bytes]] = {"masks in masks": masks_in_masks}
