"""How a job is run, in sentences, in the order in which it is done; made from the actions alone, stored ones too."""

from itertools import pairwise
from typing import Final, NamedTuple

from rotary.actions.models import Actions, Files, LastPass, RunActions
from rotary.errors import listing
from rotary.passes.plan.setting import Removal
from rotary.sentences.passes import AFTER, BEFORE
from rotary.sentences.short_rows import fills_of

BLANK: Final = "____"
"""Where a person writes what was seen, and types it from then on."""

ONE_PASS: Final = "Type 1 pass. Mark, let it cool, wipe, look."
NEVER_ROUND: Final = "Finish each slice before the item turns: it never turns back exactly."
DULL: Final = "STOP if the metal is dull, coloured or cut bright."
BURST: Final = "STOP if the film cracks or bursts."
"""The same of a film that is bleached, which stays on the metal."""
RESIDUE_ALONE: Final = "Only residue: go on as above."
RESIDUE: Final = "Only residue: mark the last pass, look. Not clean: as above."
TOO_HOT: Final = "Too hot to touch? Let it cool before you go on."
ALL_ROUND_LAST: Final = "Then mark the last pass once, all round."


class RunParts(NamedTuple):
    """How a job is run, by where a person is: before the first slice, at it, at the second, at all others, after them.

    `stop` is what stops the run at once, `clean` what is written down, on the first slice of a coating.
    """

    before: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    stop: str = ""
    clean: str = ""
    second: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    after: tuple[str, ...] = ()


def run_texts(actions: Actions, system: str = "mm") -> tuple[str, ...]:
    """What is done at the machine, one line a step; nothing where no passes are offered."""
    parts = run_parts(actions, system)
    once = tuple(text for text in (parts.stop, parts.clean) if text)
    return (*parts.before, *parts.first, *once, *parts.second, *parts.others, *parts.after)


def run_parts(actions: Actions, system: str = "mm") -> RunParts:
    """The same in parts."""
    run = actions.run
    if not run.rungs:
        return RunParts()
    turns = "slice_turns" in actions.rows
    how = _bare(actions, system) if run.depth_check_after else _coated(actions)
    never = (NEVER_ROUND,) if run.turns == "roller" and turns else ()
    after = tuple(text for name, text in AFTER.items() if name in run.after and (turns or name != "seams"))
    return how._replace(
        before=tuple(text for name, text in BEFORE.items() if name in run.before and _is_due(name, actions)),
        others=(*how.others, *_other_faces(run), *never),
        after=(*after, *_next_items(actions)),
    )


def _other_faces(run: RunActions) -> tuple[str, ...]:
    """The files of a part's other faces, which are run as the first one was."""
    files = run.files
    others = [name for name in files.faces if name != (files.first or files.whole)]
    if not others:
        return ()
    same = (
        "run the same passes" if run.depth_check_after or run.counted else "type the power and passes of the first face"
    )
    then = _and_last(run.last_pass, "mark ")
    return (f"Other faces: turn to each and import its file ({', '.join(others)}). {same[0].upper()}{same[1:]}{then}.",)


def _is_due(name: str, actions: Actions) -> bool:
    """What is proven on this batch, or was read on a patch already, needs no patch."""
    verdict = actions.verdict
    if name != "test_patch" or "other_batch" in verdict.reasons:
        return True
    # Where something else shows it, as a scrap item or the seam test, no patch does.
    is_shown_otherwise = {"settings_untried", "ran_badly"} & set(verdict.reasons)
    is_asked_for = "test_patch" in [one.id for one in actions.steps]
    return verdict.state in ("not ready", "test first") and (is_asked_for or not is_shown_otherwise)


def slices_of(actions: Actions) -> int:
    """How many slices the program shows of the file that is imported."""
    shown = actions.rows.get("slices_shown")
    return int(shown.value) if shown is not None else 1


def _coated(actions: Actions) -> RunParts:
    run, several = actions.run, slices_of(actions) > 1
    if run.counted or run.like_first:
        return RunParts(others=_counted(actions, several))
    first = run.files.first or run.files.whole
    if run.file_per_slice:
        return _singly(actions)
    starts = f"First slice{_number(run.files.first_slice)}: import {first}. " if first and several else ""
    looks = _looks(run, (f"{starts}{ONE_PASS}",))
    return looks._replace(second=_second(run), others=_others(run)) if several else looks


def _next_items(actions: Actions) -> tuple[str, ...]:
    """What is imported and typed for more items of a coating that was tried on this one; said after the last look."""
    run, files = actions.run, actions.run.files
    if run.depth_check_after or run.counted or run.like_first or run.file_per_slice:
        return ()
    then = f"{_pause(run)}{_and_last(run.last_pass, 'mark ')}"
    if slices_of(actions) == 1:
        return (f"Later items: type the power and passes that you noted{then}.",)
    every = "each part's file, focus for it" if files.zones else files.whole
    # What the second slice needs is for the rest, of this item and of others.
    numbers = "of the second slice" if files.second else "that you noted"
    how = f"Type the power and passes {numbers}{then}"
    if run.order == "all round":
        how = f"Run {'each' if files.zones else 'it'} all round in the same way"
    if files.rest and run.order != "all round":
        return (f"Later items: import {every}, then go on as with the other slices.",)
    return (f"Later items: import {every}. {how}.",) if every else ()


def _singly(actions: Actions) -> RunParts:
    """Each slice from a file of its own, turned to by hand."""
    run = actions.run
    last = _and_last(run.last_pass, "mark ")
    second = run.files.second
    again = f"Second slice: turn to it, import {second}. Type the noted power. Count its passes till clean{last}."
    starts = (_by_hand(actions), f"First slice: turn to it, import {run.files.first}. {ONE_PASS}")
    return _looks(run, starts)._replace(
        second=(again,) if second else (),
        others=(f"Others: turn to each slice, import its file. Run each file as many times as you counted{last}.",),
    )


def _by_hand(actions: Actions) -> str:
    turn = actions.rows["slice_turns"]
    return f"From slice to slice turn the item by {turn.steps} motor steps ({turn.value}°). Turn past blank slices too."


def _looks(run: RunActions, starts: tuple[str, ...]) -> RunParts:
    """How the first slice is begun, then what each look leads to, rung by rung, to the end of the ladder."""
    rungs = run.rungs
    first = rungs[0]
    bleached = _is_bleached(run)
    # A bleached film stays on: what goes is its colour.
    what = "Colour" if bleached else "Coating"
    # After a single pass there is no other at this power.
    lines = [f"{what} left: 1 more pass, look. At most {first.passes} passes at {first.power:g} %."] * (
        first.passes > 1
    )
    lines += [
        # Told with its count and power: nobody turns the power up while passes at the one before are left.
        f"{what} after {_passes(before.passes)} at {before.power:g} %: 1 pass at {rung.power:g} %, look."
        for before, rung in pairwise(rungs)
    ]
    last = rungs[-1]
    left = f"{what} after {_passes(last.passes)} at {last.power:g} %: stop and mark a test patch."
    return RunParts(
        first=(*starts, *lines, left, RESIDUE if run.last_pass else RESIDUE_ALONE),
        stop=stop_text(bleached),
        clean=f"Clean: note {BLANK} % power, {BLANK} passes.{_then_last(run.last_pass)}",
    )


def stop_text(bleached: bool) -> str:
    """What stops the work at once, by whether the film is bleached."""
    return BURST if bleached else DULL


def _is_bleached(run: RunActions) -> bool:
    return run.last_pass is not None and run.last_pass.only_if_uneven


def _then_last(last: LastPass | None) -> str:
    if last is None:
        return ""
    when = "Only where the colour is uneven mark the" if last.only_if_uneven else "Mark the"
    return f" {when} last pass once: {last_pass_text(last)}."


def _and_last(last: LastPass | None, mark: str = "") -> str:
    if last is None:
        return ""
    return f", then {mark}the last pass{' where the colour is uneven' if last.only_if_uneven else ''}"


def _and_last_each(last: LastPass | None) -> str:
    """The same where each slice gets it before the item turns on."""
    return _and_last(last) if last is not None and last.when == "each slice" else ""


def last_pass_text(last: LastPass) -> str:
    """The numbers of the last pass."""
    lines = "lines along the item" if last.fill_direction == "along" else f"lines shifted {last.line_shift:.3f} mm"
    return f"{last.power:g} % power, {last.speed:g} mm/s, {lines}"


def resumed_texts(run: RunActions) -> tuple[str, ...]:
    """What else the slices that are left of a coated item are marked with, where the job was stopped."""
    powers = listing([f"{rung.power:g}" for rung in run.rungs], "or")
    known = [f"Power: type the power that cleaned the earlier slices ({powers} %)."] * (len(run.rungs) > 1)
    return (*known, *([f"Last pass: {last_pass_text(run.last_pass)}."] if run.last_pass else []))


def _second(run: RunActions) -> tuple[str, ...]:
    """The second slice, whose count is for the rest."""
    if not run.files.second:
        return _back_to_start(run)
    last = f"{_and_last(run.last_pass, 'mark ')} (not counted)" if run.last_pass else ""
    number = _number(run.files.second_slice)
    again = f"Second slice{number}: import {run.files.second}. Type the noted power. Count passes till clean{last}."
    return (*_back_to_start(run), again)


def _number(number: int | None) -> str:
    """The number of a slice that is marked before the others: who goes on after a stop has to tell it."""
    return f" (slice {number})" if number else ""


def _others(run: RunActions) -> tuple[str, ...]:
    """All slices but the first two."""
    files, last = run.files, run.last_pass
    lines: list[str] = []
    if not files.rest:
        return ()
    whose = f"the {'second' if files.second else 'first'} slice"
    if run.order == "all round":
        lines.append(
            f"All others: import {files.rest}. Type the power of {whose} and 1 pass. Run the file all round as many "
            f"times as you counted.{_between_rounds(run)}"
        )
        lines += [ALL_ROUND_LAST] if last else []
    else:
        pause = _pause(run)
        each = f"{_and_last_each(last)}, then let the item turn"
        lines.append(
            f"All others: import {files.rest}. Type the power and passes of {whose}{pause}. On each slice mark the "
            f"passes{each}."
        )
        if last and last.when == "after all":
            lines.append(ALL_ROUND_LAST)
    if others := [name for name in files.zones if name not in ("", files.whole)]:
        how = (
            "Run each all round in the same way"
            if run.order == "all round"
            else f"Type the power and passes of {whose}. On each slice mark the passes"
        )
        lines.append(f"Other parts: focus anew for each, import {', '.join(others)}. {how}{_and_last(last)}.")
    return tuple(lines)


def _imported(files: Files) -> str:
    """The import of all slices, which are run alike."""
    zones = [name for name in files.zones if name]
    whole = f"each part at its own focus: {', '.join(zones)}" if zones else files.whole
    return f"Import {whole}. " if files.whole else ""


def _back_to_start(run: RunActions) -> tuple[str, ...]:
    """How each of several files starts where the first one did: rollers slip, so that only the marks show it."""
    files = run.files
    names = {files.first or files.whole, files.second, files.rest, *files.zones} - {""}
    if len(names) < 2 or run.file_per_slice:
        return ()
    if run.stored_start:
        marks = " Bring the crosses back to the top, under the pointer." if run.turns == "roller" else ""
        return (f"Save the start angle in your program, start each file there.{marks}",)
    if run.turns == "roller":
        return ("After each file the program turns back. Bring the crosses to the top, under the pointer.",)
    return ("Before each file turn the item back. The crosses must be on top, under the pointer.",)


def _counted(actions: Actions, several: bool) -> tuple[str, ...]:
    run, last = actions.run, actions.run.last_pass
    name, each = _imported(run.files), _and_last_each(last)
    times = f"{run.counted or BLANK} times ({_known(run)})"
    if run.file_per_slice:
        lines = [_by_hand(actions), f"For each slice turn to it, import its file. Run the file {times}{each}."]
    elif run.order == "all round" and several:
        lines = [f"{name}Type 1 pass. Run the file all round {times}.{_between_rounds(run)}"]
    else:
        then = f". On each slice mark the passes{each}, then let the item turn." if several else f"{each}."
        lines = [f"{name}Type {run.counted or BLANK} passes ({_known(run)}){_pause(run)}{then}"]
    if last and last.when == "after all":
        lines.append(ALL_ROUND_LAST)
    if len(run.rungs) > 1:
        lines.insert(0, "Type the power that cleaned the list's first item.")
    lasts = [f"Last pass: {last_pass_text(last)}."] if last else []
    return (*_back_to_start(run), *lines, *lasts, stop_text(_is_bleached(run)))


def _known(run: RunActions) -> str:
    return "your count" if run.counted else "the count of the list's first item"


def others_text(steps: Removal, in_turns: bool = False) -> str:
    """How a file is run whose number of passes is known by then: counted, or as the first one took.

    `in_turns`: its slices come round in turn. A plan all round lets each slice cool while the others are marked: what
    stays under the beam has to rest instead.
    """
    power = "the power and " if len(steps.rungs) > 1 else ""
    count = f"{steps.counted_passes}" if steps.is_counted else f"{power}the number of"
    then = ", then mark the last pass" if steps.last_when else ""
    pause = f", pause {steps.pause_s:g} s between passes" if steps.pause_s else ""
    if steps.order != "all-round":
        return f"type {count} passes{'' if steps.is_counted else ' that you wrote down'}{pause}{then}"
    often = f"{count} times" if steps.is_counted else "as many times as you wrote down"
    one = "type 1 pass" if steps.is_counted or not power else "type 1 pass and the power that you wrote down"
    if in_turns:
        return f"{one}, run the file all round {often}{then and ', then mark the last pass once, all round'}"
    return f"{one}, run the file {often}, let the item cool between runs{then}"


def rungs_text(steps: Removal) -> str:
    """How many passes at most, at each power of the ladder where there are several."""
    if len(steps.rungs) < 2:
        return f"at most {_passes(steps.passes_at_most)}"
    first, *others = steps.rungs
    then = (f"then {rung.passes} at {100 * rung.power_share:g} %" for rung in others)
    return ", ".join((f"at most {_passes(first.passes)} at {100 * first.power_share:g} % power", *then))


def _passes(count: int) -> str:
    return f"{count} pass{'es' * (count != 1)}"


def _pause(run: RunActions) -> str:
    pause = _pause_s(run)
    return f", pause {pause:g} s between passes" if pause else ""


def _between_rounds(run: RunActions) -> str:
    """A round is one pass, so a pause between passes is none between rounds."""
    pause = _pause_s(run)
    return f" Wait {pause:g} s or more between rounds." if pause else ""


def _pause_s(run: RunActions) -> float:
    return max((one.pause for one in run.passes), default=0.0)


def _bare(actions: Actions, system: str) -> RunParts:
    """Bare metal: how the planned passes are run, and where the depth is measured."""
    run, check = actions.run, actions.run.depth_check_after or 1
    deep = next((one.depth_um for one in run.passes if one.last >= check and one.depth_um), None)
    about = f" It should be about {_depth(deep * check / _last_of(run, check), system)}." if deep else ""
    first = " on the first slice" if slices_of(actions) > 1 or run.file_per_slice else ""
    measure = (
        f"Stop after {_passes(check)}{first} and measure the depth.{about} Deeper: mark fewer passes, shallower: more."
    )
    return RunParts(first=(*_back_to_start(run), *_cuts(actions), measure, TOO_HOT))


def _cuts(actions: Actions) -> tuple[str, ...]:
    """The planned passes, with the fill's direction in each."""
    run = actions.run
    passes, name = run.rungs[0].passes, _imported(run.files)
    fills = fills_of(run)
    change = " Change the lines each time: around, then along." if fills else ""
    if run.file_per_slice:
        return _by_hand(actions), f"For each slice turn to it, import its file. Run the file {passes} times.{change}"
    if run.order == "all round":
        return (f"{name}Type 1 pass and run the file all round {passes} times.{change}",)
    several = slices_of(actions) > 1
    if fills:
        turn = " On each slice mark both fills, then let the item turn." * several
        return (f"{name}In the program give the file two fills: {fills}.{turn}",)
    turn = " Then let the item turn." * several
    return (f"{name}Type {passes} passes{' on each slice' * several}{_pause(run)}.{turn}",)


def _last_of(run: RunActions, check: int) -> int:
    return next(one.last for one in run.passes if one.last >= check)


def _depth(um: float, system: str) -> str:
    return f"{um / 25_400:.4f} in" if system == "in" else f"{um / 1000:.3f} mm"
