"""Lists of names as spreadsheets and address books write them."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.errors import FileTrouble, Refused
from rotary.series.table import csv_bytes, table_from_bytes, table_from_file

NAMES = ["Ödön", "Zoë", "Ann, the elder", 'Bo "Otter"', "two\nlines", "Ωρύγιον"]


def written(names: list[str], sign: str, code: str, end: str) -> bytes:
    """A list with three columns, names in the middle one, as a spreadsheet saves it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=sign, lineterminator=end)
    writer.writerow(["no", "Rower's name", "boat"])
    for place, name in enumerate(names):
        writer.writerow([place, name, "Heron"])
    return out.getvalue().encode(code)


@pytest.mark.parametrize("end", ["\r\n", "\n"])
@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_every_usual_way_of_saving_gives_the_same_names(sign: str, code: str, end: str) -> None:
    """Comma, semicolon, tab or bar; marked or not; either line end; quotes, commas and line breaks in names."""
    table = table_from_bytes(written(NAMES, sign, code, end), "Rower's name")
    assert [row.name for row in table.rows] == NAMES
    assert (table.sign, table.notes) == (sign, ())


def test_old_western_files_are_read_and_spoken_of() -> None:
    """A list in code page 1252 keeps its accents, and the person is asked to look at them."""
    table = table_from_bytes(written(NAMES[:4], ";", "cp1252", "\r\n"), "Rower's name")
    assert [row.name for row in table.rows] == NAMES[:4]
    assert "1252" in table.notes[0]


@settings(deadline=None)
@given(
    st.lists(
        st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1).map(str.strip).filter(bool), min_size=1
    )
)
def test_any_name_survives_the_way_there_and_back(names: list[str]) -> None:
    """What our own table writes, our own reader reads, whatever the letters; formulas are made harmless."""
    back = table_from_bytes(csv_bytes(["name", "why"], [[name, "x"] for name in names], ","), "name")
    assert [row.name.removeprefix("'") for row in back.rows] == [name.removeprefix("'") for name in names]


@pytest.mark.parametrize("above", ["", "\n\n", "\r\n", "sep=;\n", "\n\nsep=;\r\n"])
def test_a_name_is_on_the_line_on_which_an_editor_shows_it(above: str) -> None:
    """Blank lines and a line that names the sign count, also where a line can't be read."""
    first = len(above.splitlines()) + 2
    assert [row.line for row in table_from_bytes(f"{above}name\nAnna\n\nBo\n".encode(), "name").rows] == [
        first,
        first + 2,
    ]
    with pytest.raises(Refused, match=f"line {first} can't be read: look"):
        table_from_bytes(f'{above}name\n"Anna" x\n'.encode(), "name")


@pytest.mark.parametrize("sign", ['"', "\r"])
def test_what_can_be_no_sign_between_columns_names_none(sign: str) -> None:
    """The quotation mark and the line's end stay what they are."""
    with pytest.raises(Refused, match="first line"):
        table_from_bytes(f"sep={sign}\nname\nAnna\n".encode(), None)


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "@x", "-x"])
def test_no_cell_is_a_formula(cell: str) -> None:
    """A name that a spreadsheet would work out is given as text; numbers stay numbers."""
    assert csv_bytes(["a"], [[cell], ["-1.5"]], ",").decode("utf-8-sig").splitlines()[1:] == [f"'{cell}", "-1.5"]


def test_a_wrong_column_is_refused_with_those_there_are() -> None:
    """The sentence lists the columns to choose from; capitals and blanks don't matter where it is clear."""
    data = written(NAMES, ",", "utf-8", "\n")
    with pytest.raises(
        Refused, match='no column "crew" in this list: write --column and "no", "Rower\'s name" or "boat"'
    ) as refused:
        table_from_bytes(data, "crew")
    assert refused.value.faults[0].where == "column"
    with pytest.raises(Refused, match="say which column"):
        table_from_bytes(data, None)
    assert table_from_bytes(data, " ROWER'S  name ").column == "Rower's name"
    assert [row.name for row in table_from_bytes(b"name\nAnna\n", None).rows] == ["Anna"]
    with pytest.raises(Refused, match="2 columns are headed"):
        table_from_bytes(b"name,name\na,b\n", "name")


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    """A name knows the line it ends on; empty lines count, but are no names; a short line has an empty name."""
    rows = table_from_bytes(b'boat,name\nx,"a\nb"\n\ny\nz,c\n', "name").rows
    assert [(row.line, row.name) for row in rows] == [(3, "a\nb"), (5, ""), (6, "c")]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf \n", "empty"),
        (b"name\n\n", "no names under them"),
        (b"PK\x03\x04...", "workbook"),
        (b"\xd0\xcf\x11\xe0...", "workbook"),
        (b"name\na\x00b\n", "not text"),
        (b'name\n"a\n', "can't be read"),
        (b"name\n" + b"a" * 200_000, "can't be read"),
        (b"\xff\xfen", "damaged"),
        (b"na\x81me\nx", "can't be read"),
    ],
)
def test_what_is_no_list_is_refused_in_one_sentence(data: bytes, says: str) -> None:
    """Empty files, workbooks, open quotes, wrong codes: one sentence each that says what to do."""
    with pytest.raises(Refused, match=says) as refused:
        table_from_bytes(data, "name")
    assert len(refused.value.faults) == 1


def test_a_list_without_headings_loses_no_name() -> None:
    """Where the first line could be either it is asked for; named or numbered, every name is there."""
    data = b"Ada Heron\nTern\n"
    with pytest.raises(Refused, match='"Ada Heron" in the first line may be a heading or a name: write --headings yes'):
        table_from_bytes(data, None)
    assert [row.name for row in table_from_bytes(data, None, "no").rows] == ["Ada Heron", "Tern"]
    assert [row.name for row in table_from_bytes(data, None, "yes").rows] == ["Tern"]
    assert [row.name for row in table_from_bytes(b"1;Ada\n2;Tern\n", "2", "no").rows] == ["Ada", "Tern"]
    with pytest.raises(Refused, match="write --column and its number, 1 to 2"):
        table_from_bytes(b"1;Ada\n2;Tern\n", "name", "no")
    table = table_from_bytes(b"sep=|\nname|seat\nAda|1\n", "name")
    assert (table.sign, [row.name for row in table.rows]) == ("|", ["Ada"])


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_are_a_list_or_a_sentence(data: bytes) -> None:
    """Nothing but a refusal comes of bytes that are no list."""
    try:
        rows = table_from_bytes(data, None).rows
    except Refused as refused:
        faults = refused.faults
    else:
        faults, rows = (), rows
        assert len(rows) > 0
    assert len(faults) <= 1


def test_files_that_can_not_be_read_are_told(tmp_path: Path) -> None:
    """A missing file and a folder have their own sentences."""
    with pytest.raises(FileTrouble, match="there is no"):
        table_from_file(tmp_path / "none.csv", None)
    with pytest.raises(FileTrouble, match="is a folder"):
        table_from_file(tmp_path, None)
