"""What the actions of every job say: complete, short, in the words of today, with the numbers that they carry."""

import re
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import pytest

from rotary.actions.models import ActionRow, Actions, Verdict
from rotary.errors import counted
from rotary.papers.sizes import Sizes
from rotary.sentences.actions import figure_of, with_words
from rotary.sentences.passes import in_ten
from rotary.sentences.run_texts import run_texts
from rotary.sentences.standing import verdict_text
from tests.actions.cases import EACH, plan_of
from tests.actions.written import Written, in_words, written

RETIRED: Final = (
    "apex line", "station", "drive's", "column", "extra width per index", "as typed", "steps for one turn",
    "index angle", "slice sheet", "plain artwork", "joint", "stair", "sag", "witness ticks", "blank edge",
    "surface map", "laid on by", "proof patch", "lifting pass", "finishing pass", "looking after", "run blind", "haze",
    "draws", "beliefs", "repetition rate", "pulse duration", "scan speed", "hatch", "desk", "setup card", "forecast",
    "foretold", "taken off", "gone on", "creep", "noughts", "governed by", "relaxed by", "the tool",
)  # fmt: skip
"""Phrases that no person reads any more, in this sense."""

MOST_WORDS: Final = 15
LONG: Final = {
    "focus": "two figures in brackets that are measured",
    "turn_way": "by hand first, then by motor: one look",
    "start_angle": "which angle, of what, where to",
    "shim": "how much, of what, where, how far from where",
}
"""Rows that say more in a sentence, and why."""


@cache
def job_of(name: str) -> Written:
    with TemporaryDirectory() as folder:
        return written(plan_of(name), Path(folder))


def words_of(name: str, system: str = "mm") -> Actions:
    job = job_of(name)
    return in_words(job.plan, job.actions, system)


def sentences(text: str) -> list[str]:
    return [one for one in re.split(r"(?<=[.!?:;])\s+", text) if one]


@pytest.mark.parametrize("name", EACH)
def test_every_row_has_a_label_and_says_what_to_do(name: str) -> None:
    """Neither label nor text is missing, of rows, steps, verdict and run; none has a phrase of before, or an id."""
    actions = words_of(name)
    for row in actions.rows.values():
        assert row.label.strip(), row.id
        assert row.text.strip(), row.id
    texts = [*(row.text for row in actions.rows.values()), *actions.run.texts, *(one.text for one in actions.steps)]
    lies = [actions.on_item.text] if actions.on_item else []
    for text in (*texts, *lies, actions.verdict.text, *(one.short for one in actions.cautions)):
        assert text.strip()
        assert "None" not in text
        assert "_ " not in text.replace("____", "")
        assert not [phrase for phrase in RETIRED if phrase in text.lower()], text


@pytest.mark.parametrize("name", EACH)
def test_no_sentence_is_long(name: str) -> None:
    """At most fifteen words a sentence, but for those that are listed."""
    actions = words_of(name)
    long = [
        one
        for row in actions.rows.values()
        if row.id.rstrip("0123456789").rstrip("_") not in LONG
        for one in sentences(row.text)
        if len(one.split()) > MOST_WORDS
    ]
    for text in (*actions.run.texts, *(one.text for one in actions.steps), actions.verdict.text):
        long += [one for one in sentences(text) if len(one.split()) > MOST_WORDS]
    assert not long


def length(value: float, system: str) -> str:
    return f"{value / 25.4:.3f} in" if system == "in" else f"{value:g} mm"


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("name", EACH)
def test_the_numbers_that_are_read_are_those_that_are_carried(name: str, system: str) -> None:
    """What is typed reads as its digits in any units; what is set by hand in mm or inches, to what can be set."""
    actions = words_of(name, system)
    for row in actions.type:
        assert f": {figure_of(row)}" in row.text or row.id in ("fill_direction", "passes"), row.text
        if row.leave:
            assert "type this, not" in row.text
            assert row.real is not None
    for row in actions.by_hand:
        assert all(figure in row.text for figure in _set_by_hand(row, system)), row.text
    page = actions.rows["page_size"]
    for shown in (page, actions.rows["size_shown"]):
        assert f"{page.value:.3f} × {page.high:.3f} mm" in shown.text
    for row in actions.check:
        assert re.search(rf"(?<![\d.]){re.escape(_checked(row))}(?!\d)", row.text), row.text


def _set_by_hand(row: ActionRow, system: str) -> list[str]:
    if row.unit == "mm":
        more = (row.base, row.rim_at, row.from_at, row.apex_over_bed, row.focus_over_bed)
        # A lens that stays where it is needs no figure.
        value = [] if row.id.startswith("focus") and row.value == 0 else [length(abs(float(row.value)), system)]
        return [*value, *(length(one, system) for one in more if one is not None)]
    if row.unit:
        # Only a place round the item has a side, which is said in words.
        side = "left" if float(row.value) < 0 else "right"
        place = [f"{abs(float(row.value)):g}°", f"to the {side} of its front"] if row.value else ["until its front"]
        front = row.about_at is not None and abs(row.about_at) not in (0, 180) and [f"{abs(row.about_at):g}°"]
        return [*place, *(front or []), *([f"its {row.about}"] if row.about else [])]
    return [row.end] if row.end else []


def _checked(row: ActionRow) -> str:
    digits = {"slice_turns": 4, "slices_shown": 0, "blank_slices": 0, "page_middle": 0}.get(row.id, 3)
    return f"{row.value:.{digits}f}"


@pytest.mark.parametrize("name", EACH)
def test_the_run_says_all_that_is_run(name: str) -> None:
    """Its files in their order, the power of each rung, how many passes, the last pass with its numbers and when."""
    run = words_of(name).run
    text = "\n".join(run.texts)
    files = [one for one in (run.files.first, run.files.second, run.files.rest) if one] or [run.files.whole]
    is_known = bool(run.counted or run.depth_check_after)
    # A single slice is imported already; files of single slices go by their numbers.
    if not run.file_per_slice if is_known else len(files) > 1:
        places = [text.find(one) for one in files]
        assert -1 not in places
        assert places == sorted(places)
    assert all(one in text for one in run.files.zones if one != run.files.whole)
    if not is_known:
        first, *_, last = (*run.rungs, run.rungs[-1])
        assert (f"At most {first.passes} passes at {first.power:g} %" in text) == (first.passes > 1)
        assert all(
            f"Coating after {counted(before.passes, 'pass')} at {before.power:g} %: 1 pass at {rung.power:g} %," in text
            for before, rung in pairwise(run.rungs)
        )
        assert f"Coating after {counted(last.passes, 'pass')} at {last.power:g} %: stop and mark a test patch." in text
    else:
        assert re.search(rf"\b{run.counted or run.rungs[0].passes}\b", text) or "two fills" in text
    assert ("last pass" in text.lower()) == (run.last_pass is not None)
    if run.last_pass:
        lines = f"lines shifted {run.last_pass.line_shift:.3f} mm"
        lines = "lines along the item" if run.last_pass.fill_direction == "along" else lines
        assert f"{run.last_pass.power:g} % power, {run.last_pass.speed:g} mm/s, {lines}" in text
        assert ("last pass once, all round" in text) == (run.last_pass.when == "after all")
    pause = max(one.pause for one in run.passes)
    if pause and run.order == "slice by slice" and not run.file_per_slice:
        assert f"pause {pause:g} s" in text


def test_the_texts_of_the_run_come_from_the_actions_alone() -> None:
    """Stored and read again, actions say the same: nothing is looked up in the plan that they came from."""
    for name in ("regatta-bottle", "brass-nut", "long taper, lens moved", "program without several passes, rollers"):
        actions = words_of(name)
        again = Actions.model_validate_json(actions.model_dump_json())
        assert run_texts(again) == actions.run.texts
        assert again == actions


# --- what a person would stumble over when the lines are read aloud -------------------------------------------------


def lines_of(name: str) -> list[str]:
    actions = words_of(name)
    return [*(row.text for row in actions.rows.values()), *actions.run.texts]


@pytest.mark.parametrize("name", ["one slice", "chuck, straight", "rollers, taper, shim", "long taper, lens moved"])
def test_the_next_item_comes_after_the_last_look_at_this_one(name: str) -> None:
    """Nobody imports the next item's file before this one is wiped and looked at; its numbers are the last counted."""
    run = words_of(name).run
    *before, last = run.texts
    assert last.startswith("Later items: ")
    known = "all round in the same way" if run.order == "all round" else "go on as with the other slices"
    assert (known in last) == bool(run.files.second)
    assert not [text for text in before if text.startswith("Later items")]


def test_next_items_are_run_all_round_where_this_one_was() -> None:
    """A program that turns after every pass is given 1 pass and run again, never the number that was counted."""
    actions = words_of("chuck, straight")
    round_ = actions.run.model_copy(update={"order": "all round"})
    *_, last = run_texts(actions.model_copy(update={"run": round_}))
    assert last.startswith("Later items: ")
    assert last.endswith(". Run it all round in the same way.")


@pytest.mark.parametrize("name", ["one slice", "counted, one slice"])
def test_of_a_single_slice_nothing_is_said_of_others(name: str) -> None:
    """It is not the first, it has no seams, and nothing turns on to a next one."""
    assert not [text for text in lines_of(name) if re.search("first slice|[Ee]ach slice|seam|next slice", text)]
    assert "turn_way" not in words_of(name).rows


def test_film_that_is_bleached_gets_its_last_pass_only_where_it_needs_it() -> None:
    """On the first slice as on all others: a line that says so is not followed by one that doesn't."""
    actions = words_of("chuck, along Y, rim to the front")
    last = actions.run.last_pass
    assert last is not None
    steps = actions.run.model_copy(update={"last_pass": last.model_copy(update={"only_if_uneven": True})})
    every = run_texts(actions.model_copy(update={"run": steps}))
    assert "STOP if the film cracks or bursts." in every
    assert not [text for text in every if "metal is dull" in text or text.startswith("Coating left:")]
    said = [text for text in every if "the last pass" in text]
    assert [text for text in said if text.startswith("Second slice")]
    always = ("Only residue", "Then mark the last pass once, all")
    assert all("uneven" in text for text in said if not text.startswith(always))
    counted_too = run_texts(actions.model_copy(update={"run": steps.model_copy(update={"counted": 7})}))
    assert "STOP if the film cracks or bursts." in counted_too
    assert not [text for text in counted_too if "metal is dull" in text]


def test_file_by_file_no_pause_is_typed() -> None:
    """A person runs each file by hand: the program has no passes to wait between."""
    assert "pause" not in words_of("program without several passes, rollers").rows
    assert "pause" in words_of("rollers, taper, shim").rows


def test_the_ends_of_solid_parts_have_one_name() -> None:
    """What lies in the jaws as end 1 is not called base or rim where the file is imported."""
    assert words_of("bare nut").rows["rim_edge"].text.startswith("In the program the side at end 2 must point up")
    assert words_of("chuck, straight").rows["rim_edge"].label == "Edge at the rim"
    for name in ("bare nut", "hexagon", "bare rod on rollers, file by file"):
        assert not [text for text in lines_of(name) if re.search(r"\b(rim|base|foot)\b", text)]


def test_two_fills_share_the_passes_of_a_slice() -> None:
    """Typing all of them into each fill would cut twice as deep: the row of the passes says what each fill gets."""
    actions = words_of("bare nut")
    around, along = (
        sum(one.last - one.first + 1 for one in actions.run.passes if one.fill_direction == way)
        for way in ("around", "along")
    )
    assert around + along == actions.rows["passes"].value
    for text in (actions.rows["passes"].text, actions.run.texts[1]):
        assert f"{around} passes with lines around, {along} along" in text


def test_a_lens_is_moved_by_tenths_or_not_at_all() -> None:
    """Nobody sets hundredths of a millimetre by hand, and no sharp focus asks for them."""
    for name in ("bare nut", "rollers, taper, shim", "chuck, straight"):
        value = float(words_of(name).rows["focus"].value)
        assert value == round(value, 1)
    shown = words_of("bare nut")
    still = shown.rows["focus"].model_copy(update={"value": 0.0, "focus_over_bed": 101.0})
    told = with_words(shown.with_each(lambda row: still if row.id == "focus" else row), ())
    assert "leave the lens there" in told.rows["focus"].text


def test_the_chances_of_a_job_that_is_ready_are_read_one_by_one() -> None:
    """Three short sentences, each chance in the form that it has everywhere."""
    ready = Verdict(state="ready", reasons=("readings",), chance_clean=0.91, chance_coated=0.01, chance_marked=0.08)
    text = verdict_text(ready, (), Sizes("mm"))
    assert text == f"READY. Clean: {in_ten(0.91)} items. Coating left: {in_ten(0.01)}. Metal marked: {in_ten(0.08)}."
    assert "about less" not in text
    untried = ready.model_copy(update={"reasons": ("coating_untried",), "chance_clean": 0.01})
    assert verdict_text(untried, (), Sizes("mm")).endswith("Coating untried: less than 1 in 20 items come out clean.")


def test_every_file_starts_where_the_first_one_did() -> None:
    """A second file on an item that stands elsewhere marks beside the first; with one file nothing is said."""
    assert "After each file the program turns back" in " ".join(words_of("rollers, taper, shim").run.texts)
    assert "Before each file turn the item back" in " ".join(words_of("chuck, straight").run.texts)
    for name in ("long taper, lens moved", "bare, long taper, parts without ink"):
        texts = words_of(name).run.texts
        assert len([text for text in texts if "Before each file turn the item back" in text]) == 1
    for name in (
        "one slice",
        "bare nut",
        "counted, rollers",
        "counted, file by file",
        "bare rod on rollers, file by file",
    ):
        no_start = ("back of your hand", "it never turns back exactly")
        texts = [text for text in words_of(name).run.texts if not any(words in text for words in no_start)]
        assert not [text for text in texts if "start" in text or "back" in text]
    actions = words_of("rollers, taper, shim")
    stored = run_texts(actions.model_copy(update={"run": actions.run.model_copy(update={"stored_start": True})}))
    assert [text for text in stored if "Save the start angle" in text and "crosses back to the top" in text]


@pytest.mark.parametrize("name", ["program without a second setting", "rollers, taper, shim", "one slice"])
def test_residue_has_an_answer_with_and_without_a_last_pass(name: str) -> None:
    """Haze after the passes is what a person meets most often; no look is left without what to do."""
    assert len([text for text in words_of(name).run.texts if text.startswith("Only residue")]) == 1
