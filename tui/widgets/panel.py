"""A panel of lines: asked for again whenever its content or its size has changed."""

import logging
from collections.abc import Callable

from textual.geometry import Region, Size
from textual.strip import Strip

from tui.drawings.canvas import Line, Run
from tui.widgets.inks import Inked

Painter = Callable[[int, int], list[Line]]


class Panel(Inked, can_focus=True):
    """Shows what a painter makes of so many columns and lines; scrolls where that is longer than the panel."""

    def __init__(self, painter: Painter, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._painter = painter
        self._lines: list[Line] | None = None
        self._for = (0, 0)

    def not_focusable(self) -> "Panel":
        """The same panel, passed over by the focus."""
        self.can_focus = False
        return self

    def redraw(self) -> None:
        """The content has changed: paint only the lines that are others than before, for terminals far away."""
        before, self._lines = self._lines, None
        if before is None or not self.is_attached or min(self.scrollable_content_region.size) <= 0:
            self.refresh()
            return
        now, top = self.content_lines(), int(self.scroll_offset.y)
        for place in range(max(top, self.covered_lines()), top + self.size.height):
            if before[place : place + 1] != now[place : place + 1]:
                self.refresh(Region(0, place - top, self.size.width, 1))

    def covered_lines(self) -> int:
        """So many of the first lines are out of sight, whatever is in them."""
        return 0

    def to_top(self) -> None:
        """Show the first line."""
        self.scroll_to(0, 0, animate=False)

    def on_resize(self) -> None:
        """Another size may want another drawing."""
        self._lines = None

    def content_lines(self) -> list[Line]:
        """The lines as they stand, drawn at most once for a content and a size."""
        size = self.scrollable_content_region.size
        if self._lines is None or self._for != size:
            self._for = size
            self._lines = self._drawn(*size) if min(size) > 0 else []
            self._resize(Size(size[0], max(len(self._lines), size[1])))
        return self._lines

    def _resize(self, whole: Size) -> None:
        """How far it scrolls has changed; without a bar for that nothing else on the screen has to move."""
        if self.styles.scrollbar_size_vertical:
            self.virtual_size = whole
        elif whole != self.virtual_size:
            self.set_reactive(Panel.virtual_size, whole)
            self.scroll_y = min(self.scroll_y, self.max_scroll_y)

    def _drawn(self, width: int, height: int) -> list[Line]:
        try:
            return self._painter(width, height)
        except Exception as trouble:
            # While painting, an exception would end the program and the typed work with it.
            if self.app.is_headless:
                raise
            logging.getLogger("tui").exception("no drawing")
            return [[Run(f" this picture can't be drawn ({type(trouble).__name__})", "bad")]]

    def render_line(self, y: int) -> Strip:
        """One line of the panel."""
        lines = self.content_lines()
        place = y + int(self.scroll_offset.y)
        width = self.scrollable_content_region.width
        return self.strip(lines[place] if 0 <= place < len(lines) else [Run("")], width)
