"""Two themes of our own: a dark one for the bench, a light one for a bright room."""

from typing import Final

from textual.theme import Theme

THEMES: Final = (
    Theme(
        name="boathouse-dark", dark=True, primary="#5fb3d9", secondary="#9ab87a", accent="#7fd1c7",
        warning="#e8b14f", error="#ff6b6b", success="#86d17a", foreground="#e6e9e8",
        background="#10171a", surface="#1a2327", panel="#222e33",
    ),
    Theme(
        name="boathouse-light", dark=False, primary="#0b6a94", secondary="#4f7030", accent="#00716a",
        warning="#8a5a00", error="#b3261e", success="#2f7031", foreground="#1b2224",
        background="#f6f7f4", surface="#ffffff", panel="#e4e9e6",
    ),
)  # fmt: skip
