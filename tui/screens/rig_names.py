"""All rigs by name: choose one for the job, begin a new one, give one another name."""

from rotary.errors import RotaryError, refuse
from tui.screens.rig_pages import Bench, Cell, Page, Reader, Row, Told, readings_text

NONE = "none"
"""What is chosen where a job is planned with its own figures."""


class NamesPage(Page):
    """Which machine the job on the desk goes by."""

    name = "machines"
    keeps = "do it"
    about = (
        "A rig is one machine as measured: laser, lens, rotary and all that was read there. A shop with two lasers, or "
        "a rotary that moves between them, keeps a rig for each.",
        "‹ › chooses the rig that the job on the desk goes by; F6 takes it over, and the desk plans with it at once. "
        "With none the job's own figures stand. The choice is a field of the job and is kept with it.",
        "A name under new rig begins one of which nothing is known yet. Another name renames the one that is chosen; "
        "jobs and profiles that were kept with the old name still find it, so no new rig can have that name.",
    )

    def rows(self, bench: Bench) -> list[Row]:
        """What is chosen, a new one, another name."""
        return [
            Row("the job goes by", (Cell("choose", "‹ › change it, F6 takes it over.", None, choices(bench), "", 30),)),
            Row("new rig", (Cell("new", 'A name such as "boathouse laser"; F6 begins it.', None, (), "", 30),)),
            Row("other name", (Cell("rename", "For the rig that is chosen above; F6 does it.", None, (), "", 30),)),
        ]

    def told(self, bench: Bench, reader: Reader) -> Told:
        """Every rig with how much was read there."""
        from rotary.rig.machine import rig_summary
        from rotary.rig.store import load_rig

        item = bench.job.item.name if bench.job is not None else ""
        lines = [("strong", f"The job on the desk goes by: {bench.named or NONE}.")]
        for name in bench.names:
            try:
                rig = load_rig(name, bench.folder)
            except RotaryError as trouble:
                lines.append(("bad", f"{name}: {str(trouble).splitlines()[0]}"))
                continue
            newest = max((r.at.date().isoformat() for r in rig.readings), default="nothing read yet")
            lines.append(("plain", f"{name}: {readings_text(len(rig.readings))}, newest {newest}"))
            lines += [("warn", f"    {says}") for says in rig_summary(rig, item)[1:]]
        if not bench.names:
            lines.append(("muted", "None is kept yet. Type a name under new rig, or keep a reading on another page."))
        if reader.text("new") and reader.text("rename"):
            reader.faults["rename"] = "One thing at a time: begin a new rig, or rename one."
        return Told(tuple(lines), reader.faults, not reader.faults)

    def keep(self, bench: Bench, reader: Reader) -> str:
        """Begin, rename or choose; the answer is followed by the name that the job goes by."""
        from rotary.rig.machine import added, renamed

        new, other, chosen = reader.text("new"), reader.text("rename"), chosen_of(bench, reader)
        if new and other:
            raise refuse("rename", "one thing at a time: begin a new rig, or rename one.")
        if new:
            added(new, bench.folder)
            return f"rig {new} begun; the job goes by it"
        if other:
            if not chosen:
                raise refuse("rename", "choose the rig that is to be renamed first.")
            renamed(chosen, other, bench.folder)
            return f"rig {chosen} is now {other}"
        return f"the job goes by {chosen}" if chosen else "the job goes by its own figures, by no rig"

    def name_after(self, bench: Bench, reader: Reader) -> str:
        """The rig that the job goes by once that was done."""
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
