"""Pages of the machine's screen without a screen: whatever is typed, an answer or a sentence; nothing stored half."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rotary.errors import RotaryError
from rotary.files import toml_tables
from rotary.machine.store import load_machine
from rotary.shipped import examples
from tui.screens.machine_level import FocusPage, LevelPage
from tui.screens.machine_names import NamesPage
from tui.screens.machine_pages import Bench, Page, Reader
from tui.screens.machine_pointer import PointerPage
from tui.screens.machine_program import ProgramPage
from tui.screens.machine_readings import CHANGE, CHANGED, NUMBER, TAKE_OUT, TESTS, WHAT, ReadingsPage
from tui.screens.machine_readings import bench_of as machine_of
from tui.screens.machine_resume import ResumePage
from tui.screens.machine_strip import StripPage

PAGES = (ReadingsPage, StripPage, LevelPage, FocusPage, PointerPage, ResumePage, ProgramPage, NamesPage)
JOBS = ("regatta-bottle", "boathouse-mug", "pommel-nut", "oar-ferrule")
TYPED = st.one_of(
    st.sampled_from(("", "0", "-1", "2", "95", "1e9", "0.4 mm", "1/64 in", "?", "nan", "1-3=2", "1-2-3-4-5", "right")),
    st.text(max_size=8),
    st.floats(-200, 200).map(str),
)


def bench_of(name: str, folder: Path, **change: object) -> Bench:
    data = toml_tables(examples()[name].read_text("utf-8"))
    for key, value in change.items():
        data["item"][key] = value
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ROTARY_MACHINES", str(folder))
        return machine_of(data, "mm", "bench")[0]


@pytest.fixture(scope="module")
def benches(tmp_path_factory: pytest.TempPathFactory) -> list[Bench]:
    return [bench_of(name, tmp_path_factory.mktemp("rigs") / name) for name in JOBS]


@pytest.mark.slow
@pytest.mark.parametrize("kind", PAGES)
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_typed_is_an_answer_or_a_sentence(
    benches: list[Bench], kind: type[Page], data: st.DataObject
) -> None:
    """No text in any field, in either unit system, makes anything but an answer, a complaint or a refusal."""
    bench, page = data.draw(st.sampled_from(benches)), kind()
    chosen = {WHAT: data.draw(st.sampled_from(tuple(TESTS)))}
    cells = [cell for row in page.rows_for(bench, chosen) for cell in row.cells if cell.key != "folder"]
    texts = {cell.key: data.draw(st.sampled_from(cell.options) if cell.options else TYPED) for cell in cells}
    texts |= chosen if kind is ReadingsPage else {}
    system = data.draw(st.sampled_from(("mm", "in")))
    found = page.told(bench, reader := Reader(texts, system))
    assert all(says and says[-1] != ":" for says in reader.faults.values())
    assert {ink for ink, _ in found.lines} <= {"plain", "strong", "muted", "good", "warn", "bad"}
    if found.can_keep:
        assert not found.faults
    elif page.keeps and kind not in (NamesPage, ResumePage):
        with pytest.raises(RotaryError):
            page.keep(bench, Reader(texts, system))
        assert not bench.folder.exists()


@pytest.mark.parametrize("kind", PAGES)
def test_a_job_that_can_not_be_planned_leaves_every_page_usable(kind: type[Page], tmp_path: Path) -> None:
    """A hole for a wall: each page that needs a plan says why there is no answer."""
    bench = bench_of("regatta-bottle", tmp_path / "rigs", wall="500 mm")
    assert bench.made is None
    page = kind()
    page.rows_for(bench, {})
    found = page.told(bench, Reader({WHAT: "backlash"} if kind is ReadingsPage else {}))
    assert kind in (NamesPage, PointerPage, ProgramPage) or "can't be planned" in found.lines[0][1]
    assert not (tmp_path / "rigs").exists()


@pytest.mark.parametrize(("change", "word"), [({"flats": 6, "across_flats": "20 mm", "measurements": []}, "flats"), (
    {"measurements": [{"at": "0 mm", "across": "3 mm"}, {"at": "150 mm", "across": "3 mm"}]}, "room")])  # fmt: skip
def test_an_item_that_can_have_no_strip_says_why(change: dict[str, object], word: str, tmp_path: Path) -> None:
    """Flats have no seams, a pin has no room: a sentence, on the page and before any file is written."""
    flat = {"length": "150 mm"} if "flats" in change else {}
    bench = bench_of("regatta-bottle", tmp_path / "rigs", **change, **flat)
    page = StripPage()
    page.rows(bench)
    found = page.told(bench, Reader({}))
    if bench.made is not None:
        assert word in found.lines[0][1]
    with pytest.raises(RotaryError, match=word if bench.made is not None else "no seam test"):
        page.files(bench, Reader({"folder": str(tmp_path / "strip")}))
    assert not (tmp_path / "strip").exists()


def test_what_a_page_keeps_is_a_reading_of_the_command_line(tmp_path: Path) -> None:
    """Level, stairs and pointer typed in inches are the same readings as typed in mm."""
    for system, size in (("mm", 1.0), ("in", 25.4)):
        bench = bench_of("regatta-bottle", tmp_path / system)
        LevelPage().keep(bench, Reader({"base_end": f"{95 / size!r}", "rim_end": f"{97 / size!r}"}, system))
        offsets = {"right": 1.0, "up": 0.0, "second_right": 1.5, "second_up": 0.1}
        PointerPage().keep(bench, Reader({key: f"{value / size!r}" for key, value in offsets.items()}, system))
    one, other = (load_machine("bench", tmp_path / system).readings for system in ("mm", "in"))
    for a, b in zip(one, other, strict=True):
        for name in type(a).model_fields:
            if name.endswith("_mm"):
                assert getattr(a, name) == pytest.approx(getattr(b, name))


FILLED: dict[str, dict[str, str]] = {
    "full-turn": {"gap": "0.85"}, "field": {"measured": "139.6"},
    "two-heights": {"low": "140.2", "high": "132.6"}, "edge": {"off": "-0.2"},
    "edge-both-sides": {"left": "39.4", "right": "39.8"}, "backlash": {"apart": "0.02"},
    "line-width": {"width": "0.09"},
    "gap-ladder": {"closed": "5"},
    "motor-whole": {**{f"ticks {n}": str(n % 3 - 1) for n in range(1, 9)},
                           **{f"back {n}": "1" for n in (1, 2, 3)}},
    "motor-free": {f"ticks {n}": str(n % 2) for n in range(1, 9)},
}  # fmt: skip


@pytest.mark.slow
def test_every_test_is_kept_by_filling_in_what_was_read(tmp_path: Path) -> None:
    """What the drawing says already need not be typed; the answer says what it teaches; a change and a slip go too."""
    page, folder = ReadingsPage(), tmp_path / "rigs"
    for name, typed in FILLED.items():
        bench = bench_of("regatta-bottle", folder)
        texts = {WHAT: name, **typed}
        assert set(typed) <= {cell.key for row in page.rows_for(bench, texts) for cell in row.cells}
        found = page.told(bench, reader := Reader(texts))
        assert (found.can_keep, reader.faults) == (True, {}), name
        assert "measured" in found.lines[0][1], name
        assert "1 reading" in page.keep(bench, Reader(texts)) or load_machine("bench", folder).readings
    kept = load_machine("bench", folder).readings
    assert [reading.kind for reading in kept] == [test.kind for test in TESTS.values()]
    bench = bench_of("regatta-bottle", folder)
    page.keep(bench, Reader({WHAT: CHANGED, CHANGE: "pointer"}))
    page.keep(bench, Reader({WHAT: TAKE_OUT, NUMBER: "2"}))
    after = load_machine("bench", folder)
    assert [change.what for change in after.changes] == ["pointer"]
    assert [reading.kind for reading in after.readings] == [r.kind for n, r in enumerate(kept) if n != 1]
    with pytest.raises(RotaryError):
        page.keep(bench, Reader({WHAT: TAKE_OUT, NUMBER: "99"}))


@pytest.mark.slow
def test_no_page_of_the_machine_shows_a_syntax(benches: list[Bench]) -> None:
    """Neither labels nor help nor answers have names of files' fields, equals signs or commands."""
    for page in (kind() for kind in PAGES):
        for chosen in (*TESTS, CHANGED, TAKE_OUT, ""):
            rows = page.rows_for(benches[0], {WHAT: chosen})
            lines = [text for _, text in page.told(benches[0], Reader({WHAT: chosen})).lines]
            shown = [*page.about, *lines, *(row.label for row in rows), *(c.help for row in rows for c in row.cells)]
            assert not [text for text in shown if '="' in text or ("rotary " in text and "rotary machine" in text)]
            if not isinstance(page, ReadingsPage):
                break
