"""The sliced file as DXF, for programs that open no SVG."""

from collections.abc import Sequence
from pathlib import Path, PurePosixPath

from rotary.artwork.dxf_write import dxf_bytes
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import Rings
from rotary.artwork.sets import write_set
from rotary.plan import Plan
from rotary.sheet import Sheet, SheetWish, sheet, with_note
from rotary.sheet.reread import drawing_from_text


def dxf_sheet(
    made: Plan,
    rings: Rings,
    folder: Path,
    wish: SheetWish | None = None,
    sources: Sequence[Path] = (),
    over: bool = False,
) -> tuple[Sheet, tuple[Path, ...]]:
    """As `written.slice_sheet`, in DXF: the same sheet and the same whole micrometres, a layer for each slice.

    Raises Refused or FileTrouble; then nothing is written.
    """
    job = made.job
    drawn, texts = sheet(wish or SheetWish(), rings, made)
    files: dict[str, bytes] = {}
    names: dict[str, str] = {}
    for name, text in texts.items():
        page = drawing_from_text(text, name)
        names[name] = str(PurePosixPath(name).with_suffix(".dxf"))
        files[names[name]] = dxf_bytes(page.parts, page.width_mm, page.height_mm, page.about)
    wrote = write_set(folder, file_stem(job.artwork.name), files, sources, over, job.item.name)
    return with_note(drawn.renamed(names), wrote.instead), wrote.paths
