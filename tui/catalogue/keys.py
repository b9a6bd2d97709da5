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
    ("F1", "this help. Help for your field comes first"),
    ("F2", 'switch mm and inch. You may type either: 88.9 mm, 88,9, 3 1/2 in, 7/8"'),
    ("F3", "shows a letter at each group of facts. That letter goes there"),
    (
        "Alt+1, Alt+2, Alt+3, Alt+4, Alt+5",
        "to measure, check, print, mark or save. Or click it in the top line",
    ),
    ("F4, Shift+F4", "the next picture, the one before. In the pictures 1 to 9, 0 and - too"),
    ("Space", "in the pictures: the picture over the whole window, and back"),
    ("i", "in the pictures: show the item as a real image, or in characters"),
    ("F5, Ctrl+L", "write the files that the marking program imports, beside the job"),
    ("F6", "from the facts to the numbers and back"),
    ("F7, Ctrl+Y", "undo and redo a change (also Ctrl+Z)"),
    ("F8", "say how it went: press one letter, then type the numbers you ran"),
    ("F9", "light or dark"),
    ("Ctrl+D", "remove entries of the job file that rotary does not know"),
    (
        "Ctrl+E",
        "artwork: choose a drawing from a preview, or type words",
    ),
    (
        "Ctrl+N, Ctrl+F",
        "a new job: an empty item on your machine, this one or the one saved last. It asks if something is not saved",
    ),
    ("Ctrl+S", "save the job under the item's name. Each time is a new version"),
    ("Ctrl+K", "papers: setup sheet, tests and templates, to look at and to print"),
    ("Ctrl+O", "saved jobs: look for one, compare, open"),
    ("Ctrl+R", "your machine: its measurements, and how to measure more"),
    ("Ctrl+T, Ctrl+G", "test patch: choose its cells, enter what you see in each, watch the plan learn"),
    ("Ctrl+B, F10", "words to mark: type them. Then choose letters, place, depth and lists"),
    ("Ctrl+P", "all commands, and any field by its name. The mouse works too"),
    ("Ctrl+Q", "leave. It asks if something is not saved"),
)

ARTWORK: Final[Keys] = (
    ("type", "narrow the list to names that have these words"),
    ("Up, Down", "another file or folder. You see its drawing, size, ink, and anything unreadable"),
    ("Enter", "open the folder, or take the drawing for the job"),
    ("Backspace", "take back the search. Then the folder above"),
    ("F6", "a text in place of a drawing, and back"),
    ("F2", "mm or inch"),
    ("Esc", "back to the screen. Nothing has changed"),
)

PROFILES: Final[Keys] = (
    ("type", "search by name, note, coating, laser or turning"),
    ("Up, Down", "another saved job"),
    ("PgUp, PgDn", "another version of it"),
    ("Enter", "open this version on the screen"),
    ("Ctrl+N", "nearest to the item on the screen first"),
    ("F3", "mark it, then another: see the differences"),
    ("F4", "make this version the newest. If there are two, this chooses one"),
    ("F5", "log a run: how it came out, how many, how long"),
    ("F6", "proven ones only"),
    ("F7, F8", "copy, rename"),
    ("Ctrl+L", "the logbook"),
    ("Ctrl+Y", "mark it proven without logging a run"),
    ("Ctrl+E, Ctrl+B", "export the listed ones to one file. Import from such a file, after a look at it"),
    ("Ctrl+D", "discard: it goes to the bin and can be taken out again"),
    ("F2", "mm or inch"),
    ("Esc", "back"),
)

REPEAT: Final[Keys] = (
    ("Enter", "on to print: the setup sheet with the numbers as run"),
    ("1, 2, 3", "tick a check. 3 also asks today's batch"),
    ("B", "enter today's batch: another batch needs a test patch first"),
    ("F9", "show today's untested plan. Again: the numbers that were run"),
    ("F8", "how did it go?"),
    ("PgUp, PgDn", "scroll"),
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
    ("F6", "the runs of this job, or of all"),
    ("F2", "mm or inch"),
    ("Esc", "back to the saved jobs"),
)

PATCH: Final[Keys] = (
    ("F5", "choose the next nine cells on scrap, and draw them. A patch you have not read yet comes again"),
    ("F6", "another patch, even if you have not read the last one"),
    ("I", "choose them in a slice of the item"),
    ("P", "choose the patch to read, if there are several"),
    ("W", "what helps: plan again with one thing changed each time"),
    ("Up, Down", "another cell"),
    ("C, H, O, T, X", "what you see in it: coating left, residue, clean, heat tint, engraved"),
    ("-", "you could not judge it"),
    ("N", "a note to it"),
    ("Del", "ignore it, or use it again. In the list of patches: close that patch"),
    ("Esc", "back to the screen, with a plan that has learned from it"),
)

MACHINE: Final[Keys] = (
    ("F1", "what to measure on this page, and how"),
    ("F3, F4", "the page before, the next page"),
    ("F5", "write the files of this page"),
    ("F6", "save what is typed"),
    ("Esc", "back to the screen, which plans with the new readings"),
)

MACHINE_PAGE: Final[Keys] = (
    ("F3, F4", "the page before, the next page"),
    ("Tab, arrows, Enter", "move between fields. ‹ › with Left and Right change a choice"),
    ("F2", 'mm or inch. What you type may carry either unit: 0.4 mm, 0,4, 1/64 in, 7/8"'),
    ("F5", "write the files of this page"),
    ("F6", "save your readings in the machine. While anything is marked ! nothing is saved"),
    ("F7, F8", "undo and redo what was typed"),
    ("PgUp, PgDn", "scroll the answer"),
    ("Esc", "back to the screen, which plans with the new readings"),
)
"""What the help of one page of the machine says of its keys."""

INSCRIPTION: Final[Keys] = (
    ("F1", "its own help: every field"),
    ("Enter", "at the end of the words starts another line. Backspace in an empty line removes it"),
    ("F2", "mm or inch"),
    ("F4", "save a measured depth, or ignore a saved one. Plans use them"),
    (
        "F5",
        "write files and sheet. From a list: sizes all entries, shows the misfits, writes the rest if you like. Esc "
        "stops it",
    ),
    ("F6", "from fields to the answer and back"),
    ("F7, F8", "undo and redo a change"),
    ("Ctrl+S", "save the job with its words, as a new version"),
    ("Esc", "back to the screen, which has the words now"),
)

SCREENS: Final[dict[str, tuple[str, Keys]]] = {
    "Desk": ("Keys of the screen", DESK),
    "ArtworkScreen": ("Choosing artwork (Ctrl+E)", ARTWORK),
    "Profiles": ("Saved jobs (Ctrl+O)", PROFILES),
    "RepeatPage": ("A saved job opened again", REPEAT),
    "RunLog": ("How did it go? (F8)", RUN),
    "LogbookScreen": ("Logbook (Ctrl+L in the saved jobs)", LOGBOOK),
    "Patch": ("Test patch (Ctrl+T)", PATCH),
    "MachineScreen": ("Your machine (Ctrl+R)", MACHINE),
    "InscriptionScreen": ("Inscription (Ctrl+B)", INSCRIPTION),
}
"""Title and keys of each screen, by the name of its class."""
