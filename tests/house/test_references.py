"""Whatever is cited can be looked up: each key in code, data and pages stands in docs/formulas/references.md."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "formulas" / "references.md"
TEXTS = [
    path
    for folder in ("rotary", "tui", "docs", "profiles")
    for path in sorted((ROOT / folder).rglob("*"))
    if path.suffix in {".py", ".md", ".toml"} and path != PAGE
]
DATED_KEY = re.compile(r"\b[a-z]{3,}(?:19|20)\d\d\b")
CITED = re.compile(r"Sources?:\s+((?:[^.]|\.\d)*)\.", re.S)
BRACKETED = re.compile(r"\[([a-z]{3,}\d*)\](?![(\[])")
STANDARD = re.compile(
    r"\b(?:(?:ISO|EN|IEC|JCGM|DIN|MIL-STD)[ -](?:ISO )?\d+(?:-\d+)?|ASME Y\d+\.\d+|BT\.\d+|Annex #\d+|\d{4}/\d\d/EC)"
)
BASIS = re.compile(r"\b([a-z]{3,}\d{3,}) \((?:from )?(memory|seen|abstract seen)")
"""A key with what is said of it in brackets."""
SPELLED = {"ansi14", "bt601", "uax9"}
"""Keys of standards that are cited by their own names: ASME Y14.1, BT.601, Annex #9."""
NOBODY = re.compile(r"\b(?:trade press|property tables|makers' notes|data sheets of)\b", re.I)
"""Sources that nobody can look up."""


def rows() -> list[list[str]]:
    """The cells of each line of the table: keys, source, basis."""
    lines = re.findall(r"^\| [a-z0-9, ]+ \| .* \| .* \|$", PAGE.read_text("utf-8"), re.M)[1:]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines]


def keys() -> set[str]:
    """The keys of the table, first column, several a cell allowed."""
    return {key.strip() for cells in rows() for key in cells[0].split(",")}


def test_every_dated_key_is_in_the_table() -> None:
    """A key such as snyder1987 anywhere in the tree names a line of the references."""
    known = keys()
    assert len(known) > 15
    unknown = set()
    for path in TEXTS:
        text = path.read_text("utf-8")
        named = [*DATED_KEY.findall(text), *(bracketed(text) if path.suffix == ".md" else ())]
        unknown |= {(str(path.relative_to(ROOT)), key) for key in named if key not in known}
    assert not unknown


def bracketed(page: str) -> list[str]:
    """The keys that a page has in brackets: [gum], not [a link](page.md), and nothing within code.

    >>> bracketed("after [gum], see [this](page.md) and `x[at]`")
    ['gum']
    """
    return BRACKETED.findall(re.sub(r"```.*?```|`[^`]*`", "", page, flags=re.S))


def test_seen_and_from_memory_agree_with_the_table() -> None:
    """Whoever cites a key as seen, or as from memory, says what the table says of it; nobody cites what has no name."""
    basis = {key: cells[2] for cells in rows() for key in map(str.strip, cells[0].split(","))}
    wrong = []
    for path in [*TEXTS, *sorted((ROOT / "tests").rglob("*.py"))]:
        if path == Path(__file__):
            continue
        text = " ".join(path.read_text("utf-8").split())
        wrong += [(path.name, key) for key, said in BASIS.findall(text) if said.split()[-1] not in basis.get(key, said)]
        wrong += [(path.name, name) for name in NOBODY.findall(text)]
    assert not wrong


def test_every_source_in_a_docstring_names_a_key() -> None:
    """ "Source: …" is followed by a key of the table, or by the word textbook for what any textbook has."""
    known = keys()
    bare = []
    for path in (p for p in TEXTS if p.suffix == ".py"):
        for cited in CITED.findall(path.read_text("utf-8")):
            words = set(re.findall(r"[a-z0-9]+", cited.casefold()))
            if not words & known and "textbook" not in words and "common practice" not in cited:
                bare.append((str(path.relative_to(ROOT)), cited[:60]))
    assert not bare


def test_every_standard_that_is_named_is_in_the_table() -> None:
    """A standard's number in code or on a page is a line of the references, with how it was seen."""
    page = PAGE.read_text("utf-8")
    unknown = {
        (str(path.relative_to(ROOT)), number)
        for path in TEXTS
        for number in STANDARD.findall(path.read_text("utf-8"))
        if number.replace("-ISO", " ISO") not in page
    }
    assert not unknown


def test_no_line_of_the_table_is_without_use_or_basis() -> None:
    """Each reference is cited somewhere, and says whether it was seen or is from memory."""
    everything = "\n".join(path.read_text("utf-8") for path in [*TEXTS, *sorted((ROOT / "tests").rglob("*.py"))])
    for cells in rows():
        assert re.search(r"seen|memory", cells[2]), cells
        for key in map(str.strip, cells[0].split(",")):
            spelled = re.sub(r"^(iso|iec|en)(\d)", lambda found: f"{found[1].upper()} {found[2]}", key)
            assert key in everything or spelled in everything or key in SPELLED, key
