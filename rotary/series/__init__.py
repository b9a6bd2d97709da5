"""A list of names, one artwork each with a fixed crest, on items that are all alike: all files and one table.

::

      crest (the same on all)       names.csv            folder
         \\   /                      name                 names.csv   misfits first
          \\ /      +               Heron         ->     001-heron-sliced.svg
         HERON                      Kingfisher           002-kingfisher-sliced.svg
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.artwork.drawing import Drawing
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import NO_INK, Rings, area_mm2, bounds_mm, joined, moved, scaled
from rotary.errors import Refused, brief, refuse
from rotary.files import write_whole
from rotary.plan import Plan
from rotary.series import results
from rotary.series.models import Series, SeriesWish, SheetEntry
from rotary.series.table import NameTable, Row, table_from_file
from rotary.sheet import SheetWish

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry  # type: ignore[import-untyped, unused-ignore]

__all__ = ["Series", "SeriesWish", "series"]

Progress = Callable[[float], None]

TAIL_SHARE: Final = 0.4  # how far letters reach below their line, over the height of a capital (estimate)


class _Set(NamedTuple):
    """A name as set: its ink, the height of its letters, its width [mm]."""

    ink: Rings
    letter_height_mm: float
    width_mm: float


def series(
    made: Plan,
    table: Path,
    folder: Path,
    wish: SeriesWish | None = None,
    crest: Rings | None = None,
    progress: Progress | None = None,
) -> tuple[Series, tuple[Path, ...]]:
    """Write a sheet for each name of a list into `folder`, which must be new or empty; the series and the paths.

    `crest` lies with the artwork's middle at (0, 0) at the wanted size. Names that don't fit are told first, and
    nothing is written for them. The folder appears when all is in it: an error, and whatever `progress` raises to
    stop the work, leaves nothing behind. Raises Refused where the list can't be read or no name fits, FileTrouble.
    """
    asked, tell = wish or SeriesWish(), progress or (lambda _: None)
    names = table_from_file(table, asked.column, asked.headings)
    results.refuse_full(folder, "series")
    work = _Work(made, asked, NO_INK if crest is None else crest, len(names.rows))
    with results.whole_folder(folder, "series") as beside:
        entries = []
        for place, row in enumerate(names.rows):
            entries.append(work.entry(place + 1, row, beside))
            tell((place + 1) / len(names.rows))
        notes = (
            *results.first_notes(work.tried_on, made.removal, made.job.turning.kind == "rollers"),
            *results.list_time(made, entries),
        )
        found = _series(entries, names, notes)
        if found.misfits == len(entries):
            why = found.entries[0]
            raise refuse(
                "table", f'no name of the list can be marked. Line {why.line}, "{brief(why.name, 30)}": {why.why}'
            )
        write_whole(beside / results.TABLE, _table(found, names))
    files = [results.TABLE, *(name for entry in found.entries for name in entry.files)]
    return found, tuple(folder / name for name in files)


class _Work:
    """What all names share."""

    def __init__(self, made: Plan, wish: SeriesWish, crest: Rings, count: int) -> None:
        art = made.job.artwork
        self.made, self.wish, self.crest = made, wish, crest
        self.digits = results.digits_for(count)
        self.room_mm = min(wish.room_mm or art.width_mm, art.width_mm - 2 * abs(wish.u_mm))
        if self.room_mm <= 0:
            raise refuse(
                "u",
                f"{wish.u_mm:g} mm off the middle is outside the artwork, which is {art.width_mm:g} mm wide: write "
                "less",
            )
        self.v_mm = wish.v_mm
        if self.v_mm is None:
            has_crest = len(crest.points_mm) > 0
            self.v_mm = (0.5 + TAIL_SHARE) * wish.letter_height_mm - art.height_mm / 2 if has_crest else 0.0
        self.crest_shape = self._shape(crest) if len(crest.points_mm) else None
        self.tried_on: tuple[str, ...] = ()

    @staticmethod
    def _shape(rings: Rings) -> "BaseGeometry":
        import shapely  # type: ignore[import-untyped, unused-ignore]

        from rotary.artwork.rings import shapely_from_rings

        shape = shapely_from_rings(rings)
        shapely.prepare(shape)
        return shape

    def entry(self, number: int, row: Row, folder: Path) -> SheetEntry:
        """Set and write one name; a misfit is told instead."""
        try:
            fitted = self._set(row.name)
            files, marking_s, start = self._write(number, row.name, joined([self.crest, fitted.ink]), folder)
        except Refused as refused:
            return SheetEntry(line=row.line, name=row.name, state="misfit", why=results.why_not(refused, "table"))
        smaller = fitted.letter_height_mm < self.wish.letter_height_mm * (1 - 1e-9)
        return SheetEntry(
            line=row.line,
            name=row.name,
            state="smaller" if smaller else "fits",
            why=f"letters are smaller to fit: {fitted.letter_height_mm:.2f} mm high" if smaller else "",
            letter_height_mm=fitted.letter_height_mm,
            width_mm=fitted.width_mm,
            ink_mm2=area_mm2(fitted.ink) + area_mm2(self.crest),
            marking_s=marking_s,
            start_deg=start,
            files=files,
        )

    def _set(self, name: str) -> _Set:
        wish = self.wish
        if not name.strip():
            raise refuse("table", results.NO_NAME)
        if len(name) > 500:
            raise refuse("table", "the name is longer than 500 letters: write a shorter name")
        drawn = self._drawn(name)
        left, _, right, _ = bounds_mm(drawn.ink)
        share = min(1.0, self.room_mm / (right - left))
        if share < wish.least_share:
            least = (right - left) * wish.least_share
            raise refuse(
                "table",
                f"even in the smallest letters the name is {least:.1f} mm wide, and only {self.room_mm:.1f} mm fit: "
                "shorten the name, write it on two lines, or allow smaller letters (--least)",
            )
        # Letters stand on one line whatever their tails: the height of capitals is centred, not that of the ink.
        ink = moved(drawn.ink, -(left + right) / 2, -self._line_mm(drawn, name))
        ink = moved(scaled(ink, share, share), wish.u_mm, self.v_mm or 0.0)
        if self.crest_shape is not None:
            import shapely

            if shapely.intersects(self.crest_shape, self._shape(ink)):
                raise refuse(
                    "table", "the name would lie on the artwork: move the names with --up, or write smaller letters"
                )
        return _Set(ink, wish.letter_height_mm * share, (right - left) * share)

    def _line_mm(self, drawn: Drawing, name: str) -> float:
        """Height of the middle of a name's capitals above the lower edge of its ink [mm]."""
        if "\n" in name or "\r" in name:
            return drawn.ink_height_mm / 2
        return drawn.below_mm + float(self.wish.letter_height_mm) / 2

    def _drawn(self, text: str) -> Drawing:
        """A text at the wanted height; raises Refused where the font lacks letters, or it has none."""
        from rotary.artwork.text import FIELD, Lettering, drawing_from_text

        wish = self.wish
        try:
            return drawing_from_text(
                Lettering(
                    text=text,
                    letter_height_mm=wish.letter_height_mm,
                    face=wish.face,
                    font=wish.font,
                    weight=wish.weight,
                    line_width_mm=wish.line_width_mm,
                )
            )
        except Refused as refused:
            raise refuse("table", results.why_not(refused, FIELD)) from None

    def _write(
        self, number: int, name: str, ink: Rings, folder: Path
    ) -> tuple[tuple[str, ...], float | None, float | None]:
        """The files of a name, the time of marking it once [s], the angle that it starts at [°]."""
        label = results.labelled(number, self.digits, file_stem(name))
        named = self.made.but(job=self.made.job.with_artwork(name=label))
        named, paths, marking_s = results.files_of(named, ink, folder, SheetWish(trial=not self.tried_on))
        self.tried_on = self.tried_on or results.files_to_try(named, paths)
        return tuple(path.name for path in paths), marking_s, results.start_deg(named)


def _series(entries: list[SheetEntry], names: NameTable, first: Sequence[str]) -> Series:
    ordered = sorted(entries, key=lambda entry: (entry.state != "misfit", entry.line))
    misfits = sum(entry.state == "misfit" for entry in entries)
    smaller = sum(entry.state == "smaller" for entry in entries)
    notes = [*first, *names.notes]
    if smaller:
        notes.append(f"{smaller} name{'s have' if smaller > 1 else ' has'} smaller letters than you asked for.")
    notes += results.twice_note([entry.name for entry in entries])
    return Series(entries=tuple(ordered), misfits=misfits, table=results.TABLE, notes=tuple(notes))


def _table(found: Series, names: NameTable) -> bytes:
    widths = [f"{entry.width_mm:.2f}" for entry in found.entries]
    return results.table_bytes(found.entries, names.sign, names.column or "name", {"width mm": widths})
