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
        now = self.content_lines()
        if len(now) != len(before):
            self.refresh()
            return
        top, width = int(self.scroll_offset.y), self.size.width
        first = max(top, self.covered_lines())
        for place, (old, new) in enumerate(zip(before, now, strict=True)):
            if old != new and first <= place < top + self.size.height:
                self.refresh(Region(0, place - top, width, 1))

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
            self.virtual_size = Size(size[0], len(self._lines))
        return self._lines

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
