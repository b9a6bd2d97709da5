"""What goes with a seam strip on paper: what to do in order, the form to fill in, all that is written for it."""

from typing import Final

from rotary.actions.by_hand import habit_row
from rotary.actions.typed_rows import TURNS, turning_row
from rotary.artwork.outfiles import MADE_BY
from rotary.errors import listing
from rotary.examples import banner
from rotary.formulas.tape import VERNIER_MM
from rotary.item import height_from_s_mm
from rotary.machine.strip import Base, Strip, kinds_at
from rotary.machine.strip_reading import drawn_text
from rotary.papers.lines import in_inches
from rotary.papers.model import Entry
from rotary.sentences.rows import BY_FILE, BY_TURN, entries
from rotary.toml import toml_text

TYPE_THESE: Final = "Type these numbers for the seam test only. Before the job type the job's numbers."
NAME_OF_JOB: Final = "NAME-OF-YOUR-JOB"
"""Stands in commands where it is not known how a person calls the job."""
TYPE_HERE: Final = "Type your readings into the fields of this page. Peel the tape off, wipe the item."


def instructions(strip: Strip, system: str = "mm", job_name: str = NAME_OF_JOB) -> list[str]:
    """How to mark and read the strip, in order, with this strip's own figures.

    Lengths in inches where asked for; what is typed into the program stays as it is typed, each number on a line.
    """
    keys = "".join(f"\n      {one.label}: {one.figure}" for one in numbers_to_type(strip.made, system))
    stretch, *others = marking_steps(strip, system, job_name)
    return [*_warning(strip), stretch, f"{TYPE_THESE}{keys}", *others]


def _warning(strip: Strip) -> list[str]:
    return [banner(strip.made.job.laser.use)] if strip.made.job.laser.use else []


def numbers_to_type(made: Base, system: str = "mm") -> tuple[Entry, ...]:
    """What is typed for slices on tape alone."""
    # What warns of a number, its `leave`, comes with its row.
    turns = TURNS[made.job.turning.kind]
    keys = (key for key in made.split.key_in if key.id in (*BY_FILE, *BY_TURN))
    return entries((turning_row(key).but(of=turns) for key in keys), system)


def marking_steps(strip: Strip, system: str = "mm", job_name: str = NAME_OF_JOB) -> list[str]:
    """How the tape is put on, then marked and read."""
    item, shape = strip.made.job.item, strip.made.shape
    heights = [f"{height_from_s_mm(item, shape, v.s_mm):.1f} mm" for v in strip.verniers]
    datum, rim = item.end_words(item.heights_from), item.end_words("rim")
    places = f"{listing([v.name for v in strip.verniers])} ({listing(heights)} from {datum})"
    rising, falling = (
        listing([seam for seam in strip.seams if kind in kinds_at(strip, seam)]) for kind in ("rising", "falling")
    )
    # Its seams tell of the focus too: it is marked as the job will be.
    by_reading = "".join(
        f" Then move the lens {abs(away):g} mm {'AWAY' if away > 0 else 'CLOSER'}, as your focus reading asks."
        for away in (float(row.value) for row in habit_row(strip.made))
    )
    steps = [
        "Stretch one layer of paper masking tape (never vinyl) smoothly where the artwork goes. The test is drawn "
        f"for tape {strip.tape_mm:.2f} mm thick. To check yours, measure ten layers with calipers and divide by ten.",
        f"For this test set the focus {strip.made.focus.focal_plane_mm:.2f} mm over the bed, because the test's lines "
        f"are fine.{by_reading} Before the job move the lens back to the job's height.",
        f"Import {next(iter(strip.files))} at true size. Wear eyewear, run extraction, and mark all "
        f"{strip.order.slices} slices at low power. Watch the tape: it can smoulder. Stop if it chars.",
        f"Hold the item with {rim} away from you. Write down the numbers of the slices from left to right, and "
        "whether the F is the right way round, mirrored or upside down.",
        f"Look at seams {rising} at the {places}. Find the rising tick (//) that runs straight on from the left slice "
        "to the right slice, and write its number. Long ticks have their numbers beside them. Count upwards from 0, "
        "downwards with a minus.",
        f"Read the falling ticks (\\\\) of seams {falling} in this way, too.",
        f"Does none of the {2 * strip.ticks + 1} ticks run straight on? Then take the tick marked 0. Follow its left "
        "half straight on across the seam, and measure with a loupe how much higher (towards the top of the F) its "
        'right half lies. Write this with its unit, for example "0.4 mm" (- if lower).',
        "On the middle slice measure with calipers along the wall from the lower edge of one level line to the lower "
        f"edge of the other. They are drawn {strip.between_mm:.2f} mm apart. Measure twice.",
        "Type what you wrote into the form seam-test-form.toml. To learn what is wrong, then type: rotary machine "
        f"seam-test {job_name} --from seam-test-form.toml (with the form's folder in front of its name). Or type your "
        'readings on the screen (Ctrl+R, page "seam test"). Peel the tape off, wipe the item.',
    ]
    return [in_inches(step) for step in steps] if system == "in" else steps


def numbered_lines(strip: Strip, system: str = "mm", job_name: str | None = None) -> list[str]:
    """What to do, step by step with its number, and each number to type on a line of its own; without the job's name
    for the screen, where readings are typed beside them."""
    warning = _warning(strip)
    *told, types = instructions(strip, system, job_name or NAME_OF_JOB)[len(warning) :]
    steps = enumerate([*told, types if job_name else TYPE_HERE], 1)
    return [*warning, *(line for number, step in steps for line in f"{number}. {step}".split("\n"))]


def form(strip: Strip) -> str:
    """The reading form, to be filled in with an editor; what is left at ? has not been read."""
    rim = strip.made.job.item.end_words("rim")
    lines = [
        "# Your readings of the seam test. Write what you read in place of each ?. Where you can't read a tick, leave "
        "the ?.",
        "# rising (//) and falling (\\\\): the number of the tick that runs straight on, "
        f"from -{strip.ticks} to {strip.ticks}. Each tick is {VERNIER_MM:g} mm.",
        f"item = {toml_text(strip.made.job.item.name)}",
        f'tape = "{strip.tape_mm:g} mm"  # don\'t change this: the test is drawn for tape of this thickness',
        f'drawn = "{drawn_text(strip)}"  # don\'t change this: it says how the test was drawn',
        f'order = "?"    # "{strip.numbers}" or "{strip.numbers[::-1]}", from left to right, {rim} away from you',
        'letter = "?"   # how the F looks: "right", "mirrored", "upside-down" or "mirrored-upside-down"',
        f'between = "?"  # from one level line to the other, drawn "{strip.between_mm:.2f} mm" apart',
        'between_again = "?"  # between the level lines again, measured a second time',
    ]
    for seam in strip.seams:
        for vernier in reversed(strip.verniers):
            lines += ["", "[[verniers]]", f'seam = "{seam}"', f'height = "{vernier.name}"']
            lines += [f'{kind} = "?"' for kind in kinds_at(strip, seam)]
    return "\n".join(lines) + "\n"


def strip_files(strip: Strip, job_name: str = NAME_OF_JOB) -> dict[str, bytes]:
    """All that is written for a strip: its drawing, the form to fill in, what to do."""
    files = {name: text.encode() for name, text in strip.files.items()}
    files["seam-test-form.toml"] = f"# {MADE_BY}\n{form(strip)}".encode()
    files["seam-test.txt"] = "\n".join([*instructions(strip, job_name=job_name), "", MADE_BY, ""]).encode()
    return files
