"""What printers take where this computer stands."""

import os
from contextlib import suppress
from typing import Final, Literal

SheetName = Literal["A4", "Letter"]

_LETTER_LANDS: Final = ("US", "CA", "MX", "PH", "CL", "CO", "VE", "GT", "CR", "PA", "DO", "SV", "NI", "PR")
"""Where offices print on Letter (common practice, no source)."""


def usual_sheet(system: str = "mm") -> SheetName:
    """The paper that is used where this computer stands, by its locale; where that tells nothing, by the units.

    The locale is what LC_ALL, LC_PAPER or LANG say.
    """
    for name in ("LC_ALL", "LC_PAPER", "LANG"):
        if spoken := os.environ.get(name, ""):
            return _sheet_of(spoken, system)
    # Only Windows says nothing there; elsewhere the plain locale, C, is told apart from a land's by its name alone.
    import locale

    with suppress(ValueError):
        return _sheet_of((locale.getlocale()[0] or "") if os.name == "nt" else "", system)
    return _sheet_of("", system)


def _sheet_of(spoken: str, system: str) -> SheetName:
    """The paper of a locale's land; of a locale without one, like C or POSIX, that of the units.

    >>> _sheet_of("en_US.UTF-8", "mm"), _sheet_of("de_DE", "in"), _sheet_of("C.UTF-8", "mm"), _sheet_of("POSIX", "in")
    ('Letter', 'A4', 'A4', 'Letter')
    """
    if land := spoken.partition(".")[0].partition("_")[2][:2].upper():
        return "Letter" if land in _LETTER_LANDS else "A4"
    return "Letter" if system == "in" else "A4"
