"""What the sheet that counts with a person says at the machine, by name; {…} is filled in there."""

from typing import Final

WORDS: Final[dict[str, str]] = {
    "follow": "Follow step by step",
    "back": "Back",
    "whole": "Whole sheet",
    "whole_lost": "Whole sheet (ticks are lost on reload)",
    "next": "Done, next",
    "done_if": "Start now: done about {at}.",
    "done_by": "Started {begun}. Done about {at}.",
    "tick_more": "Boxes still to tick: {n}",
    "first_power": "Type power {power} %, passes 1",
    "passes_here": "Passes on this slice",
    "pass_done": "Pass {n} is done",
    "wait": "Let it cool: {n} s",
    "look": "STOP AND LOOK after pass {n}",
    "choose": "Choose what you see",
    "clean": "Clean",
    "clean_how": "bare, unmarked metal",
    "left": "Coating left",
    "left_how": "one more pass",
    "left_rung": "then {power} % power",
    "left_end": "then stop, mark a test patch",
    "residue": "Residue",
    "residue_how": "wipes or scrapes off",
    "marked": "Dull, coloured or bright cut",
    "marked_how": "stop at once",
    "marked_stop": "STOP. The metal is marked. Use less power, or mark a test patch.",
    "end_stop": "STOP. Coating left at the last power. Mark a test patch.",
    "last_now": "Last pass, once. Then look.",
    "last_done": "Last pass is done",
    "rest_type": "Type power {power} %, passes {n}",
    "slice": "slice {n} of {of}",
    "round": "round {n} of {of}",
    "round_done": "Round {n} is done",
    "slice_done": "Slice {n} is done",
    "all_done": "All slices done",
    "part_type": "Focus for this part, import its file. Type power {power} %, passes {n}",
    "part_done": "{name} is done",
    "write_down": "Enter this run in the log. In quotes: your saved job's name. If the run went wrong, write "
    "coating-left, engraved, seams-show or spoiled in place of good.",
    "copy": "Copy the line",
    "copied": "Copied",
}


def log_text(name: str, coated: bool) -> str:
    """The line that logs the run; the sheet fills in minutes and passes, and on a coating the power that cleaned.

    >>> log_text("Heron mug", coated=True)
    'rotary log add "Heron mug" good --items 1 --took "{minutes} min" --passes {n} --power "{power} %"'
    """
    power = ' --power "{power} %"' * coated
    quoted = name.replace('"', "'")
    return f'rotary log add "{quoted}" good --items 1 --took "{{minutes}} min" --passes {{n}}{power}'
