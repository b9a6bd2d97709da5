"""The help: every field, every picture, every key of every screen."""

import re

import pytest

from tui.catalogue import GROUPS
from tui.catalogue.keys import MACHINE_PAGE, SCREENS
from tui.drawings.canvas import plain
from tui.drawings.pictures import PICTURES
from tui.form.fields import each_field, each_table
from tui.screens import help as help_screen
from tui.screens.help import help_lines
from tui.screens.logbook import LogbookScreen
from tui.screens.patch import Patch
from tui.screens.profiles import Profiles

from .conftest import Desk


def named(shown: str) -> set[str]:
    """The keys that a line of keys or of help names, in one way of writing."""
    text = shown.replace("^", "Ctrl+")
    return {part for part in re.split(r"[, ]+", text) if part}


@pytest.mark.parametrize("width", [30, 60, 100])
def test_every_field_and_picture_is_explained(width: int) -> None:
    """No field, no column of a table and no picture is missing from the help, and none is without a sentence."""
    text = " ".join(plain(help_lines(width)).split())
    for field in (*each_field(GROUPS), *(column for table in each_table(GROUPS) for column in table.every)):
        assert field.help.endswith((".", "?", ")")), field.key
        assert len(field.help) >= 15, field.key
        if width == 100:
            assert field.help[:40] in text, field.key
    assert tuple(name for name, _ in help_screen.PICTURES) == tuple(PICTURES)


@pytest.mark.parametrize(
    ("screen", "keys"),
    [("Profiles", Profiles.KEYS), ("LogbookScreen", LogbookScreen.KEYS), ("Patch", Patch.KEYS)],
)
def test_the_keys_of_every_screen_stand_in_the_help(screen: str, keys: tuple[tuple[str, str, str], ...]) -> None:
    """Whatever a screen's last line offers is explained."""
    explained = set().union(*(named(key) for key, _ in SCREENS[screen][1]))
    assert set().union(*(named(key) for key, _, _ in keys)) <= explained


def test_no_key_is_cut_in_the_help() -> None:
    """What a key does never runs into its name."""
    assert [key for _, keys in SCREENS.values() for key, _ in keys if len(key) >= 20] == []


@pytest.mark.slow
async def test_help_begins_with_the_field_one_is_at(desk: Desk) -> None:
    """F1 on a field explains that field before all others, with what holds while it is empty."""
    async with desk() as person:
        person.go("turning.microsteps")
        await person.press("f1")
        text = await person.see("You are at: microsteps")
        assert "Empty:" in text
        assert "16." in text
        await person.press("escape")
        assert person.app.screen is person.app.desk


@pytest.mark.parametrize(("keys", "says"), [(("ctrl+e",), "Choosing artwork"), (("ctrl+o",), "Saved jobs (Ctrl+O)"),
                                            (("ctrl+t",), "Test patch (Ctrl+T)")])  # fmt: skip
@pytest.mark.slow
async def test_help_on_another_screen_begins_with_its_keys(desk: Desk, keys: tuple[str, ...], says: str) -> None:
    """F1 explains the screen that one is on, and Esc goes back to it."""
    async with desk() as person:
        await person.press(*keys)
        here = person.app.screen
        assert here is not person.app.desk
        await person.press("f1")
        await person.see(says)
        await person.press("escape")
        assert person.app.screen is here


def test_what_stands_for_an_empty_choice_is_said_as_a_person_says_it() -> None:
    """No name of a file's key is on the screen."""
    from tui.catalogue import GROUPS
    from tui.form.fields import each_field
    from tui.screens.help import explained

    fields = {field.key: field for field in each_field(GROUPS)}
    coating, lens = fields["item.coating"], fields["laser.lens"]
    assert explained(lens, "f-theta").endswith("Empty: f-theta.")
    # A new job asks for its coating: nothing holds while none is chosen.
    assert explained(coating, "polyester-powder-dark") == explained(coating, "") == coating.help


@pytest.mark.parametrize(
    ("key", "means"),
    [
        ("F2", "mm"),
        ("F5", "write|make a patch"),
        ("F6", "go from|in place of|show|switch"),
        ("F8", "say how|log a run"),
        ("Ctrl+S", "save"),
        ("Ctrl+Y", "makes it again|undo and redo|proven"),
    ],
)
def test_a_key_means_the_same_on_every_screen(key: str, means: str) -> None:
    """F5 writes, F6 goes to the other view, F8 is for a run, Ctrl+S saves: whatever screen it is pressed on."""
    for _, keys in [*SCREENS.values(), ("", MACHINE_PAGE)]:
        said = [says for named_keys, says in keys if key in re.split(", | or ", named_keys)]
        assert [says for says in said if not re.search(means, says)] == []
    assert not [
        says for _, keys in SCREENS.values() for named_key, says in keys if "F6" in named_key and "save" in says
    ]
