"""The keys of every screen, with what they do: for the help, and held against the screens by a test."""

from typing import Final

Keys = tuple[tuple[str, str], ...]

DESK: Final[Keys] = (
    ("type", "the numbers follow every key that you type"),
    ("Enter", "to the next thing that is missing. On a choice it opens the list, on a fold it opens that"),
    ("Tab, arrows", "move between fields"),
    ("a choice", "opens as a list: letters narrow it, Enter or a click takes one. Left and Right change it at once"),
    ("Ctrl+Up, Ctrl+Down", "step the last digit of a number"),
    ("Esc", "undo what you typed in this field. Otherwise stop the calculation"),
    ("F1", "this help. What it says of the field you are at stands first"),
    ("F2", 'switch mm and inch. You may type either: 88.9 mm, 88,9, 3 1/2 in, 7/8"'),
    ("F3", "shows a letter at each group of facts. That letter goes there"),
    (
        "Alt+1, Alt+2, Alt+3, Alt+4, Alt+5",
        "to measure, check, print, mark or save. Or click it in the top line",
    ),
    ("F4, Shift+F4", "the next picture, the one before. In the pictures 1 to 9, 0 and - too"),
    ("Space", "in the pictures: the picture over the whole window, and back"),
    ("i", "in the pictures: what the item will look like as an image, or in cells"),
    ("F5, Ctrl+L", "write the files that the marking program imports, beside the job"),
    ("F6", "from the facts to the numbers and back"),
    ("F7, Ctrl+Y", "undo and redo a change (also Ctrl+Z)"),
    ("F8", "say how it went: press one letter, then type what was run"),
    ("F9", "light or dark"),
    ("Ctrl+D", "take out of the job what its file has and rotary does not know"),
    (
        "Ctrl+E",
        "artwork: choose a drawing from a preview, or type words",
    ),
    (
        "Ctrl+N, Ctrl+F",
        "a new job: an empty item on your machine, this one or the one saved last. It asks if something is not saved",
    ),
    ("Ctrl+S", "save the job as a profile under the item's name. Each time is a new version"),
    ("Ctrl+K", "papers: setup sheet, tests and templates, to look at and to print"),
    ("Ctrl+O", "profiles: look for one, compare, open"),
    ("Ctrl+R", "your machine: what is known of it, what to measure and how"),
    ("Ctrl+T, Ctrl+G", "test patch: choose its cells, write down what is seen in each, watch the plan learn"),
    ("Ctrl+B, F10", "words: begin them among the facts. Once there are some, their letters, place, depth and lists"),
    ("Ctrl+P", "all commands. The mouse works too"),
    ("Ctrl+Q", "leave. It asks if something is not saved"),
)

ARTWORK: Final[Keys] = (
    ("type", "narrow the list to names that have these words"),
    ("Up, Down", "another file or folder. Its drawing is shown with its size, its ink, what could not be read"),
    ("Enter", "open the folder, or take the drawing for the job"),
    ("Backspace", "take back what narrows. Then the folder above"),
    ("F6", "a text in place of a drawing, and back"),
    ("F2", "mm or inch"),
    ("Esc", "back to the screen. Nothing has changed"),
)

PROFILES: Final[Keys] = (
    ("type", "search by name, note, coating, laser or turning"),
    ("Up, Down", "another profile"),
    ("PgUp, PgDn", "another version of it"),
    ("Enter", "open this version on the screen"),
    ("Ctrl+N", "nearest to the item on the screen first"),
    ("F3", "mark it, then another: what differs between the two"),
    ("F4", "make this version the newest. It settles versions that stand side by side"),
    ("F5", "log a run: how it came out, how many, how long"),
    ("F6", "proven ones only"),
    ("F7, F8", "copy, rename"),
    ("Ctrl+L", "the logbook"),
    ("Ctrl+Y", "it came out as wanted, no run logged: proven"),
    ("Ctrl+E, Ctrl+B", "write those listed to one file. Bring in what such a file holds, after a look at it"),
    ("Ctrl+D", "discard: it goes to the bin and can be taken out again"),
    ("F2", "mm or inch"),
    ("Esc", "back"),
)

REPEAT: Final[Keys] = (
    ("Enter", "on to print: the setup sheet with the numbers as run"),
    ("1, 2, 3", "tick a check. 3 also asks today's batch"),
    ("B", "which batch you mark today: another one than the proven wants a patch first"),
    ("F9", "show today's untested plan. Again: the numbers that were run"),
    ("F8", "how did it go?"),
    ("PgUp, PgDn", "more of it, where it is longer than the window"),
    ("Esc", "to the job on the screen"),
)

RUN: Final[Keys] = (
    ("G, L, E, S, X", "good, left coating, engraved, seams show, stopped"),
    ("Tab, arrows", "move between fields"),
    ("Enter", "log the run. After that: do the next step. In an empty photograph: list the files"),
    ("Esc", "another answer. Then back, nothing is logged"),
)

LOGBOOK: Final[Keys] = (
    ("Up, Down", "another run. What was set in it stands on the right"),
    ("F6", "the runs of this profile, or of all"),
    ("F2", "mm or inch"),
    ("Esc", "back to the profiles"),
)

PATCH: Final[Keys] = (
    ("F5", "choose the next nine cells on scrap, and draw them. A patch still to be read stays the same"),
    ("F6", "another patch, even where one is still to be read"),
    ("I", "choose them in a slice of the item"),
    ("P", "which patch is read, where there are several"),
    ("W", "what helps: plan again with one thing changed each time"),
    ("Up, Down", "another cell"),
    ("C, H, O, T, X", "what is seen in it: coating left, residue, clean, heat tint, engraved"),
    ("-", "it could not be read"),
    ("N", "a note to it"),
    ("Del", "ignore it, or let it count again. In the list of patches: read nothing more of that one"),
    ("Esc", "back to the screen, whose plan has learned from it"),
)

MACHINE: Final[Keys] = (
    ("F1", "what to measure on this page, and how"),
    ("F3, F4", "the page before, the next page"),
    ("F5", "write the files of this page"),
    ("F6", "save what is typed"),
    ("Esc", "back to the screen, which then plans with what was saved"),
)

MACHINE_PAGE: Final[Keys] = (
    ("F3, F4", "the page before, the next page"),
    ("Tab, arrows, Enter", "move between fields. ‹ › with Left and Right change a choice"),
    ("F2", 'mm or inch. What you type may carry either unit: 0.4 mm, 0,4, 1/64 in, 7/8"'),
    ("F5", "write the files of this page"),
    ("F6", "save what is typed in the machine. Where something is marked ! nothing is saved"),
    ("F7, F8", "undo and redo what was typed"),
    ("PgUp, PgDn", "scroll the answer"),
    ("Esc", "back to the screen, which then plans with what was saved"),
)
"""What the help of one page of the machine says of its keys."""

INSCRIPTION: Final[Keys] = (
    ("F1", "its own help: every field"),
    ("Enter", "at the end of the words begins another line. Backspace in an empty line takes it out"),
    ("F2", "mm or inch"),
    ("F4", "save the depth that was measured, or ignore a saved one: plans go by them"),
    (
        "F5",
        "write files and sheet. Of a list all entries are sized, the misfits shown, and the rest written if wanted. "
        "Esc stops it",
    ),
    ("F6", "from fields to the answer and back"),
    ("F7, F8", "undo and redo a change"),
    ("Ctrl+S", "save the words with the job, as a version of its profile"),
    ("Esc", "back to the screen, which has the words now"),
)

SCREENS: Final[dict[str, tuple[str, Keys]]] = {
    "Desk": ("Keys of the screen", DESK),
    "ArtworkScreen": ("Choosing artwork (Ctrl+E)", ARTWORK),
    "Profiles": ("Profiles (Ctrl+O)", PROFILES),
    "RepeatPage": ("A saved job opened again", REPEAT),
    "RunLog": ("How did it go? (F8)", RUN),
    "LogbookScreen": ("Logbook (Ctrl+L in the profiles)", LOGBOOK),
    "Patch": ("Test patch (Ctrl+T)", PATCH),
    "MachineScreen": ("Your machine (Ctrl+R)", MACHINE),
    "InscriptionScreen": ("Inscription (Ctrl+B)", INSCRIPTION),
}
"""Title and keys of each screen, by the name of its class."""
