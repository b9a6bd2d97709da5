"""A paper as one HTML file that asks for nothing: the plain sheet, which counts with the person where scripts run.

Headings, lists, tables with captions and heads of rows, labels that belong to their boxes, so that a screen reader can
follow; light and dark on a screen, black on white in print, on the paper named, in the sizes of the printed sheet.
"""

import json
from collections.abc import Callable
from dataclasses import asdict
from functools import lru_cache
from html import escape
from importlib.resources import files
from typing import Final

from rotary.errors import single_line
from rotary.files import MADE_BY
from rotary.papers.drawing import PaperPicture
from rotary.papers.growth import EDGE_MM, Size
from rotary.papers.model import (
    FIRST_RULE,
    Block,
    Counting,
    Keyed,
    Notes,
    Pairs,
    Paper,
    PictureRow,
    Section,
    Sentences,
    Table,
    Ticks,
)
from rotary.papers.svg import svg_text
from rotary.printer import SheetName

PRINT_SHARE: Final = 0.9
"""A browser has another font and wider gaps than the printed sheet: set so much smaller it takes one page, too."""


TRUE_SIZE: Final = (
    '<p class="facts">Print at 100 %, never fitted to the page. Then this bar is 100 mm long:</p><p class="bar100"></p>'
)
"""What a page says before it is printed whose pictures are measured."""


@lru_cache
def _part(name: str) -> str:
    return (files("rotary.papers") / name).read_text("utf-8")


def html_text(paper: Paper, size: Size, sheet: SheetName) -> str:
    """The paper as one file of HTML; `sheet` is what it prints on, `size` how large it is set there."""
    points = {"words": PRINT_SHARE * size.words_pt, "typed": PRINT_SHARE * size.typed_pt, "pad": 0.5 * size.pad_pt}
    values = "".join(f"--{name}:{value:.2f}pt;" for name, value in points.items())
    page = f"@page{{size:{'A4' if sheet == 'A4' else 'letter'};margin:{EDGE_MM:g}mm}}:root{{{values}}}"
    time = f'<time datetime="{paper.day.isoformat()}">{paper.day.day} {paper.day:%B %Y}</time>'
    overleaf = "".join(
        f'<div class="overleaf">{f"<p>{_text(text)}</p>" if text else ""}{"".join(map(_section, sections))}</div>'
        for sections, text in ((paper.tables, ""), (paper.details, paper.details_text))
        if sections
    )
    return "\n".join(
        [
            '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f'<title>{_text(paper.title)}</title><meta name="generator" content="{MADE_BY}">',
            f"<style>{page}{_part('sheet.css')}</style></head><body><main>",
            f'<header><div class="top"><span>{_text(paper.kind.upper())}</span>{time}</div>',
            f"<h1>{_text(paper.name)}</h1>",
            *_standing(paper),
            '<p id="done" hidden></p></header>' if paper.counting else "</header>",
            *(f'<p class="facts">{_text(fact)}</p>' for fact in paper.facts),
            TRUE_SIZE if _is_to_scale(paper) else "",
            f'<button id="start" hidden>{_text(paper.counting.words["follow"])}</button>' if paper.counting else "",
            *map(_section, paper.sections),
            f"<footer>{_text(FIRST_RULE)}</footer>{overleaf}</main>",
            _counting(paper.counting) if paper.counting else "",
            "</body></html>\n",
        ]
    )


def _is_to_scale(paper: Paper) -> bool:
    """Whether a picture of the paper is measured on it."""
    blocks = [block for section in (*paper.sections, *paper.tables, *paper.details) for block in section.blocks]
    return any(one.to_scale for block in blocks if isinstance(block, PictureRow) for one in block.pictures) or any(
        block.picture is not None and block.picture.to_scale for block in blocks if isinstance(block, Sentences)
    )


def _counting(counting: Counting) -> str:
    """The bar of the step in hand, the numbers and words that are counted with, and the script."""
    numbers = asdict(counting) | {"rungs": [rung._asdict() for rung in counting.rungs]}
    data = json.dumps(numbers, ensure_ascii=False).replace("<", "\\u003c")
    words = counting.words
    buttons = f'<button id="back">{_text(words["back"])}</button><button id="main"></button>'
    bar = f'<nav id="bar" hidden>{buttons}<button id="sheet">{_text(words["whole"])}</button></nav>'
    script = f'<script type="application/json" id="job">{data}</script><script>{_part("counting.js")}</script>'
    return f"{bar}{script}"


def _text(text: str) -> str:
    return escape(single_line(text), quote=True)


def _standing(paper: Paper) -> list[str]:
    """How the job stands and what forbids the start: above every step."""
    parts = []
    if paper.banner:
        parts.append(f'<p class="example" role="note">{_text(paper.banner)}</p>')
    if paper.verdict:
        rest = f"<span>{_text(paper.lead)}</span><span>{_text(paper.minutes)}</span>"
        parts.append(f'<p class="banner" role="note"><b>{_text(paper.verdict)}</b>{rest}</p>')
    elif paper.lead:
        parts.append(f'<p class="lead">{_text(paper.lead)}</p>')
    return [*parts, *(f'<p class="stop" role="note"><b>STOP</b> {_text(text)}</p>' for text in paper.stops)]


def _section(section: Section) -> str:
    number = f"<i>{_text(section.number)}</i> " if section.number else ""
    body = "".join(_WRITERS[type(block)](block) for block in section.blocks)
    step = f' data-step="{section.step}"' if section.step else ""
    return f'<section{step}><h2>{number}{_text(section.title)}</h2><div>{body}<div class="live"></div></div></section>'


def _keyed(block: Keyed) -> str:
    cells = "".join(
        f'<div{" class=no" if one.leave else ""}><span class="name">{_text(one.label)}</span> <b>{_text(one.text)}</b> '
        f"{_text(one.unit)}{f'<small>{_text(one.why)}</small>' if one.why else ''}"
        f"{f' <em>{_text(one.leave)}</em>' if one.leave else ''}</div>"
        for one in block.entries
    )
    # A few stand at the left of the sentences that follow, where it is printed.
    few = " few" if len(block.entries) < 4 else ""
    return f'<div class="typed{few}">{cells}</div>'


def _sentences(block: Sentences) -> str:
    kind = f"{block.mark}{' loud' if block.loud else ''}"
    if block.mark == "box":
        rows = "".join(f'<li><label><input type="checkbox"><span>{_text(t)}</span></label></li>' for t in block.texts)
    else:
        rows = "".join(f"<li>{_text(text)}</li>" for text in block.texts)
    listed = f'<ul class="{kind}" style="--columns:{block.columns}">{rows}</ul>'
    return f'<div class="beside">{listed}{_figure(block.picture)}</div>' if block.picture else listed


def _figure(picture: PaperPicture, below: str = "") -> str:
    size = f' class="scaled" style="--wide:{picture.wide_mm:.3f}mm"' if picture.to_scale else ""
    return f"<figure{size}>{svg_text(picture, embed=False, alone=False)}{below}</figure>"


def _pairs(block: Pairs) -> str:
    return f"<dl>{''.join(f'<dt>{_text(name)}</dt><dd>{_text(value)}</dd>' for name, value in block.pairs)}</dl>"


def _table(block: Table) -> str:
    head = "".join(f'<th scope="col">{_text(cell)}</th>' for cell in block.head)
    rows = "".join(f"<tr>{_row(block, place, row)}</tr>" for place, row in enumerate(block.rows))
    return (
        f'<div class="wide"><table><caption>{_text(block.caption)}</caption><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
    )


def _row(block: Table, place: int, row: tuple[str, ...]) -> str:
    cells = []
    for at, cell in enumerate(row):
        text = _text(cell)
        if cell and set(cell) == {"_"}:
            text = f'<input type="text" aria-label="{_text(f"{block.head[at]}, {row[0]}")}">'
        if (place, at) in block.strong:
            text = f"<strong>{text}</strong>"
        if at:
            cells.append(f"<td>{text}</td>")
        else:
            box = f'<label><input type="checkbox"><span>{text}</span></label>' if block.boxed else text
            cells.append(f'<th scope="row">{box}</th>')
    return "".join(cells)


def _ticks(block: Ticks) -> str:
    boxes = "".join(f'<label class="slice"><input type="checkbox">{_text(name)}</label>' for name in block.names)
    return f'{f"<p>{_text(block.says)}</p>" if block.says else ""}<div class="boxes">{boxes}</div>'


def _notes(block: Notes) -> str:
    return f'<textarea aria-label="notes" rows="{block.lines}"></textarea>'


def _pictures(block: PictureRow) -> str:
    figures = "".join(_figure(one, f"<figcaption>{_text(one.title)}</figcaption>") for one in block.pictures)
    return f'<div class="pictures">{figures}</div>'


_WRITERS: Final[dict[type[Block], Callable[..., str]]] = {
    Keyed: _keyed, Sentences: _sentences, Pairs: _pairs, Table: _table, Ticks: _ticks,
    Notes: _notes, PictureRow: _pictures,
}  # fmt: skip
