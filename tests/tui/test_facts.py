"""The first lines of the desk, its groups of facts and its choices, at every size."""

import pytest

from rotary.examples import laser_tables
from rotary.services.jobs import tables_of_job
from rotary.shipped import examples
from tests.tui.conftest import Desk


@pytest.mark.parametrize(
    "size", [(60, 20), *(pytest.param(size, marks=pytest.mark.slow) for size in ((80, 24), (120, 40), (200, 60)))]
)
async def test_the_verdict_and_old_numbers_never_leave_the_screen(desk: Desk, size: tuple[int, int]) -> None:
    """On every page, with every picture, wherever the focus is: how it stands is told in the first lines."""
    async with desk(*size) as person:
        for keys in ((), ("f6",), ("f4",), ("f6",), ("pagedown",), ("f3", "r", "enter"), ("pagedown",)):
            await person.press(*keys)
            await person.pilot.pause()
            assert "TEST FIRST" in person.screen().split("IMPORT")[0], keys
        person.go("artwork.width")
        await person.write("80 kg")
        await person.judged()
        for keys in ((), ("f6",), ("f4",)):
            await person.press(*keys)
            await person.pilot.pause()
            assert "OLD NUMBERS" in "".join(person.screen().splitlines()[:4])


@pytest.mark.slow
async def test_a_group_is_a_letter_away(desk: Desk) -> None:
    """F3 shows a letter at each group of fields; the letter goes there, any other key goes nowhere."""
    async with desk(80, 24) as person:
        await person.press("f3")
        await person.see("c)COATING powder")
        await person.press("c")
        assert person.app.desk.form.cell.key == "item.coating"
        await person.press("f3", "z")
        assert person.app.desk.form.cell.key == "item.coating"
        assert "c)" not in person.screen()


@pytest.mark.slow
async def test_a_choice_opens_as_a_list_in_a_person_s_words(desk: Desk) -> None:
    """Enter opens it, letters narrow it, Enter takes what the pointer is on, Esc leaves it; the mouse does it too."""
    async with desk(80, 24) as person:
        person.go("item.coating")
        await person.press("enter")
        assert "powder coat, metallic" in person.screen()
        assert "polyester-powder" not in person.screen()
        await person.press("escape")
        assert "powder coat, metallic" not in person.screen()
        await person.write("ano")
        assert "> anodised" in person.screen()
        await person.press("enter")
        await person.judged()
        assert person.session.text("item.coating") == "anodised-film"
        person.go("item.metal")
        await person.press("space")
        await person.see(" titanium")
        lines = person.screen().splitlines()
        row = next(at for at, line in enumerate(lines) if " brass" in line)
        await person.pilot.click(offset=(lines[row].index("brass"), row))
        assert person.session.text("item.metal") == "brass-c26000"


async def test_enter_leads_to_each_of_the_steps_that_are_only_assumed(desk: Desk) -> None:
    """Gear ratio, full steps, microsteps of a chuck: typed as usual they are known, and the verdict says no more."""
    data = tables_of_job(examples()["boathouse-mug"])
    data["item"]["name"] = "a mug of one's own"
    data["laser"] = {**laser_tables()["fibre-60w-254"], "name": "ours", "rated_power": "61 W"}
    data["turning"] = {"kind": "chuck", "axis_height": "90 mm"}
    data["artwork"]["pieces"] = [{"text": "HERON"}]
    data.pop("use_laser", None)
    async with desk(80, 24, data) as person:
        await person.see("Steps per turn: 3200 assumed.")
        person.go("item.name")
        await person.press("enter")
        for key, text in (("gear_ratio", "1"), ("full_steps", "200"), ("microsteps", "16")):
            assert person.app.desk.form.cell.key == f"turning.{key}"
            await person.write(text)
            await person.press("enter")
        await person.until(lambda: "assumed" not in person.screen())
