"""A paper as one HTML file: nothing is fetched, boxes can be ticked on a tablet, and it prints on the paper named.

Headings, lists, tables with captions and heads of rows, and labels that belong to their boxes, so that a screen reader
can follow; light and dark on a screen, black on white in print.
"""

import base64
from collections.abc import Callable
from html import escape as escaped
from typing import Final

from rotary.errors import single_line
from rotary.files import MADE_BY
from rotary.papers.drawing import Face
from rotary.papers.letters import CUTS, font_of, printable
from rotary.papers.model import (
    FIRST_RULE,
    Block,
    Keyed,
    Notes,
    Pairs,
    Paper,
    PictureRow,
    Section,
    Sentences,
    Table,
    Ticks,
    words_of,
)
from rotary.papers.sheets import EDGE_MM
from rotary.papers.svg import svg_text
from rotary.papers.typeset import LEAST_FIGURE_MM, LEAST_LEAVE_MM, Size
from rotary.printer import SheetName

HTML_SHARE: Final = 0.97
"""A browser sets words a little wider than they are set here."""

_STYLE: Final = """
:root { color-scheme: light dark; --ink: #111; --paper: #fff; --soft: #666; --line: #bbb; --lane: #f0f0ee; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #eee; --paper: #161616; --soft: #aaa; --line: #444; --lane: #242424; }
}
* { box-sizing: border-box; }
body { font: 17px/1.4 "rotary plain", "Noto Sans", system-ui, sans-serif; font-variant-numeric: tabular-nums;
  color: var(--ink); background: var(--paper); margin: 0 auto; padding: 1rem; max-width: 76rem; }
header { border-bottom: 3px solid var(--ink); margin-bottom: .8rem; display: flex; flex-wrap: wrap; gap: .2rem 1rem;
  align-items: baseline; }
header .kind { background: var(--ink); color: var(--paper); padding: .1em .6em; font-weight: 700;
  text-transform: uppercase; letter-spacing: .04em; }
h1 { font-size: 1.7rem; margin: 0; flex: 1; overflow-wrap: anywhere; }
h2 { font-size: 1.1rem; margin: 0 0 .4rem; padding-bottom: .1rem; border-bottom: 1px solid var(--line); }
h2::before { content: ""; display: block; width: 3.2rem; border-top: 5px solid var(--ink); margin-bottom: .2rem; }
.facts, .behind-says { color: var(--soft); margin: .2rem 0; }
.frame { border: 2px solid var(--ink); padding: .4rem .7rem; margin: .5rem 0; }
.verdict { font-size: 1.3em; font-weight: 700; }
.verdict b { font-size: 2.2em; }
.frame b { background: var(--ink); color: var(--paper); padding: 0 .5em; margin-right: .5em; }
main { display: grid; grid-template-columns: 53fr 47fr; gap: 1.1rem 1.6rem; align-items: start; }
section { break-inside: auto; grid-column: 1 / -1; min-width: 0; }
.side { grid-column: auto; display: grid; gap: 1.1rem; }
.two ul { columns: 2; column-gap: 1.6rem; }
ol.keyed, ul { list-style: none; margin: 0; padding: 0; }
ol.keyed { counter-reset: number; }
ol.keyed li { counter-increment: number; display: grid; grid-template-columns: 2rem 1fr auto 4.2rem;
  gap: 0 .6rem; align-items: baseline; border-bottom: 1px solid var(--line); padding: .1rem 0; break-inside: avoid; }
ol.keyed li::before { content: counter(number); color: var(--soft); text-align: right; }
ol.keyed .figure { font-size: 1.9rem; font-weight: 700; line-height: 1.15; text-align: right; overflow-wrap: anywhere; }
ol.keyed strong { grid-column: 2 / -1; justify-self: end; border: 3px solid var(--ink); padding: 0 .4em;
  font-size: 1.2rem; }
ol.keyed small { grid-column: 2 / -1; color: var(--soft); }
li.dash::before { content: "– "; } li.better::before { content: "» "; }
li.warn { border-left: 4px solid var(--ink); padding-left: .5rem; }
li { margin: .12rem 0; break-inside: avoid; }
label { display: flex; gap: .5rem; align-items: baseline; }
input[type=checkbox] { width: 1.15rem; height: 1.15rem; flex: none; accent-color: var(--ink); }
dl { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: .1rem 1rem; margin: 0; }
dd { margin: 0; font-weight: 700; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; margin: .3rem 0; }
caption { text-align: left; color: var(--soft); }
th, td { text-align: right; padding: .12rem .5rem; border-bottom: 1px solid var(--line); vertical-align: top; }
thead th { border-bottom: 2px solid var(--ink); vertical-align: bottom; }
.words, tr > :first-child { text-align: left; }
.write { min-width: 6rem; }
.ticks { display: flex; flex-wrap: wrap; gap: .35rem 1.1rem; }
.ticks fieldset { border: 0; margin: 0; padding: 0; display: flex; flex-wrap: wrap; gap: .15rem; align-items: center; }
.ticks legend { float: left; padding: 0 .3rem 0 0; }
.pictures { display: flex; flex-wrap: wrap; gap: 1rem; }
figure { margin: 0; flex: 1 1 17rem; max-width: 34rem; break-inside: avoid; }
figure svg { width: 100%; height: auto; background: #fff; display: block; }
figcaption { color: var(--soft); font-size: .9rem; }
.line { border-bottom: 1px solid var(--soft); height: 2.2rem; }
footer { border-top: 2px solid var(--ink); margin-top: 1rem; padding-top: .3rem; font-weight: 700; }
textarea { width: 100%; min-height: 7rem; font: inherit; color: inherit; background: var(--lane); border: 1px solid
  var(--line); padding: .4rem; }
.behind { break-before: page; margin-top: 2rem; }
@media screen and (max-width: 48rem) { main { display: block; } main > * { margin-bottom: 1.1rem; }
  .two ul { columns: 1; } }
@media print {
  :root { --ink: #000; --paper: #fff; --soft: #333; --line: #999; --lane: #fff; }
  body { font-size: calc(var(--body) * 1mm); line-height: 1.19; padding: 0; max-width: none; }
  h1 { font-size: 1.9em; } h2 { font-size: 1.05em; line-height: 1.15; margin: 0 0 .5mm; padding: 0;
    border-bottom: .3mm solid #000; }
  h2::before { display: none; }
  .facts { margin: 0; } header { margin-bottom: .8mm; padding-bottom: .3mm; border-bottom-width: .4mm; }
  main { gap: calc(var(--gap) * 1mm) 4mm; grid-template-columns: 1fr 1fr; display: grid; }
  .side { gap: calc(var(--gap) * 1mm); align-content: start; } .two ul { columns: 2; column-gap: 4mm; }
  ol.keyed li { grid-template-columns: 4mm 31mm auto auto 1fr; gap: 0 1.2mm; padding: 0; align-items: center;
    border-bottom-width: .1mm; }
  ol.keyed .name { font-weight: 700; }
  ol.keyed .figure { font-size: calc(var(--figure) * 1mm); line-height: .98; text-align: left; }
  ol.keyed strong { grid-area: 2 / 3 / 3 / -1; justify-self: start; border-width: .5mm; padding: 0 1mm;
    font-size: calc(var(--leave) * 1mm); line-height: 1.1; margin-bottom: .3mm; }
  ol.keyed small { grid-area: 1 / 5; font: .84em/1.05 "rotary narrow", "Noto Sans", sans-serif; }
  li { margin: 0 0 .15mm; } li.warn { border-left-width: .8mm; padding-left: 2mm; }
  label { gap: 1.2mm; } dl { gap: 0 2mm; grid-template-columns: auto 1fr; }
  input[type=checkbox] { width: 2.2mm; height: 2.2mm; margin: 0; }
  .frame { padding: .4mm 1.2mm; margin: .5mm 0; border-width: .35mm; }
  caption, main > section figcaption { display: none; }
  table { margin: 0; } th, td { padding: .1mm .8mm; border-bottom-width: .1mm; white-space: nowrap; }
  thead th { border-bottom-width: .3mm; } .words { white-space: normal; width: 99%; }
  .ticks { gap: .5mm 1.6mm; } .ticks legend { font-size: .84em; } .ticks fieldset { gap: .3mm; }
  section > p { margin: 0; }
  .pictures { gap: 1.5mm; flex-wrap: nowrap; justify-content: space-between; }
  figure { flex: 0 1 auto; max-width: none; } figure svg { width: auto; height: calc(var(--picture) * 1mm); max-width:
    60mm; }
  textarea { min-height: 0; height: 11mm; background: none; border: 0; border-bottom: .1mm solid #999;
    background-image: repeating-linear-gradient(#fff 0 5.4mm, #999 5.4mm 5.5mm); padding: 0; resize: none; }
  footer { margin-top: 1mm; border-top-width: .3mm; } footer p { margin: 0; }
  .behind { margin: 0; font-size: 8pt; } .behind .pictures { flex-wrap: wrap; }
  .behind figure svg { width: 88mm; height: auto; max-width: none; } .behind figcaption { display: block; }
  .behind th, .behind td { white-space: normal; } .wide { overflow: visible; }
}
"""


def html_text(paper: Paper, sheet: SheetName, size: Size, picture_mm: float) -> str:
    """The paper as one file of HTML; `sheet` is what it prints on, `size` how large it is set there."""
    page = "A4" if sheet == "A4" else "letter"
    set_so = f"--body: {size.body_mm * HTML_SHARE:.3f}; --figure: {max(size.figure_mm * 0.97, LEAST_FIGURE_MM):.2f}; "
    set_so += f"--leave: {max(size.leave_mm, LEAST_LEAVE_MM):.2f}; --gap: {size.gap_mm * 0.6:.2f}; "
    set_so += f"--picture: {picture_mm or 30.0:g}"
    title = _text(paper.title)
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        '<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<title>{title}</title><meta name="generator" content="{MADE_BY}">',
        f"<style>{_fonts(paper)}@page {{ size: {page}; margin: {EDGE_MM:g}mm; }}",
        f":root {{ {set_so} }}{_STYLE}</style></head>",
        "<body>",
        f'<header><span class="kind">{_text(paper.kind)}</span><h1>{_text(paper.name)}</h1>'
        f'<time datetime="{paper.day.isoformat()}">{paper.day.isoformat()}</time></header>',
        *_banner(paper),
        *(f'<p class="facts">{_text(fact)}</p>' for fact in paper.facts),
        *_lead(paper),
        "<main>",
        *_sections(paper.sections),
        "</main>",
        f"<footer><p>{_text(FIRST_RULE)}</p></footer>",
        *_behind(paper),
        "</body></html>",
    ]
    return "\n".join(parts) + "\n"


def _fonts(paper: Paper) -> str:
    """The paper's own letters, so that it looks and breaks the same everywhere."""
    letters = frozenset("".join(map(printable, words_of(paper)))) | frozenset(f"{FIRST_RULE}0123456789»–[]")
    rules = []
    faces: tuple[tuple[str, Face], ...] = (("plain", "plain"), ("plain", "bold"), ("narrow", "narrow"))
    for family, face in faces:
        data = base64.b64encode(font_of(letters, face)).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"rotary {family}";font-weight:{CUTS[face][0]:.0f};'
            f"src:url(data:font/ttf;base64,{data})}}"
        )
    return "".join(rules)


def _text(text: str) -> str:
    return escaped(single_line(text), quote=True)


def _banner(paper: Paper) -> list[str]:
    tab, _, says = paper.banner.partition(". ")
    return [f'<p class="frame" role="note"><b>{_text(tab)}</b>{_text(says)}</p>'] if tab else []


def _lead(paper: Paper) -> list[str]:
    parts = []
    if paper.verdict:
        says = f"<b>{_text(paper.verdict)}</b>{_text(paper.lead)}"
        parts.append(f'<p class="frame verdict" role="note">{says}</p>')
    elif paper.lead:
        tab = "In doubt" if paper.doubtful else "Plan"
        says = paper.beside_tab or paper.lead
        lead = f"<b>{tab}</b>{_text(says[:1].upper() + says[1:])}"
        parts.append(f'<p class="frame" role="note">{lead}</p>')
    parts += [f'<p class="frame" role="note"><b>STOP</b>{_text(text)}</p>' for text in paper.stops]
    return parts


def _behind(paper: Paper) -> list[str]:
    if not paper.behind:
        return []
    says = f'<p class="behind-says">{_text(paper.behind_says)}</p>' if paper.behind_says else ""
    return ['<div class="behind">', says, "<main>", *map(_section, paper.behind), "</main></div>"]


def _sections(sections: tuple[Section, ...]) -> list[str]:
    """Sections in their order; those of a side stand in a column together."""
    parts: list[str] = []
    side = ""
    for section in sections:
        now = section.column if section.column in ("left", "right") else ""
        if now != side:
            parts += ["</div>"] if side else []
            parts += ['<div class="side">'] if now else []
            side = now
        parts.append(_section(section))
    return [*parts, "</div>"] if side else parts


def _section(section: Section) -> str:
    two = ' class="two"' if section.column == "two" else ""
    return f"<section{two}><h2>{_text(section.title)}</h2>{''.join(map(_block, section.blocks))}</section>"


def _block(block: Block) -> str:
    return _WRITERS[type(block)](block)


def _keyed(block: Keyed) -> str:
    rows = "".join(
        f'<li><span class="name">{_text(entry.label)}</span> <span class="figure">{_text(entry.text)}</span> '
        f'<span class="unit">{_text(entry.unit)}</span>'
        f"{f' <strong>{_text(entry.leave)}</strong>' if entry.leave else ''}"
        f"{f' <small>{_text(entry.why)}</small>' if entry.why else ''}</li>"
        for entry in block.entries
    )
    return f'<ol class="keyed">{rows}</ol>'


def _sentences(block: Sentences) -> str:
    if block.mark == "box":
        rows = "".join(f'<li><label><input type="checkbox"><span>{_text(t)}</span></label></li>' for t in block.texts)
    else:
        rows = "".join(f'<li class="{block.mark}">{_text(text)}</li>' for text in block.texts)
    return f"<ul>{rows}</ul>"


def _pairs(block: Pairs) -> str:
    return f"<dl>{''.join(f'<dt>{_text(name)}</dt><dd>{_text(value)}</dd>' for name, value in block.pairs)}</dl>"


def _table(block: Table) -> str:
    def kind(column: int) -> str:
        return ' class="words"' if column == block.wide else ""

    head = "".join(f'<th scope="col"{kind(at)}>{_text(cell)}</th>' for at, cell in enumerate(block.head))
    rows = "".join(f"<tr>{_row(block, place, row, kind)}</tr>" for place, row in enumerate(block.rows))
    return (
        f'<div class="wide"><table><caption>{_text(block.caption)}</caption><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
    )


def _row(block: Table, place: int, row: tuple[str, ...], kind: Callable[[int], str]) -> str:
    cells = []
    for at, cell in enumerate(row):
        text = _text(cell)
        if cell and set(cell) == {"_"}:
            name = _text(f"{block.head[at]}, {row[0]}")
            text = f'<input class="write" type="text" aria-label="{name}">'
        if (place, at) in block.strong:
            text = f"<strong>{text}</strong>"
        if at == 0:
            box = f'<label><input type="checkbox"><span>{text}</span></label>' if block.boxed else text
            cells.append(f'<th scope="row">{box}</th>')
        else:
            cells.append(f"<td{kind(at)}>{text}</td>")
    return "".join(cells)


def _ticks(block: Ticks) -> str:
    groups = "".join(
        f"<fieldset><legend>{_text(name)}</legend>"
        + "".join(f'<input type="checkbox" aria-label="{_text(name)}, {at} of {many}">' for at in range(1, many + 1))
        + "</fieldset>"
        for name, many in block.groups
    )
    return f'<p>{_text(block.says)}</p><div class="ticks">{groups}</div>'


def _notes(block: Notes) -> str:
    return f'<textarea aria-label="what happened" rows="{block.lines}"></textarea>'


def _shown(block: PictureRow) -> str:
    figures = "".join(
        f"<figure>{svg_text(picture, embed=False, alone=False)}<figcaption>{_text(picture.title)}</figcaption></figure>"
        for picture in block.pictures
    )
    return f'<div class="pictures">{figures}</div>'


_WRITERS: Final[dict[type, Callable[..., str]]] = {
    Keyed: _keyed, Sentences: _sentences, Pairs: _pairs, Table: _table, Ticks: _ticks, Notes: _notes,
    PictureRow: _shown,
}  # fmt: skip
