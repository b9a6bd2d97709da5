"""What a person needs is in sight: the verdict everywhere, any field by its name, what was just opened."""

from typing import Any

import pytest

from tui.drawings.canvas import Run

from .conftest import OWN_LASER, Desk


async def test_the_verdict_stays_in_sight_wherever_one_goes(desk: Desk) -> None:
    """At the smallest size: over every picture, page, list and help; F4 shows a picture, and no blank page."""
    async with desk(60, 20) as person:
        await person.press("f4")
        assert "[1 end]" in person.screen()
        assert person.app.desk.panel("picture").region.area
        for keys in (("f6",), ("ctrl+p",), ("f1",), ("ctrl+k",), ("ctrl+r",), ("ctrl+t",), ("ctrl+o",), ("ctrl+e",)):
            await person.press(*keys)
            await person.until(lambda: "TEST FIRST" in "\n".join(person.screen().splitlines()[:4]))
            if person.app.screen is not person.app.desk:
                await person.press("escape")
                await person.until(lambda: person.app.screen is person.app.desk)


async def test_any_field_is_found_by_its_name(desk: Desk) -> None:
    """Of a hundred that are folded away: its name in the list of commands leads there, and what hides it opens."""
    async with desk(80, 24) as person:
        await person.press("ctrl+p")
        await person.write("handle reach")
        await person.see("how far the handle sticks out")
        await person.press("enter")
        await person.until(lambda: person.app.screen is person.app.desk)
        await person.until(lambda: person.app.desk.form.cell.key == "item.handle.reach")
        await person.write("31")
        assert person.session.text("item.handle.reach") == "31"


async def test_a_fold_that_opens_is_in_sight(desk: Desk) -> None:
    """What is opened at the lower edge of the form scrolls up, as far as there is room."""
    async with desk(80, 24) as person:
        form = person.app.desk.form
        await person.press("f3", "r", "enter")
        top = int(form.scroll_offset.y)
        assert "more" in form.rows[top].label
        assert "Item" in person.screen()


async def test_no_key_but_of_the_list_chooses_what_nobody_chose(desk: Desk) -> None:
    """Backspace or an arrow on a choice that is still to be made opens its list, and picks nothing."""
    async with desk(80, 24) as person:
        await person.press("ctrl+n")
        await person.judged()
        for key in ("backspace", "delete", "left", "right"):
            person.go("item.coating")
            await person.press(key)
            assert "item.coating" in person.session.unasked
            assert person.app.desk.form.choice is not None
            await person.press("escape")


async def test_from_a_large_picture_on_a_narrow_screen_f5_leads_to_the_drawing(desk: Desk) -> None:
    """It is missing: the field that has the focus is in sight, never under a picture that takes all the room."""
    async with desk(60, 20) as person:
        app = person.app
        app.desk.action_page()
        app.desk.action_large()
        await person.until(lambda: "COATING" not in person.screen())
        await person.press("f5")
        await person.see("COATING")
        assert app.focused is app.desk.form


async def test_a_line_more_among_the_numbers_moves_nothing_else(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is painted without laying the screen out anew; of fewer lines the last stays in sight."""
    async with desk() as person:
        panel, many, laid_out = person.app.desk.panel("numbers"), [60], list[object]()
        monkeypatch.setattr(panel, "_painter", lambda *_: [[Run(f"row {place}.")] for place in range(many[0])])
        panel.redraw()
        panel.scroll_to(0, 60, animate=False)
        await person.see("row 59.")
        monkeypatch.setattr(person.app.desk, "_refresh_layout", lambda *given, **_: laid_out.append(given))
        many[0] = 61
        panel.redraw()
        panel.scroll_to(0, 61, animate=False)
        await person.see("row 60.")
        many[0] = 40
        panel.redraw()
        await person.see("row 39.")
        assert "row 40." not in person.screen()
        assert not laid_out


async def test_names_of_the_focus_budget_are_whole_where_bars_have_little_room(desk: Desk) -> None:
    """A bar is to be looked at, its name to be read: the bar gives way."""
    async with desk(60, 20) as person:
        await person.press("f4", "5")
        await person.until(lambda: "[5 focus]" in person.screen())
        table = person.screen().partition("[5 focus]")[2].partition("you accept")[0]
        assert "drop at the slice" in table
        assert "…" not in table


async def test_esc_on_a_paper_takes_back_nothing_on_the_desk(desk: Desk, bottle: dict[str, Any]) -> None:
    """A field was typed, a paper looked at and closed by Esc, perhaps twice: the value stays."""
    async with desk(80, 24, {**bottle, "laser": OWN_LASER}) as person:
        person.go("laser.highest_frequency")
        await person.write("390")
        await person.press("ctrl+k")
        await person.until(lambda: person.app.screen is not person.app.desk)
        await person.press("escape")
        await person.until(lambda: person.app.screen is person.app.desk)
        await person.press("escape")
        assert person.session.text("laser.highest_frequency") == "390"
