"""The files that a person gives to be simulated: one sheet, or a folder of slices or zones, as outlines or as dots."""

from pathlib import Path

from rotary.artwork.sets import not_whole
from rotary.errors import FileTrouble, brief
from rotary.files import is_folder
from rotary.sheet.dots_reread import dot_mm, drawing_from_dots
from rotary.sheet.reread import SheetDrawing, drawing_from_file
from rotary.simulate.description import description


def sheets_of(path: Path) -> tuple[list[list[SheetDrawing]], float]:
    """The drawings of each sheet: of the file itself, or of all sheets and slices in a folder, zone by zone; and
    how large the dots of its files are, 0 where they are outlines."""
    if is_folder(path) and (note := not_whole(path)):
        raise FileTrouble(f"the files in {brief(path, 80)} are not complete (see {note} there): write them again")
    files = [[path]] if not is_folder(path) else _outlines_in(path) or _dots_in(path)
    if not files:
        raise FileTrouble(
            f"{brief(path, 80)} holds no SVG or PNG file from rotary: name a file that rotary wrote, or the folder of "
            "its slices"
        )
    dots = files[0][0].suffix.lower() == ".png"
    read = drawing_from_dots if dots else drawing_from_file
    sheets = [[read(one) for one in together] for together in files]
    zones = [description(sheet[0], 0.0).zone_mm for sheet in sheets]
    if len(sheets) > 1 and (None in zones or len(set(zones)) < len(zones)):
        raise FileTrouble(
            f"{brief(path, 80)} holds several sliced files: name one of these files, or a folder with only one file"
        )
    return sheets, dot_mm(sheets[0][0]) if dots else 0.0


def _outlines_in(folder: Path) -> list[list[Path]]:
    slices = [sorted(place.glob("*-slice-*.svg")) for place in (folder, *sorted(folder.glob("zone-*")))]
    stems = {one.name.rpartition("-slice-")[0] for files in slices for one in files}
    if len(stems) > 1:
        raise FileTrouble(
            f"{brief(folder, 80)} holds slices of {' and '.join(sorted(stems)[:3])}: name a folder with slices of "
            "one drawing"
        )
    return [files for files in slices if files] or _each(folder, "*-sliced.svg", "*-sheet.svg", "*-flat.svg")


def _dots_in(folder: Path) -> list[list[Path]]:
    zones: dict[str, list[Path]] = {}
    for one in sorted(folder.glob("*-slice-*.png")):
        zones.setdefault(one.name.rpartition("-slice-")[0], []).append(one)
    return list(zones.values()) or _each(folder, "*-sliced.png", "*-raster.png", "*-flat.png")


def _each(folder: Path, *names: str) -> list[list[Path]]:
    return [[one] for name in names for one in sorted(folder.glob(name))]
