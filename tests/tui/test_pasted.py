"""What is pasted into the form."""

from textual import events

from .conftest import Desk


async def test_a_pasted_column_fills_the_stations(desk: Desk) -> None:
    """Several lines go down a column, tabs across, rows are added as they are needed, and one undo takes all back."""
    async with desk() as person:
        person.go("item.measurements.0.at")
        person.app.desk.form.post_message(events.Paste("0 mm\t88,9 mm\n75\t80 mm\r\n150 mm\t70 mm\n"))
        await person.judged()
        assert [(row["at"], row["across"]) for row in person.session.data()["item"]["measurements"]] == [
            ("0.0 mm", "88.9 mm"), ("75.0 mm", "80.0 mm"), ("150.0 mm", "70.0 mm"),
        ]  # fmt: skip
        await person.press("f7")
        await person.judged()
        assert person.session.rows(person.session.tables["item.measurements"]) == 2
        assert person.session.value("item.measurements.0.across") == 88.0


async def test_a_pasted_note_keeps_its_lines(desk: Desk) -> None:
    """Where a text may have several lines they stay lines, and go into the job as such."""
    async with desk() as person:
        person.go("note")
        person.app.desk.form.post_message(events.Paste("Degrease.\nSecond side after tea."))
        await person.judged()
        assert person.session.data()["note"] == "Degrease.\nSecond side after tea."


async def test_a_paste_where_rows_have_become_fewer_goes_into_the_last(desk: Desk) -> None:
    """Rows may go between a key and a paste; the text goes where the focus is seen, and nothing fails."""
    async with desk() as person:
        person.go("item.name")
        form = person.app.desk.form
        form.rows = form.rows[: form.row + 1]
        form.row += 2
        form.post_message(events.Paste("Heron cup"))
        await person.until(lambda: "Heron cup" in person.session.text("item.name"))
