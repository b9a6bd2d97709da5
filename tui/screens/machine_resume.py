"""An item taken off or a stopped job, on the screen: how it sits now, what is left to mark, the files for that."""

from pathlib import Path
from typing import TYPE_CHECKING

from rotary.errors import Refused, refuse
from rotary.files import named_path
from rotary.services.machines import record_change
from tui.screens.machine_pages import NO_PLAN, READ_TO, Answer, Bench, Cell, Page, Reader, Row, by_field, ends

if TYPE_CHECKING:
    from rotary.artwork.rings import Rings
    from rotary.machine.resume import Remainder

TICKS = ("foot_right", "foot_up", "rim_right", "rim_up")


class ResumePage(Page):
    """Pointer readings of the two witness ticks: turned, moved, askew; what is left, and its files."""

    name = "after a stop"
    keeps = "save re-mounting"
    writes = "write remaining files"
    about = (
        "Before the first pass draw two witness crosses with a pen, on tape beyond the artwork, under the pointer on "
        "the field's middle line along the item. The answer says at which heights. Leave the tape on until the job is "
        "done.",
        "If you took the item out or it slipped, put it back with the crosses on top. Measure with the pointer how far "
        "right of its old place each cross is now, seen with the rim (end 2) away from you, and how far each has moved "
        "towards the rim.",
        'Under "marked already" type the slices that you ticked on the sheet. If you had begun a slice, also type how '
        "many passes it has: 1-9, 10=4 means that slices 1 to 9 are done, and slice 10 has 4 passes. On a coating also "
        "type how many passes each slice needs, as you counted them on the second slice.",
        "F5 writes the sheet and, if there is artwork, a file for each slice that is left, drawn for the item as it "
        "sits now. Ctrl+S saves that you re-mounted the item. Then measure the item's level again.",
        "Wear eyewear marked for your laser, switch the extraction on, keep hands and sleeves clear of turning parts, "
        "as for a first start. Follow local rules and licensed experts first.",
    )

    def rows(self, bench: Bench) -> list[Row]:
        """Two ticks with two readings each, what was done, the artwork."""
        (base_name, base), (rim_name, rim) = ends(bench)
        at_base, at_rim = f"cross at {base_name}", f"cross at {rim_name}"
        right = f"How far right of its old place this cross is now (- left), seen with {rim} away from you."
        up = f"How far this cross has moved towards {rim}, - if towards {base}."
        art = "Type the file of the drawing to mark. Leave it empty for the artwork of this job."
        return [
            Row(" " * 20 + f"{'to the right':<13}to {rim}"),
            Row(
                at_base,
                (Cell("foot_right", right, "mm"), Cell("foot_up", up, "mm", (), "0 mm")),
            ),
            Row(
                at_rim,
                (Cell("rim_right", right, "mm"), Cell("rim_up", up, "mm", (), "0 mm")),
            ),
            Row(
                "reading, ±",
                (Cell("u", READ_TO, "mm", (), "0.1 mm"),),
            ),
            Row(
                "marked already",
                (
                    Cell(
                        "done",
                        "Type what you marked: 1-9, 10=4 means that slices 1 to 9 are done, and slice 10 has 4 passes.",
                        None,
                        (),
                        "nothing",
                        30,
                    ),
                ),
            ),
            Row(
                "passes per slice",
                (
                    Cell(
                        "passes",
                        "On a coating: how many passes each slice needs, as you counted them on the second slice.",
                        None,
                        (),
                        "____",
                    ),
                ),
            ),
            Row("drawing", (Cell("art", art, None, (), _pieces_text(bench), 30),)),
            Row("or words", (Cell("words", "Type the words to mark, if this job has no drawing.", None, (), "", 30),)),
            Row(
                "folder",
                (
                    Cell(
                        "folder",
                        "The folder that F5 writes the sheet and the files into.",
                        None,
                        (),
                        "what-is-left",
                        30,
                    ),
                ),
            ),
        ]

    def _left(self, bench: Bench, reader: Reader) -> "Remainder | None":
        from rotary.machine.resume import TickReadings, done_from_text, remainder

        if bench.made is None or not (reader.text("foot_right") and reader.text("rim_right")):
            for key in TICKS:
                reader.length(key)
            return None
        read = {f"{key}_mm": reader.length(key, 0.0) for key in TICKS}
        u = reader.length("u", 0.1)
        if u is not None and not 0.001 <= u <= 5:
            reader.faults["u"] = "This can be from 0.001 to 5 mm: type for example 0.1 mm."
        if reader.faults or u is None:
            return None
        places = {key: key for key in (*TICKS, "done", "passes")}
        try:
            readings = TickReadings(u_mm=u, **{k: v for k, v in read.items() if v is not None})
            done = done_from_text(reader.text("done"))
            return remainder(bench.made, readings, done, _count(reader.text("passes")), system=reader.system)
        except Refused as refused:
            reader.faults.update(by_field(refused, places, "foot_right"))
            return None

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """Where the ticks belong; then how the item sits, and the card of what is left."""
        if bench.made is None:
            return Answer((("bad", bench.trouble or NO_PLAN),))
        from rotary.machine.papers import resume_sections
        from rotary.machine.resume import witness_ticks
        from rotary.papers.text import section_lines

        left = self._left(bench, reader)
        says = witness_ticks(bench.made, reader.system).says
        if left is None:
            return Answer((("plain", says), ("plain", "Then type these four numbers.")), reader.faults)
        sections = resume_sections(bench.made, left)
        lines = [("plain", line) for section in sections for line in section_lines(section)]
        return Answer(tuple(lines), reader.faults, True)

    def keep(self, bench: Bench, reader: Reader) -> str:  # noqa: ARG002
        """The level of this item lapses."""
        record_change(bench.machine, "item", bench.folder)
        return f"re-mount saved for {bench.machine.name}: now measure the item's level again"

    def files(self, bench: Bench, reader: Reader) -> str:
        """Card and files of what is left."""
        from rotary.artwork.outfiles import MADE_BY
        from rotary.artwork.sets import write_all
        from rotary.machine.papers import resume_paper
        from rotary.machine.resume import remaining_files
        from rotary.papers.text import text_lines
        from rotary.services.files import write_drawings

        left = self._left(bench, reader)
        if left is None or bench.made is None or bench.how is None:
            raise refuse("ticks", "there is nothing to write yet: first type what you measured at both crosses.")
        place = named_path(reader.text("folder") or "what-is-left")
        rings, sizes = _ink(bench, reader)
        lines = [*text_lines(resume_paper(bench.made, left, reader.system)), *sizes, MADE_BY, ""]
        files = {place / "what-is-left.txt": "\n".join(lines).encode()}
        written: tuple[Path, ...] = ()
        if rings is not None:
            drawn = remaining_files(bench.made, rings, left, bench.how)
            sources = [named_path(reader.text("art"))] if reader.text("art") else []
            written = write_drawings(bench.made, drawn, place, sources).paths
        written += write_all(files)
        without = "" if rings is not None else " (only the sheet, because no artwork is named)"
        many = "1 file is" if len(written) == 1 else f"{len(written)} files are"
        return " ".join([*sizes, f"{many} now in the folder {place}{without}"])


def _count(text: str) -> int | None:
    """A number of passes as typed, None for nothing; raises Refused."""
    from rotary.wishes import MOST_PASSES

    if not text.strip():
        return None
    if not text.strip().isdecimal() or not 1 <= int(text) <= MOST_PASSES:
        raise refuse("passes", f"type a whole number from 1 to {MOST_PASSES}.")
    return int(text)


def _pieces_text(bench: Bench) -> str:
    if bench.job is not None and bench.job.is_inscribed:
        return "the words of the job"
    count = len(bench.job.artwork.pieces) if bench.job is not None else 0
    return f"{count} in the job" if count else "none in the job"


def _ink(bench: Bench, reader: Reader) -> "tuple[Rings | None, tuple[str, ...]]":
    """The ink of what is named here, else of the job, and how large it is; None where neither has any."""
    from rotary.inscription.actions import ink_of_marks
    from rotary.services.artwork import with_other_artwork

    made, file, words = bench.made, reader.text("art"), reader.text("words")
    if made is None:
        return None, ()
    if file or words:
        job = with_other_artwork(made.job, [named_path(file)] if file else [], [words] if words else [])
        made = made.model_copy(update={"job": job})
    return ink_of_marks(made, Path(), reader.system)
