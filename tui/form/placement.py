"""Chosen artwork put into the job's fields. No terminal in here."""

from math import floor
from pathlib import Path
from typing import Final

from tui.form.fields import row_and_column
from tui.form.job_form import Session

PIECES: Final = "artwork.pieces"
SIDES: Final = ("width", "height")


def piece_at(session: Session, key: str) -> int | None:
    """The number of the piece that a field belongs to; None where it belongs to none."""
    table = session.tables[PIECES]
    place = row_and_column(key, table)
    if place is None and key.startswith(f"{PIECES}.") and key.rpartition(".")[2].isdigit():
        return int(key.rpartition(".")[2])
    return place[0] if place and place[0] < session.rows(table) else None


def piece_file(session: Session, number: int | None, folder: Path) -> Path | None:
    """The file of a piece, where it has one."""
    text = "" if number is None else session.text(f"{PIECES}.{number}.file")
    return folder / text if text else None


def shown_name(path: Path, folder: Path) -> str:
    """How a job names a file: shortly where it lies beside the job or below, else in full.

    >>> shown_name(Path("/jobs/art/crest.svg"), Path("/jobs"))
    'art/crest.svg'
    """
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else str(path)


def put_piece(session: Session, kind: str, name: str, number: int | None, size_mm: tuple[float, float] | None) -> int:
    """Name a drawing or a text as a piece, as one change that can be undone; the number of the piece.

    `size_mm` is the drawing's own where its file states one. It becomes the frame of a job that has none yet; a
    second drawing gets it as its width, because filling the frame it would lie on the first. Artwork that has no
    place yet goes half way up the item.
    """
    table = session.tables[PIECES]
    rows = session.rows(table)
    at = rows if number is None else number
    texts = {f"{PIECES}.#": str(max(rows, at + 1))}
    other = {"drawing": "text", "text": "file"}[kind]
    texts[f"{PIECES}.{at}.{'file' if kind == 'drawing' else 'text'}"] = name
    texts[f"{PIECES}.{at}.{other}"] = ""
    if size_mm is not None and kind == "drawing":
        texts |= frame_texts(session, size_mm)
        if number is None and rows and not session.text(f"{PIECES}.{at}.width"):
            frame = session.value("artwork.width") or size_mm[0]
            texts[f"{PIECES}.{at}.width"] = _text(session, min(size_mm[0], frame / 2))
    if size_mm is not None and kind == "text" and not session.text(f"{PIECES}.{at}.width"):
        frame_mm = session.value("artwork.width"), session.value("artwork.height")
        if frame_mm[0] and frame_mm[1] and min(size_mm) > 0:
            # Letters of the usual height where they go into the frame, else as large as it takes them.
            scale = min(frame_mm[0] / size_mm[0], frame_mm[1] / size_mm[1])
            if scale < 1:
                texts[f"{PIECES}.{at}.width"] = _text(session, size_mm[0] * scale)
    if not session.text("artwork.centre") and (middle_mm := _half_way_up(session)) is not None:
        texts["artwork.centre"] = _text(session, middle_mm)
    session.edit_all(texts)
    return at


def first_drawing(session: Session) -> str:
    """The first drawing that the pieces name; empty where there is none."""
    rows = session.rows(session.tables[PIECES])
    return next((text for row in range(rows) if (text := session.text(f"{PIECES}.{row}.file").strip())), "")


def frame(session: Session) -> list[str]:
    """What stands as width and height of the artwork."""
    return [session.text(f"artwork.{side}").strip() for side in SIDES]


def frame_texts(session: Session, size_mm: tuple[float, float]) -> dict[str, str]:
    """What goes into width and height where they are empty: a drawing's own size, in its proportions to what is typed.

    >>> frame_texts(Session({"artwork": {"width": "40 mm"}}), (20.0, 10.0))
    {'artwork.height': '20 mm'}
    """
    typed = [session.value(f"artwork.{side}") for side in SIDES]
    factor = next((value / own for value, own in zip(typed, size_mm, strict=True) if value), 1.0)
    sides = zip(SIDES, size_mm, strict=True)
    return {f"artwork.{s}": _text(session, own * factor) for s, own in sides if not session.text(f"artwork.{s}")}


def _half_way_up(session: Session) -> float | None:
    """The middle of the item's height, as far as that is typed; there artwork goes that has no place yet."""
    measurements = session.tables["item.measurements"]
    heights = [session.value(f"item.measurements.{row}.at") for row in range(session.rows(measurements))]
    length_mm = session.value("item.length") or max((at for at in heights if at is not None), default=0.0)
    return length_mm / 2 if length_mm > 0 else None


def _text(session: Session, mm: float) -> str:
    from rotary.units import text_from_value

    return text_from_value(floor(mm * 100) / 100, "mm", session.system, digits=4)
