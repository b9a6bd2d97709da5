"""What a person does for a job today: its actions with the artwork laid out, or those of a repeat as they were run.

Front ends import this at once, so it loads the core only when it is called.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rotary.actions.duration import TimedRun
    from rotary.actions.files import FileFacts
    from rotary.actions.models import Actions, Files, Step
    from rotary.errors import Refused
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


def actions_for(
    made: "Plan",
    beside: Path,
    repeat: "Repeat | None" = None,
    system: str = "mm",
    drawn_by: "Callable[[Plan, Path], tuple[Plan, FileFacts]] | None" = None,
    runs: "Sequence[TimedRun]" = (),
) -> "Actions":
    """The actions of a plan in words, with what is known of the artwork that lies `beside` the job.

    Of a repeat they are those that were run, with today's verdict and steps, wherever those numbers still count.
    `drawn_by` draws what is marked where that is not the artwork. How long it takes goes by the timed `runs`.
    """
    from rotary.sentences.plan import actions_in_words

    if repeat is not None and repeat.run is not None:
        return with_time(actions_of_repeat(repeat, beside, system), made, runs)
    shown, drawn = (drawn_by or drawn_files)(made, beside)
    proof, newer = (repeat.proof, bool(repeat.newer)) if repeat is not None else (None, False)
    return with_time(actions_in_words(shown, drawn, proof, newer, system), made, runs)


def with_time(actions: "Actions", made: "Plan", runs: "Sequence[TimedRun]" = ()) -> "Actions":
    """The same with how long the items take, and until when if they are begun now."""
    from rotary.actions.duration import job_time
    from rotary.sentences.times import with_time_text

    time = job_time(made, runs) if actions.type else None
    return actions.but(time=time and with_time_text(time, datetime.now()))


def actions_of_fault(refused: "Refused", example: bool = False) -> "Actions":
    """The actions of a job that can't be planned: how it stands, and what to fill in."""
    from rotary.actions.build import actions_of_refused
    from rotary.sentences.actions import with_words

    return with_words(actions_of_refused(refused.faults, example), ())


def actions_of_repeat(repeat: "Repeat", beside: Path, system: str = "mm") -> "Actions":
    """The actions that were run, under how they stand today; raises Refused where none are to be printed."""
    from rotary.errors import Refused, refuse
    from rotary.repeat.today import actions_today, has_other_words

    if repeat.run is None:
        raise refuse("", repeat.banner)
    try:
        drawn = repeat.to_draw()
        laid_out = repeat.marking.drawn(drawn) if repeat.job.is_inscribed else drawn_files(drawn, beside)
    except Refused:
        if has_other_words(repeat):
            raise
        # The stored rows need no plan.
        return actions_today(repeat, repeat.run, None, system)
    return actions_today(repeat, repeat.run, laid_out, system)


def steps_after_run(repeat: "Repeat", outcome: str) -> "tuple[Step, ...]":
    """What to do at once after a run of a profile that came out so, in words; nothing where it came out well."""
    from rotary.actions.verdict import steps_after
    from rotary.sentences.standing import step_text

    steps = steps_after(outcome, repeat.made) if repeat.made is not None else ()
    return tuple(step.but(text=step_text(step)) for step in steps)


def drawn_files(made: "Plan", beside: Path) -> "tuple[Plan, FileFacts]":
    """The plan with its artwork laid out as far as it can be read, and what is known of its files."""
    from rotary.actions.files import file_facts
    from rotary.services.files import real_files

    shown, texts = real_files(made, beside)
    drawn = file_facts(shown)
    return shown, drawn._replace(is_written=files_are_current(shown, beside, drawn.files, texts))


def files_are_current(plan: "Plan", beside: Path, files: "Files", texts: Mapping[str, str]) -> bool:
    """Whether every file to import lies there as it would be written now."""
    from rotary.artwork.outfiles import Mark, file_stem, marked
    from rotary.files import regular_bytes

    of, item = file_stem(plan.job.artwork.name), file_stem(plan.job.item.name)
    parts = files.faces or files.zones or (files.whole,)
    names = [name for name in (files.first, files.second, files.rest, *parts) if name]
    if plan.removal.file_per_slice:
        names = list(texts)
    try:
        whole = {name: marked(texts[name].encode(), Mark(of, item, name)) for name in names}
        return bool(whole) and all(regular_bytes(beside / name, len(data)) == data for name, data in whole.items())
    except (OSError, KeyError):
        return False


def short_answer(
    made: "Plan", actions: "Actions", system: str = "mm", job: str = "JOB", plain: bool = False
) -> list[str]:
    """The answer in a few lines: how a job stands, what comes next, what is typed and done; `plain` for a voice.

    `job` is what the person calls it.
    """
    from rotary.artwork.models import size_texts
    from rotary.papers.sizes import Sizes
    from rotary.papers.text import sentence
    from rotary.sentences.answer import answer
    from rotary.sentences.item import summary
    from rotary.sentences.passes import first_line

    item = f"{made.job.item.name}: {Sizes(system).text(summary(made.shape))}"
    is_said = made.removal.setting is not None and made.removal.samples
    sizes = size_texts(made.layout.pieces, system)
    lines = answer(actions, [item, *sizes, "" if is_said else first_line(made)], job)
    return [sentence(line) for line in lines] if plain else lines
