"""Lines in inks, painted: the one place where an ink becomes a colour of the theme."""

from functools import lru_cache
from typing import Final

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.drawings.canvas import Line

PLAIN_SIGNS = str.maketrans("▾▸‹›…⌀→━│●−×·▌", "v><>~O>=|o-x-|")
"""What stands for signs that some terminals lack."""

_ATTRIBUTES = {"strong": Style(bold=True), "bad": Style(bold=True), "warn": Style(bold=True)}


@lru_cache(maxsize=8192)
def two_colours(name: str) -> Style:
    """A sign of one colour on another, each as #rrggbb."""
    return Style(color=name[:7], bgcolor=name[7:])


INKS: Final = {
    "plain": "foreground", "strong": "text-primary", "muted": "text-muted", "good": "text-success",
    "warn": "text-warning", "bad": "text-error", "a": "text-accent", "b": "text-warning", "c": "text-success",
    "grid": "text-disabled",
}  # fmt: skip
"""The theme's colour for each ink; rules of a style sheet would be matched for each widget at each restyling."""


class Inked(ScrollView):
    """A widget that paints lines of inked runs; its colours come from the theme."""

    DEFAULT_CSS = "Inked { scrollbar-size: 1 1; overflow-x: hidden; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._ink_styles: dict[str, Style] = {}

    def notify_style_update(self) -> None:
        """Colours have changed: look them up anew."""
        super().notify_style_update()
        self._ink_styles = {}

    @property
    def ground(self) -> Style:
        """The widget's own style, which Textual works out anew from all that it lies in each time it is asked."""
        style = self._ink_styles.get("")
        if style is None:
            style = self._ink_styles[""] = self.rich_style
        return style

    def ink(self, name: str) -> Style:
        """The style of an ink; of two colours, #rrggbb each, the first is the sign's and the second lies behind it."""
        if name.startswith("#"):
            return two_colours(name)
        style = self._ink_styles.get(name)
        if style is None:
            colour = Style(color=self.colour(INKS[name], self.background_colors[1]).rich_color)
            style = self._ink_styles[name] = self.ground + colour + _ATTRIBUTES.get(name, Style.null())
        return style

    def colour(self, variable: str, behind: Color) -> Color:
        """A colour of the theme as it looks before another one."""
        text: str = self.app.theme_variables[variable]
        if text.startswith("auto "):
            return behind + behind.get_contrast_text(float(text[5:-1]) / 100)
        return behind + Color.parse(text)

    def signs(self, text: str) -> str:
        """The text in signs that this terminal has."""
        return text.translate(PLAIN_SIGNS) if self.app.has_class("ascii") else text

    def strip(self, line: Line, width: int) -> Strip:
        """A line as Textual paints it, exactly so wide."""
        segments = [Segment(self.signs(run.text), self.ink(run.ink)) for run in line if run.text]
        return Strip(segments).adjust_cell_length(width, self.ground)
