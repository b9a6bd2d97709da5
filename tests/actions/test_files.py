"""What is imported: every file by its name, and sizes with the digits that anybody can check on a screen."""

from rotary.actions.files import FileFacts, file_rows, import_rows, page_row
from rotary.actions.models import Files
from rotary.artwork.models import PieceSize
from tests.actions.cases import plan_of


def facts(files: Files) -> FileFacts:
    return FileFacts(files, 1, 12.3456, 7.8912, 0.0)


def test_each_face_has_its_file_once_the_first_before_the_others() -> None:
    """A nut with words on three flats: three files to import, numbered as they come; words without a file say so."""
    names = ("nut-flat-01.svg", "nut-flat-02.svg", "nut-flat-03.svg")
    rows = file_rows(facts(Files(whole=names[0], faces=names)))
    assert [(row.id, row.value) for row in rows] == list(zip(("file", "file_2", "file_3"), names, strict=True))
    tried = file_rows(facts(Files(first=names[1], whole=names[0], faces=names)))
    assert [row.value for row in tried] == [names[1], names[0], names[2]]


def test_sizes_are_told_as_they_can_be_checked() -> None:
    """The page in whole micrometres, as the file states it; artwork to 0.01 mm, finer than anything is marked."""
    made = plan_of("chuck, straight")
    piece = PieceSize(name="oars", marked_mm=(12.3456, 7.8912), drawn_mm=(10.0, 6.0), factors=(1.23456, 1.3152))
    made = made.model_copy(update={"layout": made.layout.model_copy(update={"pieces": (piece,)})})
    row = next(one for one in import_rows(made, facts(Files())) if one.id == "artwork_size_1")
    assert (row.value, row.high, row.factor, row.unit) == (12.35, 7.89, 1.2346, "mm")
    page = page_row("page_size", facts(Files()))
    assert (page.value, page.high, page.unit) == (12.346, 7.891, "mm")
