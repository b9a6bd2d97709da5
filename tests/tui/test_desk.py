"""What a person does at the desk, key by key, and what they then see."""

import pytest
from textual import events

from tui.drawings.pictures import PICTURES, key_of
from tui.drawings.words import sentences
from tui.form.rows import REST
from tui.screens.ask import Ask
from tui.screens.help import Help

from .conftest import Desk, read_bottle

ACROSS = "item.measurements.0.across"


async def test_it_opens_on_a_live_example(desk: Desk) -> None:
    """The first thing seen is a worked bottle with its numbers, and a hint of what to try."""
    async with desk() as person:
        text = await person.see("Regatta bottle 600 ml")
        assert "invented example" in text
        assert "EXAMPLE, NOT YOUR MACHINE. TEST FIRST." in text
        assert "type this, not 79" in text
        assert not person.session.stale


async def test_the_answer_follows_the_typing(desk: Desk) -> None:
    """Another diameter, other numbers; nothing to press."""
    async with desk() as person:
        before = person.session.plan
        person.go(ACROSS)
        await person.write("92 mm")
        await person.judged()
        assert person.session.value(ACROSS) == 92.0
        assert person.session.plan is not before
        assert "⌀92" in str(sentences(person.session.plan).item)


async def test_the_first_letters_behind_another_window_reach_the_form(desk: Desk) -> None:
    """A desk that came up while its terminal was not in front had no focus to give back: digits turned pictures."""
    async with desk() as person:
        person.app.set_focus(None)
        person.app.app_focus = False
        await person.write("92 mm")
        await person.until(lambda: person.session.value(ACROSS) == 92.0)


@pytest.mark.slow
async def test_a_wrong_value_marks_its_field_and_says_what_to_write(desk: Desk) -> None:
    """The field gets a mark besides its colour, a sentence stands below, the old numbers stay and are called old."""
    async with desk() as person:
        person.go("artwork.width")
        await person.write("80 kg")
        await person.judged()
        text = await person.see("not a length")
        line = next(line for line in text.splitlines() if "wide " in line and "80 kg" in line)
        assert "80 kg" in line
        assert "!" in line
        assert "OLD NUMBERS" in text
        assert person.session.plan.job.artwork.width_mm in (8.0, 80.0)
        await person.press("escape")
        await person.judged()
        assert "OLD NUMBERS" not in person.screen()


@pytest.mark.slow
async def test_the_way_of_a_job_leads_to_its_places(desk: Desk) -> None:
    """Measure and check by key and by mouse; every place of the line has an action, none is a dead end."""
    async with desk(80, 24) as person:
        screen = person.app.desk
        for key, check in (("alt+2", "numbers"), ("alt+1", "form"), ("alt+2", "numbers")):
            await person.press(key)
            assert screen.focused is not None
            assert (screen.focused.id, screen.page) == (check, "fields" if check == "form" else "answers")
        line = person.screen().splitlines()[0]
        await person.click(line.lower().index("1 measure") + 2, 0)
        assert (screen.focused.id, screen.page) == ("form", "fields")
        await person.click(line.lower().index("2 check") + 2, 0)
        assert (screen.focused.id, screen.page) == ("numbers", "answers")
        await person.press("alt+3")
        await person.until(lambda: type(person.app.screen).__name__ == "PrintPaper")


@pytest.mark.slow
async def test_units_toggle_and_values_stay(desk: Desk) -> None:
    """F2 four times: the screen is the same, and so is every value."""
    async with desk() as person:
        person.go(ACROSS)
        values = {key: entry.value for key, entry in person.session.entries.items()}
        await person.press("f2")
        await person.see("3.4646")
        await person.press("f2", "f2", "f2")
        await person.judged()
        assert {key: entry.value for key, entry in person.session.entries.items()} == values


async def test_undo_and_redo(desk: Desk) -> None:
    """F7 takes a change back, Ctrl+Y makes it again, on the screen too."""
    async with desk() as person:
        person.go("artwork.width")
        await person.write("61")
        await person.press("tab", "f7")
        await person.see("80 mm")
        assert person.session.text("artwork.width") == "80 mm"
        await person.press("ctrl+y")
        await person.judged()
        assert person.session.text("artwork.width") == "61"


async def test_pasting_a_value(desk: Desk) -> None:
    """A pasted "88,9 mm" with a line end is a value like any other."""
    async with desk() as person:
        person.go(ACROSS)
        person.app.desk.form.post_message(events.Paste("88,9 mm\n"))
        await person.until(lambda: person.session.value(ACROSS) == 88.9)
        await person.see("88,9 mm")


@pytest.mark.slow
async def test_stations_are_added_and_taken_out(desk: Desk) -> None:
    """A third station asks for its values, and can be taken out again."""
    async with desk() as person:
        person.go("item.measurements")
        await person.press("enter")
        await person.write("75")
        await person.press("tab")
        await person.write("80")
        await person.judged()
        assert person.session.rows(person.session.tables["item.measurements"]) == 3
        assert not person.session.faults()
        await person.press("tab", "tab", "enter")
        await person.judged()
        assert person.session.rows(person.session.tables["item.measurements"]) == 2


@pytest.mark.slow
async def test_a_space_takes_no_station_out(desk: Desk) -> None:
    """A value with a space in it, typed beside its field, costs nobody a row; Enter and Delete do take it out."""
    async with desk(120, 40) as person:
        measurements = person.session.tables["item.measurements"]
        person.go("item.measurements.1.round")
        await person.press("tab")
        await person.write("68,0 mm")
        assert person.session.rows(measurements) == 2
        await person.press("delete")
        assert person.session.rows(measurements) == 1


@pytest.mark.slow
async def test_a_station_may_be_measured_round(desk: Desk) -> None:
    """Across is emptied, the tape's reading goes beside it, and the body is the same."""
    async with desk() as person:
        state = sentences(person.session.plan).item
        person.go(ACROSS)
        await person.press("delete", "tab")
        await person.write("276.460")
        await person.judged()
        assert not person.session.faults()
        assert sentences(person.session.plan).item == state


@pytest.mark.slow
async def test_the_drive_is_chosen(desk: Desk) -> None:
    """Right on the turning puts a chuck in place of the rollers, and its fields go; a list has the rollers again."""
    async with desk() as person:
        person.go("turning.kind")
        await person.press("right")
        await person.judged()
        assert person.session.text("turning.kind") == "chuck"
        assert "full-turn test" not in person.screen()
        await person.press("r")
        await person.see("> rollers")
        await person.press("enter")
        await person.see("full-turn test")


async def test_groups_fold(desk: Desk) -> None:
    """Enter on a group's line hides its fields and leaves its state."""
    async with desk() as person:
        person.go("item.heights_from")
        await person.see("heights from")
        person.app.desk.form.go_to("item")
        await person.press("enter")
        assert "heights from" not in person.screen()
        assert "⌀88" in person.screen()
        await person.press("enter")
        assert "heights from" in person.screen()
        person.app.desk.form.go_to(REST)
        await person.press("enter")
        assert "Tolerances" not in person.screen()
        assert "filled in" in person.screen()


@pytest.mark.slow
async def test_every_picture_by_its_key(desk: Desk) -> None:
    """F4 goes through all the pictures and round to the first; a digit in the answers goes there at once."""
    async with desk() as person:
        names = list(PICTURES)
        for name in [*names[1:], names[0]]:
            await person.press("f4")
            assert person.app.desk.picture_name == name
            key = key_of(names.index(name))
            await person.see(f"{key if key.isdecimal() else f'({key})'} {name}]")
        await person.press("f6")
        assert person.app.focused is not None
        assert person.app.focused.id == "picture"
        for key, place in (("5", 4), ("0", 9), ("minus", 10), ("1", 0)):
            await person.press(key)
            assert person.app.desk.picture_name == names[place]


async def test_a_narrow_screen_has_two_pages(desk: Desk) -> None:
    """At 60 columns the facts fill the screen, F6 turns to the numbers, and back; the verdict stays."""
    async with desk(60, 20) as person:
        assert "COATING" in person.screen()
        assert "21.221" not in person.screen()
        await person.press("f6")
        await person.see("21.221")
        assert "COATING" not in person.screen()
        assert "TEST FIRST" in person.screen()
        await person.press("f6")
        await person.see("COATING")


async def test_saving_and_leaving(desk: Desk) -> None:
    """Leaving with a change asks; Esc stays; Ctrl+S keeps a version; then leaving asks nothing."""
    async with desk() as person:
        person.go("artwork.width")
        await person.write("70")
        await person.press("ctrl+q")
        await person.until(lambda: isinstance(person.app.screen, Ask))
        await person.see("not saved")
        await person.press("escape")
        await person.until(lambda: person.app.screen is person.app.desk)
        await person.press("ctrl+s")
        await person.see("version 1")
        assert not person.session.unsaved
        await person.press("ctrl+q")
        await person.until(lambda: person.app.return_value == 0)


@pytest.mark.slow
async def test_leaving_without_saving(desk: Desk) -> None:
    """The question's own letter answers it."""
    async with desk() as person:
        person.go("artwork.width")
        await person.write("70")
        await person.press("ctrl+q", "l")
        await person.until(lambda: person.app.return_value == 0)


async def test_help_explains_every_field(desk: Desk) -> None:
    """F1 opens the help; it has a line for each field of the desk; Esc closes it."""
    async with desk() as person:
        await person.press("f1")
        await person.until(lambda: isinstance(person.app.screen, Help))
        await person.see("The screen")
        await person.press("escape")
        await person.until(lambda: person.app.screen is person.app.desk)
    from tui.drawings.canvas import plain
    from tui.screens.help import help_lines

    text = plain(help_lines(90, 0))
    for field in person.session.fields.values():
        assert field.label[:20] in text


@pytest.mark.slow
async def test_the_palette_has_every_command(desk: Desk) -> None:
    """Ctrl+P lists what can be done; one of them is a picture."""
    async with desk() as person:
        await person.press("ctrl+p")
        await person.see("What do you want")
        await person.write("seams")
        await person.see("Picture: seams")
        await person.press("enter", "enter")
        await person.until(lambda: person.app.desk.picture_name == "seams")


@pytest.mark.slow
async def test_the_mouse_does_it_too(desk: Desk) -> None:
    """Clicking a field, a tab and a key of the last line does what the keys do."""
    async with desk() as person:
        lines = person.screen().splitlines()
        row = next(place for place, line in enumerate(lines) if " middle at" in line)
        await person.pilot.click(offset=(14, row))
        assert person.app.desk.form.cell.key == "artwork.centre"
        row = next(place for place, line in enumerate(lines) if "[1 end]" in line)
        await person.pilot.click(offset=(lines[row].index(" 2 side") + 2, row))
        assert person.app.desk.picture_name == "side"
        await person.pilot.click(offset=(lines[-1].index("F2") + 1, len(lines) - 1))
        assert person.session.system == "in"


@pytest.mark.slow
async def test_ctrl_up_steps_the_last_digit(desk: Desk) -> None:
    """Small corrections need no typing."""
    async with desk() as person:
        person.go(ACROSS)
        await person.press("ctrl+up", "ctrl+up", "ctrl+down")
        await person.judged()
        assert person.session.value(ACROSS) == 89.0


async def test_light_and_dark(desk: Desk) -> None:
    """F9 changes the theme and nothing else."""
    async with desk() as person:
        before = person.screen()
        theme = person.app.theme
        await person.press("f9")
        await person.pilot.pause()
        assert person.app.theme != theme
        assert person.screen() == before


@pytest.mark.slow
@pytest.mark.parametrize("size", [(20, 5), (40, 10), (60, 16), (80, 24), (120, 40), (200, 60), (21, 7), (100, 5)])
async def test_it_works_at_any_size(desk: Desk, size: tuple[int, int]) -> None:
    """From a scrap of a window to a wall of it: both pages, every picture, help, no crash and no overrun."""
    async with desk(*size) as person:
        for key in ["f6", *["f4"] * len(PICTURES), "f6", "pagedown", "f1", "escape", "f2"]:
            await person.press(key)
        await person.judged()
        assert all(len(line) <= size[0] for line in person.screen().splitlines())


@pytest.mark.slow
async def test_resizing_in_mid_work(desk: Desk) -> None:
    """The window may change at any time; what was typed stays."""
    async with desk(120, 40) as person:
        person.go("artwork.width")
        await person.write("6")
        for size in ((20, 5), (80, 24), (200, 60), (21, 6), (120, 40)):
            await person.pilot.resize_terminal(*size)
            await person.pilot.pause()
        await person.write("6")
        await person.judged()
        assert person.session.value("artwork.width") == 66.0
        await person.see("66")


async def test_own_head_figures(desk: Desk) -> None:
    """A figure of one's own stands over the shipped head's, which stays as what holds otherwise."""
    async with desk() as person:
        person.go("laser.spot")
        await person.write("60")
        await person.judged()
        assert person.session.plan.optics.spot_um == 60.0
        assert person.session.plan.optics.spot_source == "measured"
        assert person.session.stands("laser.focal_length") == f"{person.session.plan.job.laser.focal_length_mm:g} mm"


async def test_what_the_core_does_not_know_can_be_taken_out(desk: Desk) -> None:
    """A job file with names of another time is put right on the desk, and the taking out can be undone."""
    data = read_bottle()
    data["item"]["shade"] = "harbour blue"
    async with desk(120, 40, data) as person:
        await person.see("item.shade")
        await person.see("Ctrl+D removes it")
        await person.press("ctrl+d")
        await person.judged()
        assert not person.session.faults()
        assert "shade" not in person.session.data()["item"]
        assert person.session.unsaved
        await person.press("f7")
        await person.judged()
        assert person.session.data()["item"]["shade"] == "harbour blue"


async def test_the_picture_alone(desk: Desk) -> None:
    """Space in a picture gives it the whole window, F6 gives the fields back."""
    async with desk() as person:
        await person.press("f6", "3", "space")
        await person.pilot.pause()
        assert person.app.desk.panel("picture").size.width == 120
        await person.press("f6")
        await person.pilot.pause()
        assert person.app.desk.form.display
        assert "COATING" in person.screen()


async def test_a_job_without_stations_is_marked_where_one_is_added(desk: Desk) -> None:
    """What a whole table lacks is marked at the table, in words and by its sign."""
    async with desk() as person:
        for _ in range(2):
            person.session.remove_row(person.session.tables["item.measurements"], 0)
        person.app.desk.refresh_all()
        await person.judged()
        await person.see("+ add a height !")
