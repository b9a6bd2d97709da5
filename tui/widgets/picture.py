"""A panel whose picture may be an image over its cells."""

from collections.abc import Callable
from typing import ClassVar

from textual.binding import Binding
from textual.geometry import Region
from textual.strip import Strip

from tui.drawings.pixels import Pixels
from tui.terminal.images import ImagePlace
from tui.widgets.panel import Painter, Panel

Image = Callable[[int, int], tuple[int, Pixels] | None]
"""By the panel's width and height: how many rows of an image have room, and the image; None where there is none."""


class PicturePanel(Panel):
    """Lines, and the image that stands over the first of them."""

    BINDINGS: ClassVar = [Binding("i", "app.images", "As a real image, or in characters", show=False)]

    def __init__(self, painter: Painter, image: Image, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(painter, id=id)
        self._image = image
        self.is_painted = False
        self.standing: ImagePlace | None = None
        """Where an image stands on the screen now."""

    def covered_lines(self) -> int:
        """Those below an image that gives way to another one: else they would be seen between the two. Of the last one
        a few pixels may be in sight."""
        place = self.image_place() if self.standing is not None else None
        if place is None or self.standing is None:
            return 0
        if place != self.standing:
            self.refresh(Region(0, place.rows - 1, self.size.width, 1))
        return min(place.rows, self.standing.rows) - 1

    def render_lines(self, crop: Region) -> list[Strip]:
        """Lines that are painted now, and the image with them."""
        self.is_painted = True
        return super().render_lines(crop)

    def image_place(self) -> ImagePlace | None:
        """Where the image stands on the screen; None where its first row or its width is not in sight, or a message
        lies over it."""
        room = self.scrollable_content_region
        image = self._image(room.width, room.height) if self.display and room.area else None
        if image is None:
            return None
        rows, pixels = image
        covered = any(toast.region.overlaps(room) for toast in self.screen.query("Toast"))
        fits = rows > 0 and pixels.columns <= room.width and self.screen.region.contains_region(room)
        return ImagePlace(room.x, room.y, rows, pixels) if fits and not (covered or self.scroll_offset.y) else None
