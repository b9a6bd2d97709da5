"""The list of commands, left once as every screen, and deaf to keys that come before it is laid out."""

from collections.abc import Iterator
from contextlib import suppress
from typing import TYPE_CHECKING

from textual.app import SystemCommand
from textual.command import CommandPalette
from textual.css.query import NoMatches

from tui.drawings.pictures import PICTURES, key_of
from tui.screens.questions import BaseScreen

if TYPE_CHECKING:
    from tui.app import Rotary


class Commands(CommandPalette, BaseScreen[None]):
    """Textual's own list. In a window without room for it, or in a burst that opens it, its rows have no lines yet.

    A search may end after the list itself has gone, as the program ends: then there is nothing to show.
    """

    DEFAULT_CSS = "Commands CommandList { min-width: 20; } Commands SearchIcon { display: none; }"

    def _action_command_list(self, action: str) -> None:
        with suppress(LookupError):
            super()._action_command_list(action)

    def _watch__list_visible(self) -> None:
        with suppress(NoMatches):
            super()._watch__list_visible()

    async def _watch__show_busy(self) -> None:
        with suppress(NoMatches):
            await super()._watch__show_busy()


def every_command(app: "Rotary", screen: object) -> Iterator[SystemCommand]:
    """Everything that a person can do, by its name."""
    desk = app.desk
    yield SystemCommand("Help", "Read what each key and each field does", app.action_help)
    yield SystemCommand("Save", "Save this job under the item's name", app.action_save)
    yield SystemCommand("Artwork", "Choose a drawing, with a preview, or type a text", app.action_artwork)
    yield SystemCommand(
        "New job", "Begin a new job. The fields of item and artwork are empty, your machine stays", app.action_new_job
    )
    yield SystemCommand(
        "Dark share as drawn", "Measure how much of your artwork is dark, and plan with that", desk.work.take_ink
    )
    yield SystemCommand("Stop", "Stop a picture or a check that takes long. The plan stays", desk.action_stop)
    yield SystemCommand("Saved jobs", "Search, compare and open saved jobs", app.action_profiles)
    yield SystemCommand(
        "Repeat", "See what to check today, your last runs, and the numbers that you ran", app.action_repeat
    )
    yield SystemCommand("How did it go?", "Log a run, then see what comes next", app.action_how_it_went)
    yield SystemCommand("Your machine", "Measure your machine, and see what you measured so far", app.action_machine)
    yield SystemCommand(
        "Inscription", "Put words on a small part, and see their size and depth", app.action_inscription
    )
    yield SystemCommand("Test patch", "Make a test patch, enter what you see, and see the new odds", app.action_patch)
    yield SystemCommand("Papers", "Write the setup sheet, test patch, tests or template to a file", app.action_papers)
    yield SystemCommand("mm or inch", "Show all lengths in mm or in inches", desk.action_system)
    yield SystemCommand("Undo", "Take back your last change", desk.action_undo)
    yield SystemCommand("Redo", "Make the change again", desk.action_redo)
    yield SystemCommand(
        "Remove unknown entries", "Remove entries of the job file that rotary does not know", desk.action_leave_out
    )
    yield SystemCommand("Fields or numbers", "Go from the fields to the numbers and back", desk.action_page)
    yield SystemCommand(
        "Large picture",
        "Show the picture alone, or with the numbers. Space in the picture does the same",
        desk.action_large,
    )
    for place, name in enumerate(PICTURES):
        yield SystemCommand(
            f"Picture: {name}", f"In a picture: key {key_of(place)}", lambda place=place: desk.action_show(place)
        )
    yield SystemCommand(
        "Item as image or characters", "Show the item as a real image, or in characters", app.action_images
    )
    yield SystemCommand("Light or dark", "Switch between a light and a dark screen", app.action_theme)
    yield SystemCommand(
        "Make circles round", "If circles look like eggs, set how high characters are", app.action_round
    )
    yield SystemCommand(
        "Plain characters or braille", "If your terminal shows no braille dots, draw without them", app.action_pictures
    )
    yield SystemCommand("Leave", "Leave rotary. You are asked first if something is not saved", app.action_quit)
    for field in filter(app.session.is_there, app.session.fields.values() if screen is desk else ()):
        # Found by its name alone: there are more than anybody looks through.
        name = f"{field.label[:1].upper()}{field.label[1:]}"
        yield SystemCommand(name, field.help, lambda key=field.key: desk.go_to_field(key), discover=False)
