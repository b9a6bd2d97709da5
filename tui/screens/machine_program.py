"""What the marking program can do and calls its fields, and the laser, lens and eyewear: once per machine."""

from typing import TYPE_CHECKING, Final

from tui.screens.machine_pages import Answer, Bench, Cell, Page, Reader, Row, now

if TYPE_CHECKING:
    from rotary.machine.record import MachineRecord

TAKE: Final = "take"
LASER, EYEWEAR, BOTH = "laser and lens", "eyewear, other lasers", "all of these"
TAKEN: Final = "Choose what Ctrl+S copies from this job into the machine. Examples are never copied."
NO_LABEL: Final = "-"
"""What is typed in place of a label to take it out."""


class ProgramPage(Page):
    """Four questions about the program, its own names for what is typed, and what is taken from the job."""

    name = deed = "program"
    keeps = "save for this machine"
    about = (
        "Answer once for each machine what your marking program can do: plans for this machine then suit your program. "
        "To find out, look for such settings in your program, then run it with the beam off and watch the rotary. "
        "Where you give no answer, rotary assumes yes. Only for the start angle it assumes no.",
        "If your program can't pause, the plan keeps the wall cool without pauses. If it can't mark a slice at two "
        "settings, you get no last pass on rollers, and on a chuck the last pass comes after all slices. If it can't "
        "mark a slice several times, on rollers you import a file for each slice, and on a chuck you run the file all "
        "round once for each pass.",
        "Beside each row type the word that your program uses for it. The setup sheet then shows this word in "
        "brackets. Type a single - to remove a word.",
        "You can copy laser, lens, eyewear and other lasers from this job into the machine. Examples are never copied.",
    )

    def rows(self, bench: Bench) -> list[Row]:
        """The questions, the names, what to take."""
        from rotary.actions.verdict import questions_open
        from rotary.machine.equipment import ANSWERS, FACTS, LABEL, LEAST_PAUSE, answer_text
        from rotary.machine.words import row_text
        from rotary.program import ROW_IDS

        program = bench.machine.program
        asked = questions_open(bench.made) if bench.made is not None else ()
        rows = list[Row]()
        for title, is_asked in (("Your plan depends on", True), ("What your program can do", False)):
            facts = {key: fact for key, fact in FACTS.items() if (fact[0] in asked) is is_asked}
            rows += [Row(title)] if facts else []
            for key, (field, question) in facts.items():
                first = answer_text(getattr(program, field))
                choices = tuple(dict.fromkeys((first, *ANSWERS)))
                cell = Cell(key, f"{question} Choose the answer with Left and Right.", None, choices, "", 16)
                rows.append(Row(key.replace("-", " "), (cell,)))
                if key == "pause":
                    about, least = "The shortest pause that your program can make.", f"{program.least_pause_s:g} s"
                    rows.append(Row("shortest pause", (Cell(LEAST_PAUSE, about, None, (), least),)))
        rows.append(Row("Copy from this job"))
        take = Cell(TAKE, TAKEN, None, ("nothing", LASER, EYEWEAR, BOTH), "", 24)
        rows.append(Row("copy", (take,)))
        rows.append(Row("What your program calls each row"))
        for row in ROW_IDS:
            about = f"Type the word that your program uses for this. Type {NO_LABEL} to remove the word."
            cell = Cell(LABEL + row, about, None, (), program.labels.get(row, ""), 30)
            rows.append(Row(row_text(row), (cell,)))
        return rows

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """What the machine's file then holds."""
        from rotary.errors import Refused
        from rotary.machine.words import equipment_lines

        try:
            after = _after(bench, bench.machine, reader)
        except Refused as refused:
            for fault in refused.faults:
                where = TAKE if fault.where in ("laser", "shop", "from") else fault.where
                reader.faults.setdefault(where, f"{fault.says[:1].upper()}{fault.says[1:]}.")
            return Answer((("bad", "Nothing is saved until you correct this."),), reader.faults)
        before = equipment_lines(bench.machine)
        lines = [("plain" if line in before else "strong", line) for line in equipment_lines(after)]
        head = f'Plans for the machine "{after.name}" use this:'
        return Answer((("muted", head), *lines), reader.faults, after != bench.machine)

    def keep(self, bench: Bench, reader: Reader) -> str:
        """Put it into the machine's file as it stands now."""
        from rotary.errors import refuse
        from rotary.machine.store import change_machine

        def change(before: "MachineRecord") -> "MachineRecord":
            after = _after(bench, before, reader)
            if after == before:
                raise refuse("program", "there is nothing to save yet: change an answer or a word first.")
            return after

        after, _ = change_machine(bench.machine.name, bench.folder, change)
        return f"saved for the machine {after.name}"

    def done_with(self, bench: Bench) -> tuple[str, ...]:
        """All of it stands in the file now."""
        return tuple(cell.key for row in self.rows(bench) for cell in row.cells)


def _after(bench: Bench, machine: "MachineRecord", reader: Reader) -> "MachineRecord":
    """The machine with what stands in the fields; raises Refused where something there can't be used."""
    from rotary.errors import refuse
    from rotary.machine.equipment import equipment_of, program_with, with_laser_of, with_shop_of

    texts = {key: text for key in reader.texts if key != TAKE and (text := reader.text(key))}
    program = program_with(
        machine.program, {key: "" if text == NO_LABEL else text for key, text in texts.items()}, "mm"
    )
    machine = machine.model_copy(update={"program": program})
    take = reader.text(TAKE)
    if take in (LASER, EYEWEAR, BOTH) and bench.job is None:
        raise refuse(TAKE, bench.trouble)
    if bench.job is not None and take == LASER:
        machine = with_laser_of(machine, bench.job, now())
    elif bench.job is not None and take == EYEWEAR:
        machine = with_shop_of(machine, bench.job)
    elif bench.job is not None and take == BOTH:
        # What is an example's, or not there, stays where it is.
        machine, _ = equipment_of(bench.job, machine, now())
    return machine
