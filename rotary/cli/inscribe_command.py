"""Words on small parts: how large they can be, whether they can be read, their files."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import options, texts, with_job
from rotary.cli.output import misfit_lines, over, refuse_file, report, say, typed, wish_of, wrote
from rotary.cli.papers import write_paper
from rotary.cli.values import CHOICE, LIST, Face, File, Headings, Paper, whole
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, brief

_FIELD_OF: Final = {"height": "letter_height", "least": "least_height", "usable_from": "from", "usable_to": "to"}
"""Options that have another name than the field they fill."""

_TAKEN_BACK: Final = "none"
"""What an option says to leave open what the job file has fixed."""

_TEXTS: Final = """text height least gap usable_from usable_to chamfer margin corner_radius across_corners end_diameter
bore read_at arc start between tracking line_pitch font depth stroke"""


@options
@texts(_TEXTS)
class WordsAsked:
    r"""What is asked of the words, each by its field or as `_FIELD_OF` has it.

    :param text: the words to mark, in place of the job's own; \n begins a line; {name} and {date} in a list
    :param around: where it goes: ring, arc, axis, flats or end (ring)
    :param height: the largest letters wanted, by a capital
    :param least: the smallest letters that are good enough
    :param gap: left between the end of a ring and its beginning; without it the ring closes
    :param usable_from: where the usable height begins, from the end that heights are measured from
    :param usable_to: where the usable height ends
    :param chamfer: left out at each end of the item
    :param margin: left free on all sides
    :param corner_radius: corner radius, for parts with flats
    :param across_corners: of a faceted part whose corners were turned down
    :param end_diameter: of the flat end face
    :param bore: of a hole in the end face
    :param read_at: how far away it should be readable
    :param arc: how far an arc reaches, "120 deg"
    :param start: where it begins, or its middle, from the front
    :param repeat: the words so many times
    :param between: between the words and their next beginning
    :param tracking: extra space between letters, in heights of a capital
    :param line_pitch: from line to line, in heights of a capital (1.6)
    :param more: the text of the next flat
    :param lengthwise: words run along the axis, or across it
    :param face: letters: outline, line-sans, line-roman or line-script
    :param font: a TTF or OTF font
    :param weight: of the letters (400)
    :param italic: slanted letters, or upright ones
    :param surface_map: how letters follow a taper: true-width, with-taper, decal (like a label) or front-view
    :param depth: how deep bare metal is cut (as the job's own passes go)
    :param stroke: stroke width of single-stroke letters, as a share of a capital's height (0.1)
    """

    around: Annotated[Literal["ring", "arc", "axis", "flats", "end"] | None, CHOICE] = None
    repeat: Annotated[int | None, whole(1, 360)] = None
    more: Annotated[list[str] | None, LIST] = None
    lengthwise: Annotated[bool | None, Parameter(negative="--no-lengthwise")] = None
    face: Face = None
    weight: Annotated[int | None, whole(1, 1000)] = None
    italic: Annotated[bool | None, Parameter(negative="--no-italic")] = None
    surface_map: Annotated[Literal["true-width", "with-taper", "decal", "front-view"] | None, CHOICE] = None

    def options(self, has_own: bool) -> dict[str, str]:
        """What is asked for here, by the fields that it fills: all, or what was typed where the job `has_own` words."""
        asked = [name for name, value in vars(self).items() if value is not None or not has_own]
        fields = {_FIELD_OF.get(name, name): f"--{name.replace('_', '-')}" for name in asked}
        return fields | {"inscription.depth": "--depth", "column": "", "numbers": "--numbers"}

    def wish(self, named: NamedJob, job: "core.job.Job") -> "core.wording.InscriptionWish":
        """What the job says of its inscription, and over it what the options say."""
        model = core.wording.InscriptionWish
        given: dict[str, Any] = {_FIELD_OF.get(name, name): one for name, one in vars(self).items() if one is not None}
        if "text" in given:
            given["text"] = given["text"].replace("\\n", "\n")
        if "more" in given:
            given["more"] = tuple(text.replace("\\n", "\n") for text in given["more"])
        open_again = {
            key: info.default
            for key, info in model.model_fields.items()
            if info.default is None and given.get(info.alias or key) == _TAKEN_BACK
        }
        given = {name: one for name, one in given.items() if one != _TAKEN_BACK or name == "text"}
        asked = core.setting.with_font_path(wish_of(model, given, _FIELD_OF), Path())
        own = job.inscription or model()
        if asked.font is None and "font" not in open_again:
            # A font that the job names counts from where the job lies, as its drawings do.
            own = core.setting.with_font_path(own, named.path.parent if named.name != "-" else Path())
        return own.model_copy(update={**open_again, **{key: getattr(asked, key) for key in asked.model_fields_set}})


@options
class ListAsked:
    """A list of names or numbers, a part for each.

    :param list_: a CSV file of names, one part each
    :param column: the column that holds them
    :param numbers: serial numbers in place of a list, 1-250
    :param digits: leading zeros up to so many
    :param each: size each entry as large as fits, instead of all alike
    """

    list_: File | None = None
    headings: Headings = None
    column: str | None = None
    numbers: Annotated[str | None, LIST] = None
    digits: Annotated[int, whole(1, 12)] = 1
    each: bool = False


def inscribe(
    job: NamedJob,
    words: WordsAsked,
    many: ListAsked,
    to: File | None = None,
    sheet: File | None = None,
    paper: Paper = None,
) -> int:
    """Size words on a small part, say whether they can be read, and write their files.

    Example: rotary inscribe brass-nut --text "HERON ROWING CLUB" --around ring --to nut

    :param to: folder to write files and setup sheet into; left out, only sizes the words
    :param sheet: its setup sheet as a paper too: .pdf, .html, .txt or .json
    """
    if to is not None:
        core.outfiles.refuse_folder(to)
        refuse_file(sheet, job.sources, core.formats.ending_of)
    content = job.job()
    of_table = {"table": brief(many.list_.name)} if many.list_ is not None else {}
    with typed(words.options(content.is_inscribed) | of_table):
        part, wish = job.on_machine(), words.wish(job, content)
        if many.list_ is not None or many.numbers is not None:
            return _list(part, wish, job.planned, to, many)
        if to is not None:
            return _files(job, part, wish, to, sheet, paper)
        if sheet is not None:
            raise BadArgument("--sheet is written with the files: add --to and a folder")
        core.work.job_for_depth(part, wish)  # on a coated item no depth can be had, which need not wait for the files
        first = [core.examples.banner(part.laser.use), ""] if part.laser.use else []
        return say("\n".join([*first, *core.card.inscription_lines(wish, core.work.size(part, wish).facts)]) + "\n")


def write_words(
    named: NamedJob, to: Path, method: Literal["plain", "sheet"], sliced: "core.sheet.SheetWish | None" = None
) -> int:
    """Write the files of a job's own words into a folder, as slices or flat, and say what they will do."""
    core.outfiles.refuse_folder(to)
    part = named.on_machine()
    of_method = part.model_copy(update={"tolerances": part.tolerances.model_copy(update={"method": method})})
    return _files(named, of_method, WordsAsked().wish(named, part), to, sliced=sliced)


def _files(
    named: NamedJob,
    part: "core.job.Job",
    wish: "core.wording.InscriptionWish",
    to: Path,
    sheet: Path | None = None,
    paper: Paper = None,
    sliced: "core.sheet.SheetWish | None" = None,
) -> int:
    """The files of the words, and their setup sheet."""
    planner = _planner(named)
    with waiting("drawing the words"):
        done = core.writing.write_inscription(part, wish, to, planner, over(), sliced)
        lines = wrote([done.card])
        lines += write_paper(done.sheet, sheet, paper, named.sources) if sheet is not None else []
    return report([*done.lines, "", *(f"  {line}" for line in lines)])


def _planner(named: NamedJob) -> "Callable[[core.job.Job], core.plan.Plan]":
    """What plans the words: with the numbers that were run, where a profile is named that is proven."""
    repeat = named.repeat()
    if repeat is None or repeat.run is None:
        return named.planned
    report([f"{repeat.verdict}: {repeat.banner}", "  drawn for the numbers that were run"])
    run, machine = repeat.run, repeat.machine
    return lambda words: core.run_plan.plan_as_run(machine.corrected(words), run, core.run_plan.DRAWS)


def _list(
    part: "core.job.Job",
    wish: "core.wording.InscriptionWish",
    planner: "Callable[[core.job.Job], core.plan.Plan]",
    folder: Path | None,
    asked: ListAsked,
) -> int:
    """A part for each name of a list or number of a range."""
    if folder is None:
        raise BadArgument("a list needs a folder: add --to and a new folder")
    if asked.list_ is not None and asked.numbers is not None:
        raise BadArgument("--list and --numbers can't both be given: leave one out")
    if asked.list_ is not None:
        wanted, notes, sign = core.names.from_list(asked.list_, asked.column, wish.text, asked.headings)
    else:
        first, last = core.names.number_range(asked.numbers or "")
        wanted, notes, sign = core.names.from_numbers(first, last, asked.digits, wish.text), (), ","

    def misfits(sizes: "core.names.LetterSizes") -> None:
        report(misfit_lines(sizes.misfits, "cut"))

    how = core.results.ListWish(asked.each, sign, notes)
    with waiting("drawing the list") as tell:
        result = core.names.names(part, wish, wanted, folder, how, misfits, tell, planner)
    cut = len(result.entries) - result.misfits
    title = f"{cut} of {len(result.entries)} written to {brief(folder, 150)}, all listed in {result.table}"
    return report([title, *(f"  - {note}" for note in result.notes)])


app = with_job(inscribe)
