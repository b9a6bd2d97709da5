"""What is filled in after a run: one letter for how it came out, then a few fields. No terminal in here."""

from pathlib import Path
from typing import Final

from tui.screens.machine_pages import Cell, Row

OUTCOMES: Final = {
    "g": ("clear", "[G]ood"), "l": ("coating-left", "coating [L]eft"), "e": ("metal-marked", "[E]ngraved"),
    "s": ("seams-show", "[S]eams show"), "x": ("stopped", "[X] stopped"),
}  # fmt: skip
"""The letter of each outcome, the logbook's word for it, and what a person reads."""

NUMBERS, PHOTO, ITEMS, PROVES = "numbers", "photo", "items", "proves"
WHICH: Final = {"as saved": "saved", "as planned today": "now"}
"""Which numbers were run, where the plan has changed since the job was saved."""

PICTURES: Final = (".jpg", ".jpeg", ".png", ".heic", ".webp")
MOST_PICTURES: Final = 60


OF_PROOF: Final = ("power", "passes", "batch", "note")
"""What is asked where no run is logged, only that it came out as wanted."""


OF_COATING: Final = ("power", "passes", "batch")
"""What nobody can say of bare metal."""


def run_rows(
    items: int,
    batch: str,
    asks_numbers: bool,
    can_prove: bool,
    logs: bool = True,
    is_bare: bool = False,
    power: str = "",
) -> list[Row]:
    """The rows; empty, `items` counts as many as the last run had, and `power` is the first of the numbers."""
    rows = [
        _row(ITEMS, "items", "How many items you marked in this run.", 6, f"{items}"),
        _row("spoiled", "spoiled items", "How many of these items you can't use.", 6, "0"),
        _row("took", "time for all", "Time for all items with handling, like 25 min. A number alone means minutes."),
        _row("power", "power when clean", "The power in % at which the first slice came clean, like 26.", 6, power),
        _row(
            "passes",
            "passes when clean",
            "How many passes each slice got: as many as the second slice needed. Don't count the weaker last pass.",
            6,
        ),
        _row("batch", "coating batch", "The supplier's name or number for this batch of coating.", 24, batch),
        _row("note", "note", "Anything that you want to know next time, like: wiped twice.", 34),
        _row(PHOTO, "photograph", "A photo of the result. Enter lists your pictures. The job gets a copy.", 34),
    ]
    rows = [row for row in rows if (logs or row.cells[0].key in OF_PROOF)
            and not (is_bare and row.cells[0].key in OF_COATING)]  # fmt: skip
    if can_prove:
        about = "Choose yes if these numbers work. When you repeat the job, its setup sheet then shows them."
        rows.append(Row("proven", (Cell(PROVES, about, None, ("yes", "no"), "", 8),)))
    if asks_numbers:
        about = "The plan has changed since you saved the job. Choose which numbers you ran."
        rows.append(Row("numbers", (Cell(NUMBERS, about, None, ("not chosen", *WHICH), "", 24),)))
    return rows


def _row(key: str, label: str, about: str, width: int = 12, stands: str = "") -> Row:
    return Row(label, (Cell(key, about, None, (), stands, width),))


def pictures_in(folder: Path) -> list[str]:
    """The photographs in a folder, the newest first; none where it can't be listed."""
    try:
        files = [path for path in folder.iterdir() if path.suffix.lower() in PICTURES]
        return [path.name for path in sorted(files, key=lambda path: -path.stat().st_mtime)][:MOST_PICTURES]
    except OSError:
        return []
