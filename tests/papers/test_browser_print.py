"""The HTML card in a real browser: printed, its first page holds all that is done at the machine."""

import shutil
import subprocess
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest
from rotary.card.keying import numbers_to_key_in

from rotary.papers.formats import document
from rotary.plan import Plan
from rotary.printer import SheetName
from rotary.shipped import FIRST
from tests.papers.conftest import card_of

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


@pytest.mark.slow
@pytest.mark.skipif(BROWSER is None, reason="there is no browser here")
@pytest.mark.parametrize("sheet", ["A4", "Letter"])
@pytest.mark.parametrize("name", [FIRST, "brass-nut", "24 numbers"])
def test_the_printed_page_is_one(plans: dict[str, Plan], name: str, sheet: SheetName, tmp_path: Path) -> None:
    """From the name to the lines to write on, and the rule of all papers, on page one; the appendix begins page two."""
    page, printed = tmp_path / "card.html", tmp_path / "card.pdf"
    page.write_bytes(document(card_of(plans[name]), ".html", sheet, fits_a_page=True).data)
    subprocess.run(
        [
            str(BROWSER), "--headless=new", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'profile'}",
            "--no-first-run", "--disable-background-networking", "--no-pdf-header-footer",
            f"--print-to-pdf={printed}", page.as_uri(),
        ],
        check=True, capture_output=True, timeout=100,
    )  # fmt: skip
    pages = [one.get_textpage().get_text_bounded() for one in pypdfium2.PdfDocument(printed.read_bytes())]
    assert all(entry.text in pages[0] for entry in numbers_to_key_in(plans[name]))
    assert "What happened" in pages[0]
    assert "Local rules and licensed practice go first." in pages[0].replace("\r\n", " ")
    assert "From here on" in pages[1]
