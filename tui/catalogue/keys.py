"""The keys of every screen, with what they do: for the help, and held against the screens by a test."""

from typing import Final

Keys = tuple[tuple[str, str], ...]

DESK: Final[Keys] = (
    ("type", "the numbers update at every key you type"),
    ("Enter", "go to the next empty field. On a choice Enter opens the list, on a group the group"),
    ("Tab, arrows", "move between fields"),
    (
        "a choice",
        "Enter opens the list: type letters to narrow it, Enter or a click chooses. Left and Right change the choice "
        "at once",
    ),
    ("Ctrl+Up, Ctrl+Down", "change the last digit by one"),
    ("Esc", "undo what you typed in this field, else stop the calculation"),
    ("F1", "open this help. Help for your field comes first"),
    ("F2", 'switch mm and inch. You may type either: 88.9 mm, 88,9, 3 1/2 in, 7/8"'),
    ("F3", "show a letter at each group of fields. Press the letter to go there"),
    (
        "Alt+1, Alt+2, Alt+3, Alt+4, Alt+5",
        "go to measure, check, print, mark or save. Or click the word in the top line",
    ),
    ("F4, Shift+F4", "show the next picture, or the one before. In the pictures press 1 to 9, 0 or - too"),
    ("Space", "in the pictures: fill the window with the picture, and back"),
    ("i", "in the pictures: show the item as a real image, or in characters"),
    ("F5, Ctrl+L", "write the files that the marking program imports, beside the job"),
    ("F6", "go from the fields to the numbers and back"),
    ("F7, Ctrl+Y", "undo and redo a change (also Ctrl+Z)"),
    ("F8", "say how it went: press one letter, then type the numbers you ran"),
    ("F9", "switch light and dark"),
    ("Ctrl+D", "remove entries of the job file that rotary does not know"),
    (
        "Ctrl+E",
        "choose the artwork from a preview, or type words",
    ),
    (
        "Ctrl+N, Ctrl+F",
        "begin a new job: an empty item on your machine. You are asked first if something is not saved",
    ),
    ("Ctrl+S", "save the job under the item's name. Each save is a new version"),
    ("Ctrl+K", "look at the papers and print them: setup sheet, tests, templates"),
    ("Ctrl+O", "look for a saved job, compare, open"),
    ("Ctrl+R", "measure your machine, and see what is measured"),
    ("Ctrl+T, Ctrl+G", "make a test patch, then enter what you see in each cell: plans use it"),
    ("Ctrl+B, F10", "type words to mark. Then choose letters, place, depth and lists"),
    ("Ctrl+P", "find any command or field by its name. The mouse works too"),
    ("Ctrl+Q", "leave. You are asked first if something is not saved"),
)

ARTWORK: Final[Keys] = (
    ("type", "narrow the list to names that have these words"),
    ("Up, Down", "go to another file or folder. You see the drawing, its size, and what can't be read"),
    ("Enter", "open the folder, or take the drawing for the job"),
    ("Backspace", "clear the search, then go to the folder above"),
    ("F6", "type a text in place of a drawing, and back"),
    ("F2", "mm or inch"),
    ("Esc", "go back to the screen and change nothing"),
)

PROFILES: Final[Keys] = (
    ("type", "search by name, note, coating, laser or turning"),
    ("Up, Down", "go to another saved job"),
    ("PgUp, PgDn", "go to another version of this job"),
    ("Enter", "open this version on the screen"),
    ("Ctrl+N", "list the jobs most like the item on the screen first"),
    ("F3", "choose two jobs, one after the other, to see what differs"),
    ("F4", "make this version the newest, also if a job was changed in two places"),
    ("F5", "log a run: how it came out, how many, how long"),
    ("F6", "show only the proven jobs"),
    ("F7, F8", "copy or rename the job"),
    ("Ctrl+L", "open the logbook"),
    ("Ctrl+Y", "say that this job is proven, without logging a run"),
    ("Ctrl+E, Ctrl+B", "export the listed jobs to one file, or import from such a file after a look at it"),
    ("Ctrl+D", "move the job to the bin. You can take it out again"),
    ("F2", "mm or inch"),
    ("Esc", "back"),
)

REPEAT: Final[Keys] = (
    ("Enter", "go on to print the setup sheet with the numbers you ran"),
    ("1, 2, 3", "tick a check. At check 3 also type today's batch"),
    ("B", "enter today's batch: another batch needs a test patch first"),
    ("F9", "show today's untested plan. Press it again for the numbers you ran"),
    ("F8", "say how it went"),
    ("PgUp, PgDn", "scroll"),
    ("Esc", "go to the job on the screen"),
)

RUN: Final[Keys] = (
    ("G, L, E, S, X", "say: good, left coating, engraved, seams show, stopped"),
    ("Tab, arrows", "move between fields"),
    ("Enter", "log the run, then do the next step. In the empty photograph field, list the files"),
    ("F7, F8", "undo and redo a change"),
    ("Esc", "choose another answer. Press it again to go back and log nothing"),
)

LOGBOOK: Final[Keys] = (
    ("Up, Down", "go to another run. Its settings are on the right"),
    ("F6", "show the runs of this job, or of all jobs"),
    ("F2", "mm or inch"),
    ("Esc", "go back to the saved jobs"),
)

PATCH: Final[Keys] = (
    ("F5", "choose and draw the next nine cells on scrap. A patch not read yet is shown again"),
    ("F6", "make another new patch, though you have not read the last one"),
    ("I", "choose cells in a slice of the item itself"),
    ("P", "choose the patch to read, if there are several"),
    ("W", "see what helps: plan again with one thing changed each time"),
    ("Up, Down", "go to another cell"),
    ("C, H, O, T, X", "say what you see: coating left, residue, clean, heat tint, engraved"),
    ("-", "say that you could not judge it"),
    ("N", "add a note to the cell"),
    ("Del", "ignore the reading, or use it again. In the list of patches, close the patch"),
    ("Esc", "go back to the screen. The plan has learned from the patch"),
)

MACHINE: Final[Keys] = (
    ("F1", "see what to measure on this page, and how"),
    ("F3, F4", "go to the page before, or the next page"),
    ("F5", "write the files of this page"),
    ("F6", "save what you typed"),
    ("Esc", "go back to the screen. Plans now use the new readings"),
)

MACHINE_PAGE: Final[Keys] = (
    ("F3, F4", "go to the page before, or the next page"),
    ("Tab, arrows, Enter", "move between fields. Left and Right change a choice with ‹ ›"),
    ("F2", 'switch mm and inch. You may type either: 0.4 mm, 0,4, 1/64 in, 7/8"'),
    ("F5", "write the files of this page"),
    ("F6", "save your readings in the machine. First correct everything marked !"),
    ("F7, F8", "undo and redo what you typed"),
    ("PgUp, PgDn", "scroll the answer"),
    ("Esc", "go back to the screen. Plans now use the new readings"),
)
"""What the help of one page of the machine says of its keys."""

INSCRIPTION: Final[Keys] = (
    ("F1", "open the help of this page, with every field"),
    ("Enter", "at the end of the words, begin another line. Backspace in an empty line removes the line"),
    ("F2", "mm or inch"),
    ("F4", "save a measured depth, or ignore a saved one. Plans use these depths"),
    (
        "F5",
        "write files and sheet. For a list you first see which names don't fit. Esc stops",
    ),
    ("F6", "go from the fields to the answer and back"),
    ("F7, F8", "undo and redo a change"),
    ("Ctrl+S", "save the job with its words, as a new version"),
    ("Esc", "go back to the screen. The words are in the job"),
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
