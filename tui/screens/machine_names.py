"""All machines by name: choose one for the job, begin a new one, give one another name."""

from rotary.errors import RotaryError, refuse
from tui.screens.machine_pages import Answer, Bench, Cell, Page, Reader, Row, readings_text

NONE = "none"
"""What is chosen where a job is planned with its own figures."""

ONE_THING = 'Do one thing at a time: empty the field "new machine" or the field "new name".'


class NamesPage(Page):
    """Which machine the job on the desk goes by."""

    name = "machines"
    keeps = "use, add or rename"
    about = (
        "A machine here is a laser with its lens and a rotary, and all that you measured on them. Add one machine for "
        "each pair of laser and rotary that you use together.",
        "Choose the machine for this job, then press Ctrl+S: the plan uses this machine at once. Without a "
        "machine the plan uses only what you typed in the job. Your choice is saved with the job.",
        'To add a machine without readings, type its name under "new machine". To rename the chosen machine, type a '
        'name under "new name". Jobs that you saved with the old name still find the machine, so no other machine can '
        "get the old name.",
    )

    def rows(self, bench: Bench) -> list[Row]:
        """What is chosen, a new one, another name."""
        return [
            Row(
                "job's machine",
                (
                    Cell(
                        "choose",
                        "Choose a machine with Left and Right, then press Ctrl+S to use it for this job.",
                        None,
                        choices(bench),
                        "",
                        30,
                    ),
                ),
            ),
            Row(
                "new machine",
                (
                    Cell(
                        "new",
                        'Type a name, like "boathouse laser". Ctrl+S then adds this machine.',
                        None,
                        (),
                        "",
                        30,
                    ),
                ),
            ),
            Row(
                "new name",
                (
                    Cell(
                        "rename",
                        "Type a new name for the machine chosen above. Ctrl+S renames it.",
                        None,
                        (),
                        "",
                        30,
                    ),
                ),
            ),
        ]

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """Every machine with how much was read there."""
        from rotary.machine.lookup import machine_summary
        from rotary.machine.store import load_machine

        item = bench.job.item.name if bench.job is not None else ""
        lines = [("strong", f"This job uses {f'the machine {bench.named}' if bench.named else 'no machine'}.")]
        for name in bench.names:
            try:
                machine = load_machine(name, bench.folder)
            except RotaryError as trouble:
                lines.append(("bad", f"{name}: {str(trouble).splitlines()[0]}"))
                continue
            newest = max((f", the newest from {r.at.date().isoformat()}" for r in machine.readings), default="")
            lines.append(("plain", f"{name}: {readings_text(len(machine.readings))}{newest}"))
            lines += [("warn", f"    {says}") for says in machine_summary(machine, item)[1:]]
        if not bench.names:
            lines.append(
                (
                    "muted",
                    'You have no machine yet. Type a name under "new machine". Or save a reading on another page: '
                    f'rotary then names the machine "{bench.machine.name}".',
                )
            )
        if reader.text("new") and reader.text("rename"):
            reader.faults["rename"] = ONE_THING
        return Answer(tuple(lines), reader.faults, not reader.faults)

    def keep(self, bench: Bench, reader: Reader) -> str:
        """Begin, rename or choose; the answer is followed by the name that the job goes by."""
        from rotary.machine.lookup import add_machine, rename_machine

        new, other, chosen = reader.text("new"), reader.text("rename"), chosen_of(bench, reader)
        if new and other:
            raise refuse("rename", ONE_THING)
        if new:
            add_machine(new, bench.folder)
            return f"machine {new} added: this job now uses it"
        if other:
            if not chosen:
                raise refuse("rename", "first choose the machine to rename.")
            rename_machine(chosen, other, bench.folder)
            return f"machine {chosen} is now called {other}"
        return f"this job uses {chosen}" if chosen else "this job uses no machine, only what you typed in it"

    def name_after(self, bench: Bench, reader: Reader) -> str:
        """The machine that the job goes by once that was done."""
        chosen, new, other = chosen_of(bench, reader), reader.text("new"), reader.text("rename")
        return new or (other if other and chosen else chosen)


def choices(bench: Bench) -> tuple[str, ...]:
    """What the choice goes through: the job's own first."""
    first = bench.named or NONE
    return tuple(dict.fromkeys((first, *bench.names, NONE)))


def chosen_of(bench: Bench, reader: Reader) -> str:
    """The name that is chosen; nothing for none."""
    chosen = reader.text("choose") or choices(bench)[0]
    return "" if chosen == NONE else chosen
