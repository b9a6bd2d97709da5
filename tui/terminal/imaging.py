"""A program whose terminal may show images: a driver that asks it, and an image put over its cells in each update."""

from typing import TYPE_CHECKING

from textual.app import App

from tui.terminal.images import Asking, Images

if TYPE_CHECKING:
    from textual.driver import Driver

    from tui.terminal.answers import TerminalAnswer


class ImagingApp(App[int]):
    """What Textual's app does, with images."""

    images: Images

    def get_driver_class(self) -> "type[Driver]":
        """The usual one; in a terminal that may show images one that can ask it."""
        usual = super().get_driver_class()
        if usual.__name__ != "LinuxDriver":
            return usual
        from tui.terminal.answers import AskingDriver

        return AskingDriver

    def begin_images(self) -> None:
        """The terminal is there."""
        self.images.is_grey = self.no_color
        if isinstance(self._driver, Asking):
            self.images.driver, self._driver.before_stop = self._driver, self.images.end

    def on_terminal_answer(self, message: "TerminalAnswer") -> None:
        """The terminal has said what it shows."""
        self.images.take(message)

    def _end_update(self) -> None:
        """Images go over the cells that an update has painted, within the same update."""
        self.images.follow(self.screen, self.images.panel)
        super()._end_update()
