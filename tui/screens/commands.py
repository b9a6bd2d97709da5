"""The list of commands, left once as every screen, and deaf to keys that come before it is laid out."""

from contextlib import suppress

from textual.command import CommandPalette

from tui.screens.once import Once


class Commands(CommandPalette, Once[None]):
    """Textual's own list. In a window without room for it, or in a burst that opens it, its rows have no lines yet."""

    DEFAULT_CSS = "Commands CommandList { min-width: 20; }"

    def _action_command_list(self, action: str) -> None:
        with suppress(LookupError):
            super()._action_command_list(action)
