"""Lists of names as they come out of address books and spreadsheets: any of the usual codes, signs and quotes."""

import csv
import io
import re
from collections import Counter
from pathlib import Path
from typing import Final, Literal, NamedTuple

from rotary.errors import brief, listing, refuse
from rotary.files import bytes_of_file

FIELD: Final = "table"
MOST_BYTES: Final = 20_000_000
MOST_ROWS: Final = 100_000
SIGNS: Final = (",", ";", "\t", "|")
HEADINGS: Final = frozenset({
    "name", "names", "text", "texts", "words", "inscription", "first name", "last name", "surname", "full name", "crew",
    "rower", "member", "title", "label", "nombre", "nom", "vorname", "nachname", "naam", "nome", "namn", "navn",
    "nr", "no", "no.", "number", "serial", "id",
})  # fmt: skip
"""What is taken for a heading without asking."""

_SIGN_LINE: Final = re.compile(r"sep=([^\r\n\"])[ \t]*\r?\n")
_MARKS: Final = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


class Row(NamedTuple):
    """One name and the line of the file on which it ends."""

    line: int
    name: str


class NameTable(NamedTuple):
    """The names of a list, the heading of their column, the sign between columns, and notes for the person."""

    rows: tuple[Row, ...]
    column: str
    sign: str
    notes: tuple[str, ...]


Headings = Literal["yes", "no"] | None
"""Whether the first line of a list is headings; None where nobody has said so."""


def table_from_file(path: Path, column: str | None, headings: Headings = None) -> NameTable:
    """Read one column of a CSV file. Raises Refused or FileTrouble, with what to do instead."""
    return table_from_bytes(_bytes_of(path), column, headings)


def cells_from_file(path: Path) -> list[list[str]]:
    """All cells of a CSV file, line by line. Raises csv.Error, Refused or FileTrouble."""
    text, sign = _without_sign_line(_text(_bytes_of(path))[0])
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True))


def _bytes_of(path: Path) -> bytes:
    larger = refuse(FIELD, f"the list is larger than {MOST_BYTES // 1_000_000} MB: divide it into parts")
    return bytes_of_file(path, MOST_BYTES, "name the CSV file that holds the names", larger)


def table_from_bytes(data: bytes, column: str | None, headings: Headings = None) -> NameTable:
    """One column of a list of names. Of a single column whose first line may be a name it has to be said whether it
    is a heading, or the first name would be lost.

    >>> table_from_bytes("name;boat\\nAnna;\\"Heron; the old\\"\\n".encode(), "boat").rows
    (Row(line=2, name='Heron; the old'),)
    """
    whole, notes = _text(data)
    # Headings may hold any of the signs in quotes; the one that divides them stands most often outside.
    text, sign = _without_sign_line(whole)
    above = len(whole[: len(whole) - len(text)].splitlines())
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True)
    rows: list[Row] = []
    try:
        first = [" ".join(cell.split()) for cell in next(reader)]
        place = _place(first, column) if headings != "no" else _place_unheaded(first, column)
        if headings == "no":
            rows.append(Row(above + reader.line_num, first[place]))
        elif headings is None and column is None and first[place].casefold() not in HEADINGS:
            raise refuse(
                FIELD,
                f'"{brief(first[place], 30)}" in the first line may be a heading or a name: write --headings yes or '
                "--headings no",
            )
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if len(rows) == MOST_ROWS:
                raise refuse(FIELD, f"the list holds more than {MOST_ROWS:,} names: divide it into parts")
            rows.append(Row(above + reader.line_num, cells[place].strip() if place < len(cells) else ""))
    except csv.Error:
        raise refuse(
            FIELD,
            f"line {above + reader.line_num} can't be read: look for a quotation mark that is not closed, or save the "
            "list again as CSV",
        ) from None
    if not rows:
        raise refuse(FIELD, "the list has headings but no names under them: write one name per line")
    return NameTable(tuple(rows), "" if headings == "no" else first[place], sign, notes)


def _text(data: bytes) -> tuple[str, tuple[str, ...]]:
    if not data.strip():
        raise refuse(FIELD, "the list is empty: write a heading and then one name per line")
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise refuse(FIELD, "the list is a workbook, whatever its name says: open it and save it as CSV")
    code = next((code for mark, code in _MARKS if data.startswith(mark)), None)
    try:
        text = data.decode(code or "utf-8")
        notes: tuple[str, ...] = ()
    except UnicodeDecodeError:
        if code is not None:
            raise refuse(FIELD, "the list is damaged: save it again as CSV in UTF-8") from None
        try:
            text = data.decode("cp1252")
        except UnicodeDecodeError:
            raise refuse(FIELD, "the letters of the list can't be read: save it again as CSV in UTF-8") from None
        says = "The list is not in UTF-8 and was read as Western European (code page 1252): check letters with accents."
        notes = (says,)
    if "\0" in text:
        raise refuse(FIELD, "the list is not text: save it as CSV in UTF-8")
    if not text.strip():
        raise refuse(FIELD, "the list is empty: write a heading and then one name per line")
    return text, notes


def _without_sign_line(text: str) -> tuple[str, str]:
    """The list without blank lines and a line that only names the sign between columns above it, and that sign.

    >>> _without_sign_line("sep=;\\nname\\n")
    ('name\\n', ';')
    """
    text = text.lstrip("\n\r")
    if found := _SIGN_LINE.match(text):
        return text[found.end() :], found[1]
    return text, _sign(text)


def _place_unheaded(cells: list[str], column: str | None) -> int:
    """The column that a person means by its number, of a list without headings."""
    if column is None and len(cells) == 1:
        return 0
    if column is not None and column.isdecimal() and len(column) < 6 and 1 <= int(column) <= len(cells):
        return int(column) - 1
    raise refuse("column", f"say which column holds the names: write --column and its number, 1 to {len(cells)}")


def _sign(text: str) -> str:
    """The sign between columns: the one most often outside of quotes in the line of headings."""
    counts: Counter[str] = Counter()
    quoted = False
    for letter in text:
        if letter == '"':
            quoted = not quoted
        elif letter in "\r\n" and not quoted:
            break
        elif letter in SIGNS and not quoted:
            counts[letter] += 1
    return max(SIGNS, key=lambda sign: (counts[sign], -SIGNS.index(sign)))


def _place(headings: list[str], column: str | None) -> int:
    first = [f'"{brief(heading, 30)}"' for heading in headings[:20]]
    there = listing([*first, "another"] if len(headings) > 20 else first, "or")
    if column is None:
        named = [place for place, heading in enumerate(headings) if heading]
        if len(named) == 1:
            return named[0]
        if len(set(first)) < len(first):
            raise refuse("column", "two columns have the same heading: give each column another heading")
        raise refuse("column", f"say which column holds the names: write --column and {there}")
    wanted = " ".join(column.split())
    for same in (str, str.casefold):
        found = [place for place, heading in enumerate(headings) if same(heading) == same(wanted)]
        if len(found) == 1:
            return found[0]
        if len(found) > 1:
            says = f'{len(found)} columns are headed "{brief(column, 30)}": give each column another heading'
            raise refuse("column", says)
    raise refuse("column", f'there is no column "{brief(column, 30)}" in this list: write --column and {there}')


def csv_bytes(headings: list[str], rows: list[list[str]], sign: str) -> bytes:
    """A table for spreadsheets: marked as UTF-8, no cell that a spreadsheet would take for a formula.

    >>> csv_bytes(["a"], [["=1+1"], ["b, c"]], ",").decode("utf-8-sig").splitlines()
    ['a', "'=1+1", '"b, c"']
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=sign)
    writer.writerow(headings)
    for row in rows:
        writer.writerow([f"'{cell}" if cell.startswith(_FORMULA) and not _number(cell) else cell for cell in row])
    return out.getvalue().encode("utf-8-sig")


def _number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
