"""The first page of the rig's screen: what is known, what to mark and read, what matters; a reading typed as a line."""

import shlex
from collections.abc import Mapping, Sequence
from typing import Any, Final

from rotary.errors import Refused, refuse
from rotary.papers.sizes import Sizes
from rotary.services.planning import plan_for
from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.screens.rig_pages import NO_PLAN, Bench, readings_text, write_tapes

HOW: Final = (
    "Type a reading as its tape on the right says it, then Enter; or changed lens, strike 3, tape field (F1 explains "
    "them). F4 goes on to the joint strip and the other pages."
)


TABLES: Final = ("mm", "in", "mm, narrow", "in, narrow")

WHOLE_TABLE: Final = 75
"""Columns of the screen that the table of what matters takes as far as its shares of the fluence."""

TYPE: Final = "type:"
"""What goes before a line that is typed as it stands."""


class Shown:
    """What there is to show, as lines: the machine, the tapes, what matters."""

    def __init__(self, known: Sequence[str], tapes: Sequence[str], matters: Mapping[str, Sequence[str]]) -> None:
        self.known, self.tapes, self._matters = known, tapes, matters

    def known_in(self, system: str) -> list[str]:
        """What is known, with its lengths in the system that is shown."""
        return Sizes(system).texts(self.known)

    def tapes_in(self, system: str) -> list[str]:
        """The tapes; what is typed as it stands stays as it is."""
        sizes = Sizes(system)
        return [text if text.lstrip().startswith(TYPE) else sizes.text(text) for text in self.tapes]

    def matters_in(self, system: str, width: int) -> Sequence[str]:
        """The table of what matters, and what it says; where there is little room, what counts at the joints."""
        return self._matters.get(system if width >= WHOLE_TABLE else f"{system}, narrow", ())


class ReadingsPage:
    """Reads the rig, plans the job for it, and keeps readings, changes and strikes that are typed as a line."""

    name = "readings"
    about = (
        "On the left what is known of this machine, with its 95 % half width, and what has lapsed. On the right what "
        "to mark on paper tape, what to read and to which tenth; F5 turns to the table of what each input costs at the "
        "joints and in the fluence of the job on the desk, so that you measure the one that pays.",
        'Type a reading as its tape says it and press Enter: field axis=x drawn="140 mm" measured="139.6 mm". A '
        "reading that no machine can have made is refused in a sentence and what you typed stays.",
        "changed lens (or head, field, axis, rollers, drive, pointer, item) lapses what hangs on it. strike 3 takes "
        "reading 3 out. tape field writes the drawing of that tape at true size into the folder tapes, tape alone all.",
        "Paper masking tape, never vinyl: its fumes are poisonous. Eyewear for the wavelength, extraction on, hands "
        "clear of turning parts; tape can smoulder. Local codes and licensed practice decide.",
    )

    def known_lines(self, shown: Shown, width: int, system: str = "mm") -> list[Line]:
        """What is known of the machine."""
        lines = wrapped(HOW, width - 2, "muted", " ")
        lines.append([])
        for text in shown.known_in(system):
            ink = "bad" if text.lstrip().startswith("!") else "plain"
            lines += wrapped(text, width - 2, ink, " ")
        return lines

    def other_lines(self, shown: Shown, matters: bool, width: int, system: str = "mm") -> list[Line]:
        """The tapes, or what matters most."""
        lines: list[Line] = []
        for text in shown.matters_in(system, width) if matters else shown.tapes_in(system):
            if matters and not text.endswith("."):
                lines.append([Run(f" {text}"[:width])])
            else:
                lines += wrapped(text, width - 2, "strong" if not text.startswith(" ") else "plain", " ")
        return lines

    def all(self, data: dict[str, Any], system: str, name: str, named: str | None = None) -> tuple[Bench, Shown, str]:
        """Everything about a rig; tapes and table for the job on the desk, where it can be planned."""
        from rotary.job import job_from_data
        from rotary.rig.correct import corrected, correction, seam_material
        from rotary.rig.machine import rig_names
        from rotary.rig.matters import matters, matters_lines
        from rotary.rig.record import known
        from rotary.rig.store import FIRST_RIG, load_rig, rig_folder
        from rotary.rig.tapes import tapes
        from rotary.rig.words import rig_lines

        folder = rig_folder()
        rig = load_rig(name or FIRST_RIG, folder)
        names, said = tuple(rig_names(folder)), readings_text(len(rig.readings))
        named = name if named is None else named
        try:
            job = job_from_data(data, units=system)
            # As the desk and the card plan it: another setting would have another focal plane.
            made = plan_for(corrected(job, rig))
        except Refused as refused:
            why = NO_PLAN
            trouble = f"{NO_PLAN} {refused.faults[0]}." if refused.faults else why
            bench = Bench(None, rig, folder, None, None, known(rig), names, named, trouble)
            return bench, Shown(rig_lines(rig, None), [why], dict.fromkeys(TABLES, (why,))), said
        item = job.item.name
        steps: list[str] = []
        for tape in tapes(made).values():
            steps += [tape.name, *(f"  {step}" for step in tape.instructions[-2:])]
            steps += [f"  {TYPE} {tape.reading}"] if tape.reading else []
        found = matters(made)
        table = {one: matters_lines(found, one[:2], narrow=len(one) > 2) for one in TABLES}
        bench = Bench(job, rig, folder, made, correction(job, rig), known(rig, item, seam_material(job)), names, named)
        return bench, Shown(rig_lines(rig, item), steps, table), said

    def written(self, bench: Bench, names: Sequence[str]) -> str:
        """Write drawings of tapes at true size into the folder tapes: those that are named, else all of them."""
        return f"wrote {len(write_tapes(bench, names, ''))} drawings into the folder tapes"

    def kept(self, text: str, name: str) -> str:
        """Keep a reading, a change, or strike one out; nothing is kept where anything is refused."""
        from datetime import datetime

        from rotary.rig.record import with_change, with_reading, without_reading
        from rotary.rig.store import FIRST_RIG, load_rig, rig_folder, save_rig
        from rotary.rig.words import reading_from_words

        try:
            words = shlex.split(text.replace("″", '"'))
        except ValueError:
            raise refuse("reading", "has a quotation mark that is not closed: close it.") from None
        folder, now = rig_folder(), datetime.now().astimezone()
        rig = load_rig(name or FIRST_RIG, folder)
        if words and words[0] == "changed":
            after, said = with_change(rig, " ".join(words[1:]), now.replace(microsecond=0)), "change kept"
        elif words and words[0] == "strike":
            number = words[1] if len(words) == 2 and words[1].isascii() and words[1].isdigit() else ""
            after, said = without_reading(rig, int(number[:9] or 0)), "struck out"
        else:
            after, said = with_reading(rig, reading_from_words(words, now)), "reading kept"
        save_rig(after, folder)
        return said
