"""What a person does for the words of a job: the plan and the files of the words, not those of the artwork's frame."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Final

from rotary.actions.duration import TimedRun
from rotary.actions.files import FileFacts, WordsFacts, file_facts
from rotary.actions.models import Actions, Files
from rotary.artwork.rings import Rings, area_mm2
from rotary.errors import refuse
from rotary.inscription import work
from rotary.inscription.face import Face
from rotary.inscription.models import Inscription
from rotary.inscription.setting import with_font_path
from rotary.job import Job
from rotary.plan import Plan, plan
from rotary.repeat.run_plan import Marking
from rotary.repeat.standing import Repeat
from rotary.services.actions import actions_for, drawn_files, files_are_current
from rotary.services.artwork import outlines_of
from rotary.services.files import with_files, with_sizes
from rotary.services.profiles import USUAL_MACHINE, MachineAt, repeat_for
from rotary.slices.trial import fullest_place
from rotary.store.profiles import OpenedProfile
from rotary.wording import InscriptionWish

FACES: Final = ("flats", "end")


def plan_of_marks(job: Job, made_by: work.Planner, beside: Path) -> Plan:
    """The plan of what is marked: of a job's words where it has some, else of its artwork.

    The words' font lies `beside` the job. Raises Refused, also where the words don't fit.
    """
    return marks_of(job, made_by, beside)[0]


def marks_of(job: Job, made_by: work.Planner, beside: Path) -> tuple[Plan, Inscription | None]:
    """As `plan_of_marks`, and how the words come out where there are some."""
    wish = _wish(job, beside)
    if wish is None:
        return made_by(job), None
    if wish.around not in FACES:
        made, whole, _ = work.part_plan(job, wish, made_by)
        return whole, made.facts
    whole = work.stand_in(work.job_for_depth(job, wish), made_by)
    # Nothing goes round: all passes are run where it lies, and nothing is typed of turning.
    steps = whole.removal.but(order="slice-by-slice")
    whole = whole.with_split(slices=1, must_show=()).but(removal=steps)
    return whole, work.size(whole.job, wish).facts


def drawn_marks(made: Plan, beside: Path) -> tuple[Plan, FileFacts]:
    """The plan of what is marked with its files laid out, and what is known of them; see `services.actions`."""
    wish = _wish(made.job, beside)
    if wish is None:
        return drawn_files(made, beside)
    return (_faces if wish.around in FACES else _turned)(made, wish, beside)


def numbered(made: Plan, beside: Path) -> Plan:
    """The plan with as many slices as the setup sheet numbers: on a part with flats its artwork decides that."""
    if made.shape.flats is None or made.job.is_inscribed:
        return made
    return made.with_split(slices=drawn_files(made, beside)[0].split.slices)


def write_words(made: Plan, beside: Path) -> tuple[Path, ...]:
    """Write the files of a job's words as they are planned; raises Refused, FileTrouble, then nothing is written."""
    wish = _wish(made.job, beside)
    return work.inscribe(made.job, wish, beside, _by(made)).paths if wish is not None else ()


def words_on_wall(job: Job, made_by: work.Planner, beside: Path) -> tuple[Plan, Rings]:
    """The plan of a job's words, and their ink about the middle of their frame [mm]; raises Refused."""
    wish = _wish(job, beside)
    if wish is None or wish.around in FACES:
        raise refuse(
            "inscription.around",
            "the item stands still for these words: press Ctrl+B on the screen to see where they lie",
        )
    return work.part_plan(job, wish, made_by)[1:]


def ink_of_marks(made: Plan, beside: Path, system: str) -> tuple[Rings | None, tuple[str, ...]]:
    """The ink of what is marked, about the middle of its frame [mm], and how large it is; None where there is none."""
    if made.job.is_inscribed:
        return words_on_wall(made.job, _by(made), beside)[1], ()
    return outlines_of(made, beside, system)


def actions_of_marks(
    made: Plan, planned_by: work.Planner, beside: Path, repeat: Repeat | None, system: str, runs: Sequence[TimedRun]
) -> tuple[Plan, Actions]:
    """The plan of what is marked and what a person does for it, zones of focus and words as their files are laid out.

    `made` is of the job's artwork; words are `planned_by` their own.
    """
    made = with_sizes(made, beside) if made.job.artwork.pieces else made
    made = plan_of_marks(made.job, planned_by, beside) if made.job.is_inscribed else made
    shown, drawn = drawn_marks(made, beside)
    actions = actions_for(made, beside, repeat, system, lambda *_: (shown, drawn), runs)
    if made.job.is_inscribed:
        return shown.but(job=made.job), actions
    return made.but(focus=shown.focus), actions


def marking_of(job: Job, beside: Path) -> Marking:
    """How a job's words are planned and drawn, or its artwork where it has none."""
    if not job.is_inscribed:
        return Marking()

    def planned_by(job: Job, draws: int) -> Plan:
        return plan_of_marks(job, partial(plan, draws=draws), beside)

    return Marking(planned_by, partial(drawn_marks, beside=beside))


def repeat_of_marks(
    found: OpenedProfile,
    job: Job,
    planned_by: work.Planner,
    system: str = "mm",
    at: MachineAt = USUAL_MACHINE,
    beside: Path = Path(),
) -> Repeat:
    """How a profile stands for the job of today, by the numbers of what is marked; see `services.profiles`."""
    words = partial(plan_of_marks, made_by=planned_by, beside=beside)
    return repeat_for(found, job, words, system, at, marking_of(job, beside))


def _wish(job: Job, beside: Path) -> InscriptionWish | None:
    return with_font_path(job.inscription, beside) if job.inscription is not None and job.is_inscribed else None


def _by(made: Plan) -> Callable[[Job], Plan]:
    """What is planned already is not planned again."""
    return lambda _: made


def _turned(made: Plan, wish: InscriptionWish, beside: Path) -> tuple[Plan, FileFacts]:
    sized, whole, rings = work.part_plan(made.job, wish, _by(made))
    whole, _, texts = with_files(whole, rings)
    whole = as_artwork(whole)
    drawn = file_facts(whole)._replace(words=words_facts(sized.facts))
    return whole, drawn._replace(is_written=files_are_current(whole, beside, drawn.files, texts))


def _faces(made: Plan, wish: InscriptionWish, beside: Path) -> tuple[Plan, FileFacts]:
    """Flats and end faces: marked as they lie, a file each; a coating is tried on the one with most ink."""
    job = work.job_for_depth(made.job, wish)
    sized, plane_mm = work.size(job, wish), work.plane_over_face_mm(job, _by(made))
    data, shapes = work.face_files(job, wish, sized, work.stem_of(wish), plane_mm)
    texts, whole = {name: raw.decode() for name, raw in data.items()}, as_artwork(made, wish)
    names = tuple(texts)
    fullest = names[fullest_place([area_mm2(rings) for rings in shapes])]
    is_tried = whole.is_tried and len(names) > 1
    files = Files(first=fullest if is_tried else "", whole=names[0], faces=names if len(names) > 1 else ())
    face = work.face_facts(Face(job, wish, plane_mm), sized.facts)
    drawn = file_facts(whole)._replace(files=files, slices=1, is_final=True, face=face)
    return whole, drawn._replace(is_written=files_are_current(whole, beside, files, texts))


def words_facts(facts: Inscription, starts_in: str = "") -> WordsFacts:
    """Where the words of a round part begin."""
    if facts.around == "axis":
        return WordsFacts(None, starts_in)
    before = facts.lines[0].arc_rad / 2 if facts.around == "arc" and facts.lines else 0.0
    return WordsFacts(facts.start_rad - before, starts_in)


def as_artwork(whole: Plan, wish: InscriptionWish | None = None) -> Plan:
    """The same plan, whose artwork the words are by now."""
    job = whole.job.with_artwork(name=work.stem_of(wish)) if wish is not None else whole.job
    return whole.but(job=job.but(inscription=None))
