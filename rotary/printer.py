"""What printers take where this computer stands."""

import os
from contextlib import suppress
from typing import Final, Literal

SheetName = Literal["A4", "Letter"]

_LETTER_LANDS: Final = ("US", "CA", "MX", "PH", "CL", "CO", "VE", "GT", "CR", "PA", "DO", "SV", "NI", "PR")
"""Where offices print on Letter (common practice, no source)."""

_NOWHERE: Final = ("C", "POSIX")
"""Locales of no land."""


def usual_sheet(system: str = "mm") -> SheetName:
    """The paper that is used where this computer stands, by its locale; where that tells nothing, by the units.

    The locale is what LC_ALL, LC_PAPER or LANG say.
    """
    for name in ("LC_ALL", "LC_PAPER", "LANG"):
        spoken = os.environ.get(name, "")
        if land := spoken.partition(".")[0].partition("_")[2][:2].upper():
            return "Letter" if land in _LETTER_LANDS else "A4"
    if any(os.environ.get(name, "").partition(".")[0] in _NOWHERE for name in ("LC_ALL", "LC_PAPER", "LANG")):
        # Python takes this locale for that of the US.
        return "Letter" if system == "in" else "A4"
    import locale

    with suppress(ValueError):
        if land := (locale.getlocale()[0] or "").partition("_")[2][:2].upper():
            return "Letter" if land in _LETTER_LANDS else "A4"
    return "Letter" if system == "in" else "A4"
