"""The keys of every screen, with what they do: for the help, and held against the screens by a test."""

from typing import Final

Keys = tuple[tuple[str, str], ...]

DESK: Final[Keys] = (
    ("type", "fill in a field. The numbers change while you type"),
    ("Enter", "go to the next field that is empty and needed. On a choice open its list, on a group open the group"),
    ("Tab, arrows", "move between fields"),
    (
        "on a choice",
        "Enter opens the list. Type letters to shorten the list, then choose with Enter or a click. Left "
        "and Right change the choice without the list",
    ),
    ("Ctrl+Up, Ctrl+Down", "change the last digit by one"),
    (
        "Esc",
        "take back what you typed in this field. If you typed nothing: stop the numbers or picture being worked out",
    ),
    ("F1", "open this help. Help for your field comes first"),
    ("F2", "switch between mm and inch. You can always type either, such as 88.9 mm or 3 1/2 in"),
    ("F3", "show a letter at each group of fields. Press the letter to go there"),
    (
        "Alt+1 to Alt+5",
        "1: go to the next missing fact. 2: to the numbers. 3: to the papers. 4: say how it went. 5: save. Or click "
        "the word in the top line",
    ),
    (
        "F4, Shift+F4",
        "F4 shows the next picture, Shift+F4 the picture before. Or click the picture, then choose another by "
        "its key: 1 to 9, 0, - or =",
    ),
    ("Space", "after a click on the picture, fill the window with it, or make it small again"),
    ("i", "after a click on the picture, show the item as a real image, or in characters"),
    (
        "F5 or Ctrl+L",
        "write the files that you import into your marking program. They go into the folder of the job file, or "
        "else into the folder where you started rotary",
    ),
    ("F6", "go from the fields to the numbers and back"),
    ("F7, Ctrl+Y", "F7 (or Ctrl+Z) takes back your last change, Ctrl+Y makes it again"),
    ("F8", "say how a run went: press one letter, then fill in what you ran"),
    ("F9", "switch between a light and a dark screen"),
    ("Ctrl+D", "remove entries of the job file that rotary does not know"),
    (
        "Ctrl+E",
        "choose a drawing, with a preview, or type a text to mark",
    ),
    (
        "Ctrl+N or Ctrl+F",
        "begin a new job: its item fields are empty, your machine stays. You are asked first if something is not saved",
    ),
    ("Ctrl+S", "save the job under the item's name. Each save is a new version"),
    ("Ctrl+K", "look at the papers and print them: setup sheet, tests, templates"),
    ("Ctrl+O", "look for a saved job, compare it with another, or open it"),
    ("Ctrl+R or Ctrl+X", "measure your machine, and see what you measured so far"),
    ("Ctrl+T or Ctrl+G", "make a test patch, then enter what you see in each cell. New plans use what you entered"),
    ("Ctrl+B or F10", "type words to mark. Then choose letters, place and depth, or a list of names"),
    ("Ctrl+P", "find any command or field by its name. The mouse works too"),
    ("Ctrl+Q", "leave. You are asked first if something is not saved"),
)

ARTWORK: Final[Keys] = (
    ("type", "type a part of a name: only names that contain it stay in the list"),
    ("Up, Down", "go to another file or folder. Of a drawing you see its size, and what rotary can't read in it"),
    ("Enter", "open the folder, or take the drawing for the job"),
    ("Backspace", "clear what you typed. If nothing is typed, go to the folder above"),
    ("F6", "type a text in place of a drawing. Press F6 again to choose a drawing"),
    ("F2", "mm or inch"),
    ("Esc", "go back to the screen and change nothing"),
)

PROFILES: Final[Keys] = (
    ("type", "search by name, note, coating, laser or turning"),
    ("Up, Down", "go to another saved job"),
    ("PgUp, PgDn", "go to another version of this job"),
    ("Enter", "open this version on the screen"),
    ("Ctrl+N", "list first the jobs whose items are most like the item on the screen"),
    ("F3", "compare two jobs: press F3 on one job, then go to the other"),
    ("F4", "make this version the newest. If a job was changed in two places, this ends the warning"),
    ("F8", "log a run: how it came out, how many items, how long it took"),
    ("F6", "show only the proven jobs"),
    ("F7, Shift+F7", "F7 copies the job, Shift+F7 renames it"),
    ("Ctrl+L", "open the logbook"),
    ("Ctrl+Y", "say that this job is proven, although you logged no run"),
    (
        "Ctrl+E, Ctrl+B",
        "Ctrl+E exports the listed jobs to one file. Ctrl+B imports jobs from such a file, and shows them to you first",
    ),
    (
        "Ctrl+D",
        "move the job to the bin. To take it out again, run the command rotary profile restore outside this screen",
    ),
    ("F2", "mm or inch"),
    ("Esc", "back"),
)

REPEAT: Final[Keys] = (
    ("Enter", "go on to print the setup sheet with the numbers you ran"),
    ("1, 2, 3", "tick a check when you have done it. At check 3 also type today's batch of the coating"),
    ("B", "enter today's batch of the coating. If the job is not proven on this batch, first mark a test patch"),
    ("F6", "show a new plan for today, not yet run. Press F6 again for the numbers that you ran"),
    ("F8", "say how it went"),
    ("PgUp, PgDn", "scroll"),
    ("Esc", "go to the job on the screen"),
)

RUN: Final[Keys] = (
    ("G, L, E, S, X", "say how the run came out: good, coating left, engraved, seams show, or stopped"),
    ("Tab, arrows", "move between fields"),
    (
        "Enter",
        "save this run in the logbook, then see what comes next. In the empty photograph field, list your pictures",
    ),
    ("F7, Ctrl+Y", "F7 takes back your last change, Ctrl+Y makes it again"),
    ("Esc", "choose another answer. Press Esc once more to go back and save nothing"),
)

LOGBOOK: Final[Keys] = (
    ("Up, Down", "go to another run. On the right you see its settings"),
    ("F6", "show the runs of this job, or of all jobs"),
    ("F2", "mm or inch"),
    ("Esc", "go back to the saved jobs"),
)

PATCH: Final[Keys] = (
    (
        "F5 or Ctrl+X",
        "make a patch of nine cells for scrap. If you have not read the last patch, you see that patch again",
    ),
    ("A", "make another patch, although you have not read the last patch"),
    ("I", "make a patch for a hidden place on the item"),
    ("P", "choose the patch that you want to read"),
    ("W", "see what would give better odds: rotary tries one change after another"),
    ("Up, Down", "go to another cell"),
    ("C, H, O, T, X", "say what you see: coating left, residue, clean, heat tint, engraved"),
    ("-", "say that you could not judge this cell"),
    ("N", "add a note to this cell"),
    ("Del", "ignore this reading, or use it again. In the list of patches, say that you won't read the patch"),
    ("Esc", "go back to the screen. The plan there uses your readings"),
)

MACHINE: Final[Keys] = (
    ("F1", "see what to measure on this page, and how"),
    ("F3, F4", "go to the page before, or the next page"),
    ("F5 or Ctrl+X", "write the files of this page, if it has any"),
    ("Ctrl+S", "save what you typed"),
    ("Esc", "go back to the screen. Plans use the readings that you saved"),
)

MACHINE_PAGE: Final[Keys] = (
    ("F3, F4", "go to the page before, or the next page"),
    ("Tab, arrows, Enter", "move between fields. Left and Right change a choice, Enter opens its list"),
    ("F2", 'switch mm and inch. You may type either: 0.4 mm, 0,4, 1/64 in, 7/8"'),
    ("F5 or Ctrl+X", "write the files of this page, if it has any"),
    ("Ctrl+S", "save what you typed. First correct every field marked !"),
    ("F7, Ctrl+Y", "undo and redo what you typed"),
    ("PgUp, PgDn", "scroll the answer"),
    ("Esc", "go back to the screen. Plans use the readings that you saved"),
)
"""What the help of one page of the machine says of its keys."""

INSCRIPTION: Final[Keys] = (
    ("F1", "open the help of this page, with every field"),
    ("Enter", "at the end of a line of words, begin another line. Backspace in an empty line removes the line"),
    ("F2", "mm or inch"),
    ("F4", "save a measured depth, or ignore a saved one. Plans use these depths"),
    (
        "F5 or Ctrl+X",
        "write the files and the sheet. With a list of names you first see which names don't fit. Esc stops the work",
    ),
    ("F6", "go from the fields to the answer and back"),
    ("F7, Ctrl+Y", "F7 takes back your last change, Ctrl+Y makes it again"),
    ("Ctrl+S", "save the job with its words, as a new version"),
    ("Esc", "go back to the screen. Your words stay in the job"),
)

SCREENS: Final[dict[str, tuple[str, Keys]]] = {
    "Desk": ("Keys of the screen", DESK),
    "ArtworkScreen": ("Choosing artwork (Ctrl+E)", ARTWORK),
    "Profiles": ("Saved jobs (Ctrl+O)", PROFILES),
    "RepeatPage": ("Repeat: a saved job opened again", REPEAT),
    "RunLog": ("How did it go? (F8)", RUN),
    "LogbookScreen": ("Logbook (Ctrl+L in the saved jobs)", LOGBOOK),
    "Patch": ("Test patch (Ctrl+T)", PATCH),
    "MachineScreen": ("Your machine (Ctrl+R)", MACHINE),
    "InscriptionScreen": ("Inscription (Ctrl+B)", INSCRIPTION),
}
"""Title and keys of each screen, by the name of its class."""
