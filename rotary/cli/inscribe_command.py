"""Words on small parts: how large they can be, whether they can be read, their files."""

from pathlib import Path
from typing import Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import SheetTo, options, texts, with_job
from rotary.cli.output import refuse_file, refuse_folder, report, said_yes, say, typed, waiting, wish_of, wrote
from rotary.cli.papers import write_paper
from rotary.cli.values import CHOICE, Face, File, Headings, Lines, MoreLines, Typed, whole
from rotary.errors import BadArgument, brief

_FIELD_OF: Final = {"height": "letter_height", "least": "least_height", "usable_from": "from", "usable_to": "to"}
"""Options that have another name than the field they fill."""

_TEXTS: Final = """height least gap usable_from usable_to chamfer margin corner_radius across_corners end_diameter
bore read_at arc start between tracking line_pitch font depth stroke"""


@options
@texts(_TEXTS)
class WordsAsked:
    r"""What is asked of the words, each by its field or as `_FIELD_OF` has it.

    :param text: the words to mark, instead of the job's; \n starts a new line; with --list, {name} stands for each
        name, {date} is today
    :param around: where the words go: ring (all round; you get this if you leave --around out), arc (part way), axis
        (lengthwise), flats, or end (the end face)
    :param height: the greatest height of a capital letter, like "5 mm" (if left out, as large as fits)
    :param least: the smallest height of a capital letter that you accept, like "2 mm" (not in %)
    :param gap: space between the end and the start of a ring of words, like "3 mm" (if left out, the ring closes)
    :param usable_from: the height from which words may begin, like "4 mm"
    :param usable_to: the height at which words must end, like "14 mm"
    :param chamfer: length to leave unmarked at each end of the item, like "1 mm"
    :param margin: how much to leave unmarked on all sides of the words, like "1 mm" (0.5 mm if left out)
    :param corner_radius: on parts with flats: radius of the rounded corners, like "0.5 mm"
    :param across_corners: on parts with flats: size across the corners, if you turned the corners down, like
        "24 mm"
    :param end_diameter: diameter of the flat part of the end face, like "20 mm"
    :param bore: diameter of a hole in the end face, like "6 mm"
    :param read_at: the distance from which people must be able to read the words, like "60 cm"
    :param arc: how far round the item an arc of words can reach, like "120 deg"
    :param start: angle to the right (rim up) from the front to a ring's first word, or to the middle of other words,
        like "90 deg" (on the end face: clockwise from the top)
    :param repeat: how many copies of the words to mark round the part
    :param between: what to mark between copies of the words
    :param tracking: extra space between letters: 1 is the height of a capital letter
    :param line_pitch: distance from line to line: 2 is twice the height of a capital letter (1.6 if left out)
    :param more: the words for the next flat (write --more again for each further flat)
    :param lengthwise: on flats: words along the axis, or across it
    :param face: outline (filled letters), or letters of single strokes: line-sans, line-roman or line-script
    :param font: the font for the words: a TTF or OTF file
    :param weight: how bold the letters are: 400 is plain, 700 bold (400 if left out)
    :param italic: slanted letters, or upright ones
    :param surface_map: how letters lie on a taper: true-width (widths stay), with-taper (widths grow as the item
        widens), label (bent like a paper label) or front-view (flat from afar)
    :param depth: how deep to cut bare metal, like "40 um" (if left out, as deep as the job's own passes go)
    :param stroke: how wide single strokes are: 0.1 is a tenth of a capital's height (0.1 if left out)
    """

    text: Lines = None
    around: Annotated[Literal["ring", "arc", "axis", "flats", "end"] | None, CHOICE] = None
    repeat: Annotated[int | None, whole(1, 360)] = None
    more: MoreLines = None
    lengthwise: Annotated[bool | None, Parameter(negative="--no-lengthwise")] = None
    face: Face = None
    weight: Annotated[int | None, whole(1, 1000)] = None
    italic: Annotated[bool | None, Parameter(negative="--no-italic")] = None
    surface_map: Annotated[Literal["true-width", "with-taper", "label", "front-view"] | None, CHOICE] = None

    def options(self, has_own: bool) -> dict[str, str]:
        """What is asked for here, by the fields that it fills: all, or what was typed where the job `has_own` words."""
        asked = [name for name, value in vars(self).items() if value is not None or not has_own]
        fields = {_FIELD_OF.get(name, name): f"--{name.replace('_', '-')}" for name in asked}
        return fields | {"inscription.depth": "--depth", "column": "", "numbers": "--numbers"}

    def wish(self, named: NamedJob, job: "core.job.Job", is_list: bool = False) -> "core.wording.InscriptionWish":
        """What the job says of its inscription, and over it what the options say; only a list fills in its places."""
        model = core.wording.InscriptionWish
        given = {_FIELD_OF.get(name, name): one for name, one in vars(self).items() if one is not None}
        taken_back = {name for name, one in given.items() if one == "none" and name != "text"}
        may_be_open = {info.alias or key: key for key, info in model.model_fields.items() if info.default is None}
        asked = wish_of(model, {name: one for name, one in given.items() if name not in taken_back}, _FIELD_OF)
        left_open = [key for alias, key in may_be_open.items() if alias in taken_back]
        folder = named.path.parent if named.name != "-" else Path()
        wish = core.setting.wish_over(job.inscription or model(), asked, left_open, folder)
        for place in (core.lists.PLACE, core.lists.TODAY) if not is_list else ():
            if place in wish.text:
                raise BadArgument(f"{place} in the words needs a list: write rotary inscribe with --list or --numbers")
        return wish


@options
class ListAsked:
    """A list of names or numbers, a part for each.

    :param list_: a CSV file with a name for each part
    :param column: the heading of the column with the names
    :param numbers: serial numbers instead of a list of names, like 1-250
    :param digits: how many digits each number has, filled with zeros: 3 gives 001
    :param each: make the words on each part as large as fits, instead of the same size on all parts
    """

    list_: File | None = None
    headings: Headings = None
    column: str | None = None
    numbers: Typed = None
    digits: Annotated[int, whole(1, 12)] = 1
    each: bool = False


def inscribe(job: NamedJob, words: WordsAsked, many: ListAsked, sheet: SheetTo, to: File | None = None) -> int:
    """Fit words on a small part, check that people can read them, and write the files to mark.

    If the job has words already, options that you leave out stay as in the job.

    Example: rotary inscribe brass-nut --text "HERON ROWING CLUB" --around ring --to nut

    :param to: the folder for the files and the setup sheet (if left out, rotary writes no file)
    """
    refuse_folder(to)
    if to is not None:
        refuse_file(sheet.to, job.sources, core.formats.ending_of)
    is_list = many.list_ is not None or many.numbers is not None
    if not is_list and (many.column or many.headings or many.each or many.digits != 1):
        raise BadArgument("--column, --headings, --digits and --each are only for a list: add --list or --numbers")
    if is_list and words.text and core.lists.PLACE not in words.text:
        says = "--text has no {name}, so names would replace it: write {name} where each name goes, or leave --text out"
        raise BadArgument(says)
    if is_list and to is None:
        raise BadArgument("a list needs a folder for its files: add --to and the name of a new folder")
    if many.list_ is not None and many.numbers is not None:
        raise BadArgument("--list and --numbers can't be used together: leave one out")
    if sheet.to is not None and to is None:
        raise BadArgument("--sheet needs a folder for the files too: add --to and the name of a folder")
    content = job.job()
    of_table = {"table": brief(many.list_.name)} if many.list_ is not None else {}
    with typed(words.options(content.is_inscribed) | of_table):
        part, wish = job.on_machine(), words.wish(job, content, is_list)
        if to is not None:
            return _list(job, part, wish, to, many) if is_list else _files(job, part, wish, to, sheet)
        core.work.job_for_depth(part, wish)  # on a coated item no depth can be had, which need not wait for the files
        first = [core.examples.banner(part.laser.use), ""] if part.laser.use else []
        lines = core.card.inscription_lines(wish, core.work.size(part, wish).facts, system=job.system)
        return say([*first, *lines, "To write the files and the setup sheet, add --to and a folder."])


def write_words(
    job: NamedJob, to: Path, method: Literal["flat", "sliced"], sliced: "core.sheet.SheetWish | None" = None
) -> int:
    """Write the files of a job's own words into a folder, as slices or flat, and say what they will do."""
    refuse_folder(to)
    part = job.on_machine()
    of_method = part.model_copy(update={"tolerances": part.tolerances.model_copy(update={"method": method})})
    return _files(job, of_method, WordsAsked().wish(job, part), to, SheetTo(), sliced)


def _files(
    job: NamedJob,
    part: "core.job.Job",
    wish: "core.wording.InscriptionWish",
    to: Path,
    sheet: SheetTo,
    sliced: "core.sheet.SheetWish | None" = None,
) -> int:
    """The files of the words, and their setup sheet."""
    repeat = job.as_run()
    planner = repeat.planned_as_run if repeat is not None else job.planned
    with waiting("drawing the words"):
        done = core.inscription_files.write_inscription(part, wish, to, planner, said_yes.get(), sliced, job.system)
        lines = [*wrote([*done.done.paths, done.card]), *write_paper(done.sheet, sheet, job.sources)]
    return report([*done.lines, "", *(f"  {line}" for line in lines)])


def _list(
    job: NamedJob, part: "core.job.Job", wish: "core.wording.InscriptionWish", folder: Path, asked: ListAsked
) -> int:
    """A part for each name of a list or number of a range."""
    if asked.list_ is not None:
        wanted, notes, sign = core.lists.from_list(asked.list_, asked.column, wish.text, asked.headings)
    else:
        wanted, notes, sign = core.lists.from_numbers(asked.numbers or "", asked.digits, wish.text)
    how = core.results.ListWish(asked.each, sign, notes, system=job.system)
    with waiting("drawing the list") as tell:
        result = core.names.names(part, wish, wanted, folder, how, _say_misfits, tell, job.planned)
    cut = len(result.entries) - result.misfits
    title = f"wrote files for {cut} of {len(result.entries)} names to {brief(folder, 150)}"
    return report(
        [
            f"{title}. {result.table} in that folder lists all names",
            *(f"  - {note}" for note in result.notes),
        ]
    )


def _say_misfits(sizes: "core.names.LetterSizes") -> None:
    report(core.results.misfit_lines(sizes.misfits))


app = with_job(inscribe)
