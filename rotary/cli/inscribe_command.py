"""Words on small parts: how large they can be, whether they can be read, their files."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from cyclopts import Parameter

from rotary.cli.answers import typed, wish_of
from rotary.cli.jobs import NamedJob
from rotary.cli.options import CHOICE, HERE, Face, Headings, JobName, Paper, Texts, Typed, Where, whole
from rotary.cli.output import OK, over, report, say
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, brief

if TYPE_CHECKING:
    from collections.abc import Callable

    from rotary.inscription.whole import Whole
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.wording import InscriptionWish

Around = Literal["ring", "arc", "axis", "flats", "end"]
Map = Literal["true-width", "with-taper", "decal", "front-view"]

_FIELD_OF: Final = {"height": "letter_height", "least": "least_height", "band_from": "from", "band_to": "to"}
"""Options that have another name than the field they fill."""

_TAKEN_BACK: Final = "none"
"""What an option says to leave open what the job file has fixed."""


def inscribe(
    job: JobName,
    /,
    *,
    text: Typed = None,
    around: Annotated[Around | None, CHOICE] = None,
    to: Path | None = None,
    card: Path | None = None,
    paper: Paper = None,
    height: Typed = None,
    least: Typed = None,
    gap: Typed = None,
    band_from: Typed = None,
    band_to: Typed = None,
    chamfer: Typed = None,
    margin: Typed = None,
    corner_radius: Typed = None,
    across_corners: Typed = None,
    end_diameter: Typed = None,
    bore: Typed = None,
    read_at: Typed = None,
    arc: Typed = None,
    start: Typed = None,
    repeat: Annotated[int | None, whole(1, 360)] = None,
    between: Typed = None,
    tracking: Typed = None,
    line_pitch: Typed = None,
    more: Texts = None,
    lengthwise: Annotated[bool | None, Parameter(negative="--no-lengthwise")] = None,
    face: Face | None = None,
    font: str | None = None,
    weight: Annotated[int | None, whole(1, 1000)] = None,
    italic: Annotated[bool | None, Parameter(negative="--no-italic")] = None,
    surface_map: Annotated[Map | None, CHOICE] = None,
    depth: Typed = None,
    stroke: Typed = None,
    list_: Annotated[Path | None, Parameter(name="--list")] = None,
    headings: Headings = None,
    column: str | None = None,
    numbers: Typed = None,
    digits: Annotated[int, whole(1, 12)] = 1,
    each: bool = False,
    where: Where = HERE,
) -> int:
    r"""Size words on a small part, say whether they can be read, and write their files.

    Example: rotary inscribe brass-nut --text "HERON ROWING CLUB" --around ring --to nut

    :param text: what is cut, in place of the job's own; \n begins a line; {name} and {date} in a list
    :param around: where it goes: ring, arc, axis, flats or end (ring)
    :param to: the folder for files and setup sheet; without it only the size is said
    :param card: its setup sheet as a paper too: .pdf, .html, .txt or .json
    :param height: the largest letters wanted, by a capital
    :param least: the smallest letters that are good enough
    :param gap: left between the end of a ring and its beginning; without it the ring closes
    :param band_from: where the usable band begins, from the end that heights are measured from
    :param band_to: where it ends
    :param chamfer: taken off at each end of the item
    :param margin: left free on all sides
    :param corner_radius: of the rounded corners of a faceted part
    :param across_corners: of a faceted part whose corners were turned down
    :param end_diameter: of the flat end face
    :param bore: of a hole in the end face
    :param read_at: how far away it should be readable
    :param arc: how far an arc reaches, "120 deg"
    :param start: where it begins, or its middle, from the front
    :param repeat: the words so many times
    :param between: between the words and their next beginning
    :param tracking: put between letters, in heights of a capital
    :param line_pitch: from line to line, in heights of a capital (1.6)
    :param more: the text of the next flat
    :param lengthwise: along the flats, or not
    :param face: letters: outline, line-sans, line-roman or line-script
    :param font: a TTF or OTF font
    :param weight: of the letters (400)
    :param italic: slanted letters, or upright ones
    :param surface_map: on a taper: true-width, with-taper, decal (like a label) or front-view
    :param depth: how deep bare metal is cut (as the job's own passes go)
    :param stroke: of single strokes, in heights of a capital (0.1)
    :param list_: a CSV file of names, one part each
    :param column: the column that holds them
    :param numbers: serial numbers in place of a list, 1-250
    :param digits: leading zeros up to so many
    :param each: each entry as large as fits, not all the same
    """
    options = dict(locals())
    from rotary.artwork.outfiles import refuse_folder
    from rotary.cli.answers import refuse_paper

    named = NamedJob(job, where)
    if to is not None:
        refuse_folder(to)
        refuse_paper(card, named.sources)
    written = named.job()
    wish = _wish(options, named, written)
    part = named.on_machine()
    if list_ is not None or numbers is not None:
        return _list(part, wish, options)
    if to is None:
        return _size(part, wish, card)
    from rotary.inscription.whole import inscribed

    planner = _planner(named)
    with waiting("drawing the words"):
        whole_job = inscribed(part, wish, to, planner, over())
        wrote = [f"wrote {brief(whole_job.card, 200)}", *_paper(named, part, wish, whole_job, card, paper)]
    return report([*whole_job.lines, "", *(f"  {line}" for line in wrote)])


def _planner(named: NamedJob) -> "Callable[[Job], Plan]":
    """What plans the words: with the numbers that were run, where a profile is named that is proven."""
    from rotary.services.planning import plan_for

    repeat = named.repeat()
    if repeat is None or repeat.run is None:
        return plan_for
    from rotary.repeat.holding import DRAWS, plan_as_run

    report([f"{repeat.verdict}: {repeat.banner}", "  drawn for the numbers that were run"])
    run = repeat.run
    return lambda words: plan_as_run(repeat.machine.corrected(words), run, DRAWS)


def _size(part: "Job", wish: "InscriptionWish", card: Path | None) -> int:
    from rotary.examples import banner
    from rotary.inscription.card import inscription_lines
    from rotary.inscription.work import deepened, size

    if card is not None:
        raise BadArgument("--card is written with the files that it goes with: write --to and a folder beside it")
    deepened(part, wish)  # on a coated item no depth can be had, which need not wait for the files
    first = [banner(part.head.use), ""] if part.head.use else []
    say("\n".join([*first, *inscription_lines(wish, size(part, wish).facts)]) + "\n")
    return OK


def _wish(options: dict[str, Any], named: NamedJob, job: "Job") -> "InscriptionWish":
    """What the job says of its inscription, and over it what the options say."""
    from rotary.inscription.setting import with_font_path
    from rotary.wording import InscriptionWish

    fields = {info.alias or key for key, info in InscriptionWish.model_fields.items()}
    asked = {_FIELD_OF.get(name, name): value for name, value in options.items() if value is not None and name != "to"}
    given: dict[str, Any] = {field: value for field, value in asked.items() if field in fields}
    if "text" in given:
        given["text"] = given["text"].replace("\\n", "\n")
    if "more" in given:
        given["more"] = tuple(text.replace("\\n", "\n") for text in given["more"])
    open_again = {
        key: info.default
        for key, info in InscriptionWish.model_fields.items()
        if given.get(info.alias or key) == _TAKEN_BACK and info.default is None
    }
    given = {key: value for key, value in given.items() if value != _TAKEN_BACK or key == "text"}
    typed = with_font_path(wish_of(InscriptionWish, given, _FIELD_OF), Path())
    own = job.inscription or InscriptionWish()
    if typed.font is None and "font" not in open_again:
        # A font that the job names counts from where the job lies, as its drawings do.
        own = with_font_path(own, named.path.parent if named.name != "-" else Path())
    typed_fields = {key: getattr(typed, key) for key in typed.model_fields_set}
    return own.model_copy(update={**open_again, **typed_fields})


def _paper(
    named: NamedJob, part: "Job", wish: "InscriptionWish", whole_job: "Whole", card: Path | None, paper: Paper
) -> list[str]:
    """The setup sheet as a paper of one look with all others."""
    if card is None:
        return []
    from rotary.cli.answers import write_paper
    from rotary.inscription.paper import inscription_by_height
    from rotary.inscription.work import deepened, forecast, stand_in
    from rotary.services.planning import plan_for

    done = whole_job.done
    stands_in = done.made if done.made is not None else stand_in(deepened(part, wish), plan_for)
    files, says = [path.name for path in done.paths], forecast(done).says
    by_height = inscription_by_height(wish, done.facts, files, done.made, stands_in, says, tried_on=done.tried_on)
    return write_paper(by_height, card, paper, named.sources)


def _list(part: "Job", wish: "InscriptionWish", options: dict[str, Any]) -> int:
    """A part for each name of a list or number of a range."""
    from rotary.cli.name_lists import misfit_lines
    from rotary.inscription.names import LetterSizes, from_list, from_numbers, names, number_range
    from rotary.series.results import ListWish
    from rotary.services.planning import plan_for

    folder, table, numbers = options["to"], options["list_"], options["numbers"]
    if folder is None:
        raise BadArgument("--to says where a list is written: write --to and a new folder")
    if table is not None and numbers is not None:
        raise BadArgument("--list and --numbers can't both be given: leave one out")
    notes: tuple[str, ...] = ()
    sign = ","
    if table is not None:
        wanted, notes, sign = from_list(table, options["column"], wish.text, options["headings"])
    else:
        with typed():
            wanted = from_numbers(*number_range(numbers), options["digits"], wish.text)

    def misfits(sizes: LetterSizes) -> None:
        report(misfit_lines([f"line {one.line}: {brief(one.name, 30)}: {one.why}" for one in sizes.misfits], "cut"))

    with waiting("drawing the list") as tell:
        result = names(part, wish, wanted, folder, ListWish(options["each"], sign, notes), misfits, tell, plan_for)
    cut = len(result.entries) - result.misfits
    title = f"{cut} of {len(result.entries)} written to {brief(folder, 150)}, and {result.table} with all of them"
    return report([title, *(f"  - {note}" for note in result.notes)])
