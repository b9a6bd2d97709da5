"""Longer work beside the desk: done apart, stopped at any moment, never passed off as newer than it is."""

import os
import signal
import threading
from collections.abc import Iterator
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import pytest

from tests.patience import until
from tui.background import worker as worker_module
from tui.background.client import errand_worker
from tui.background.outlines import MOST_POINTS
from tui.background.process import done
from tui.background.results import Results
from tui.background.tasks import Done, Errand, Share, Stopped
from tui.background.worker import Worker
from tui.drawings.canvas import Canvas, Run, cells, clipped, fitted, padded
from tui.drawings.fill import fill_rings, fill_tones
from tui.drawings.words import wrapped
from tui.form.job_form import Session
from tui.form.placement import piece_at, put_piece

STAR = '<svg width="30mm" height="30mm" viewBox="0 0 30 30"><path d="M15 1 20 28 1 10h28L10 28z"/></svg>'


class Endless:
    """A process that works at the first task until it is stopped, and answers every other at once."""

    def __init__(self) -> None:
        self.is_stopped, self._over, self.begun = False, threading.Event(), threading.Event()

    def ask(self, task: Errand, _tell: Any) -> Done:
        if task.key != "first":
            return Done(task.what, task.key)
        self.begun.set()
        self._over.wait()
        raise EOFError

    def stop(self) -> None:
        self.is_stopped = True
        self._over.set()

    def close(self) -> None:
        self._over.set()


class Again(Endless):
    """The same; the first task ends when it is told to, and what is asked for twice is answered the second time."""

    count = 0

    def __init__(self) -> None:
        super().__init__()
        self.over = threading.Event()

    def ask(self, task: Errand, _tell: Any) -> Done:
        self.count += 1
        if self.count > 1:
            return Done(task.what, task.key, answer="found")
        self.begun.set()
        self.over.wait()
        raise EOFError


def test_what_is_asked_while_it_is_too_soon_to_stop_is_not_forgotten() -> None:
    """Asked for at once, the newer answer waits a moment, not until the older one is found."""
    heard, endless = Heard(), Endless()
    worker: Worker[Errand, Share | Done] = Worker(
        heard.said.append,
        endless,
        lambda task, stopped: Done(task.what, task.key, stopped=stopped),  # type: ignore[arg-type]
    )
    worker.ask(Errand("simulation", "first", {}, "mm", ""))
    assert endless.begun.wait(60)
    worker.ask(Errand("simulation", "second", {}, "mm", ""))
    assert not heard.done("second").stopped
    assert heard.done("first").stopped
    worker.end()


def test_what_is_stopped_and_asked_for_again_answers_once() -> None:
    """A value typed, changed and typed again: the stopped one is not taken for the answer to the last."""
    heard, again = Heard(), Again()
    worker: Worker[Errand, Share | Done] = Worker(
        heard.said.append,
        again,
        lambda task, stopped: Done(task.what, task.key, stopped=stopped),  # type: ignore[arg-type]
    )
    results = Results(Path())
    for seam in ("0.06 mm", "60.0 mm", "0.06 mm"):
        errand = results.wanted("forecast", {"tolerances": {"seam": seam}}, "mm")
        assert errand is not None
        worker.ask(errand)
        assert again.begun.wait(60)
        again.stop()
    again.over.set()
    until(lambda: any(said.answer for said in heard.said if isinstance(said, Done)))
    worker.end()
    for said in heard.said:
        results.take(said)
    assert results.shown("forecast").fresh


class Heard:
    """What was told, in order."""

    def __init__(self) -> None:
        self.said: list[Share | Done] = []

    def done(self, key: str) -> Done:
        return until(lambda: next((said for said in self.said if isinstance(said, Done) and said.key == key), None))

    def begun(self, key: str) -> Share:
        return until(lambda: next((said for said in self.said if isinstance(said, Share) and said.key == key), None))


@pytest.fixture
def heard() -> Heard:
    return Heard()


@pytest.fixture
def errands(heard: Heard) -> Iterator[Worker]:
    started = errand_worker(heard.said.append)
    yield started
    started.end()


def forecast(data: dict[str, Any], key: str) -> Errand:
    return Errand("forecast", key, data, "mm", "")


@pytest.mark.slow
def test_the_newest_takes_the_place_of_the_one_before(errands: Worker, heard: Heard, bottle: dict[str, Any]) -> None:
    """Of several asked while another is at work only the last is begun and answered; of the others nothing comes."""
    errands.ask(forecast(bottle, "0"))
    heard.begun("0")
    with errands._wake:  # its thread can't take one between two asked
        for place in (1, 2, 3):
            errands.ask(forecast(bottle, str(place)))
    assert heard.done("3").answer is not None
    assert heard.done("0")
    assert {said.key for said in heard.said} == {"0", "3"}


@pytest.mark.slow
def test_stopped_work_ends_at_once_and_the_next_begins_anew(
    errands: Worker, heard: Heard, bottle: dict[str, Any]
) -> None:
    """Its process is killed whatever it is doing, nothing of it is waited for, and nothing of it comes later."""
    errands.ask(forecast(bottle, "first"))
    heard.begun("first")
    process = errands.process.process
    assert process is not None
    assert errands.stop()
    assert heard.done("first").stopped
    assert process.wait(60) == (1 if os.name == "nt" else -signal.SIGKILL)
    errands.ask(forecast(bottle, "second"))
    assert heard.done("second").answer is not None
    assert not errands.stop("forecast")


@pytest.mark.slow
def test_without_a_process_the_same_is_done_here(
    monkeypatch: pytest.MonkeyPatch, heard: Heard, bottle: dict[str, Any]
) -> None:
    """Where no second process can be, the answer is the same."""
    monkeypatch.setattr(worker_module, "started", lambda _module: None)
    alone = errand_worker(heard.said.append)
    alone.ask(forecast(bottle, "alone"))
    found = heard.done("alone")
    alone.end()
    there = done(forecast(bottle, "there"), lambda _: None)
    assert found.answer.ways[0].says == there.answer.ways[0].says


def test_a_refusal_is_a_sentence_at_its_field(bottle: dict[str, Any], tmp_path: Path) -> None:
    """Missing, a folder, no drawing, of no size: each is the fault of its own piece."""
    (tmp_path / "empty.svg").write_text("", "utf-8")
    (tmp_path / "folder.svg").mkdir()
    bottle["artwork"]["pieces"] = [{"file": name} for name in ("gone.svg", "folder.svg")]
    found = done(Errand("artwork", "", bottle, "mm", str(tmp_path)), lambda _: None)
    assert {where for where, _ in found.faults} == {"artwork.pieces.0.file", "artwork.pieces.1.file"}
    bottle["artwork"]["pieces"] = [{"file": "empty.svg"}]
    found = done(Errand("artwork", "", bottle, "mm", str(tmp_path)), lambda _: None)
    assert found.faults[0][0].startswith("artwork.pieces.0")


def test_a_fault_of_the_tool_is_said(monkeypatch: pytest.MonkeyPatch, bottle: dict[str, Any]) -> None:
    """Even that ends neither the process nor the desk."""
    import rotary.plan

    def broken(*_args: object, **_names: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(rotary.plan, "plan", broken)
    assert "fault in rotary" in done(forecast(bottle, ""), lambda _: None).faults[0][1]


def test_work_that_nobody_wants_stops_where_there_is_no_process(bottle: dict[str, Any]) -> None:
    """The progress it tells is where it is stopped."""

    def stop(_share: Share) -> None:
        raise Stopped

    assert done(forecast(bottle, ""), stop).stopped


def test_the_artwork_lands_where_the_map_says(bottle: dict[str, Any], tmp_path: Path) -> None:
    """A piece at a height and an angle lies there: the middle of its outline, by its own extremes on the wall."""
    (tmp_path / "star.svg").write_text(STAR, "utf-8")
    bottle["artwork"]["pieces"] = [{"file": "star.svg", "width": "20 mm", "centre": "80 mm", "angle": "15 deg"}]
    found = done(Errand("artwork", "", bottle, "mm", str(tmp_path)), lambda _: None)
    points = [point for ring in found.answer.rings for point in ring]
    assert len(points) <= MOST_POINTS
    angles, heights = [p[0] for p in points], [p[1] for p in points]
    assert (min(angles) + max(angles)) / 2 == pytest.approx(15 / 180 * pi, abs=0.003)
    # The wall is a little longer than it is high: half the taper is 3.4 degrees.
    assert (min(heights) + max(heights)) / 2 == pytest.approx(80.0, abs=0.05)
    radius_mm = 44 - 9 * 80 / 150
    assert (max(angles) - min(angles)) * radius_mm == pytest.approx(20.0, rel=0.03)


def test_stale_answers_are_never_fresh(bottle: dict[str, Any], tmp_path: Path) -> None:
    """An answer to other fields, or to a file that has changed, is kept for the picture and called by its name."""
    beside = Results(tmp_path)
    first = beside.wanted("artwork", bottle, "mm")
    assert first is not None
    assert beside.wanted("artwork", bottle, "mm") is None
    beside.take(Share("artwork", first.key, 0.5))
    beside.take(Done("artwork", first.key, "answer"))
    assert beside.shown("artwork").fresh
    beside.changed("artwork")
    assert beside.shown("artwork").value == "answer"
    assert not beside.shown("artwork").fresh
    (tmp_path / "star.svg").write_text(STAR, "utf-8")
    bottle["artwork"]["pieces"] = [{"file": "star.svg"}]
    second = beside.wanted("artwork", bottle, "mm")
    assert second is not None
    beside.take(Done("artwork", first.key, "an answer to what stood before"))
    assert not beside.shown("artwork").fresh
    beside.take(Done("artwork", second.key, None, (("artwork.pieces.0.file", "is gone"),)))
    assert beside.shown("artwork").bad
    assert beside.faults("artwork") == {"artwork.pieces.0.file": "is gone"}
    (tmp_path / "star.svg").write_text(STAR + "\n", "utf-8")
    assert beside.wanted("artwork", bottle, "mm") is not None


@pytest.mark.parametrize("radius", [12.0, 31.0, 55.5])
def test_filled_dots_are_as_many_as_the_area(radius: float) -> None:
    """A ring with a hole has as many dots as its area, its outline's own dots aside."""

    def ring(r: float) -> list[tuple[float, float]]:
        return [(60 + r * cos(a / 40 * pi), 60 + r * sin(a / 40 * pi)) for a in range(80)]

    canvas = Canvas(60, 30)
    fill_rings(canvas, [ring(radius), ring(radius / 2)], lambda x, y: (x, y), "a")
    many = sum((ord(sign) - 0x2800).bit_count() for line in canvas.lines() for run in line for sign in run.text
               if 0x2800 < ord(sign) <= 0x28FF)  # fmt: skip
    area = pi * radius**2 * 0.75
    assert area - 2 * radius <= many <= area + 2 * pi * radius * 1.5 + 10


def test_greys_keep_their_share() -> None:
    """A grey of a quarter dark has a quarter of its dots set."""
    canvas = Canvas(40, 20)
    fill_tones(canvas, [[191] * 10] * 10, (80, 80), "a")
    many = sum((ord(sign) - 0x2800).bit_count() for line in canvas.lines() for run in line for sign in run.text
               if 0x2800 < ord(sign) <= 0x28FF)  # fmt: skip
    assert many / 6400 == pytest.approx(0.25, abs=0.02)


@pytest.mark.parametrize("text", ["Heron", "鷺のレガッタ 2026", "é́́xx", "鷺" * 40, "한국어 mug", ""])
def test_wide_scripts_are_counted_in_cells(text: str) -> None:
    """Whatever is written, a line takes the cells that it was given and no more."""
    for width in range(14):
        assert cells(fitted(text, width)) <= width
        assert cells(padded(fitted(text, width), width)) == width
        assert all(cells("".join(run.text for run in line)) <= max(width, 8) + 1 for line in wrapped(text, width))
        assert sum(cells(run.text) for run in clipped([[Run(text), Run("xy")]], width)[0]) <= width
    canvas = Canvas(9, 1)
    canvas.text(1, 0, text)
    assert cells("".join(run.text for run in canvas.lines()[0])) == 9


def test_a_piece_is_put_as_one_change(session: Session) -> None:
    """Chosen artwork can be taken back with one undo, whatever it filled in."""
    before = session.data()
    at = put_piece(session, "text", "Heron", None, (120.0, 40.0))
    # A text too long for the frame of 80 by 60 mm is made as large as that takes it.
    assert session.value(f"artwork.pieces.{at}.width") == pytest.approx(80.0)
    assert piece_at(session, f"artwork.pieces.{at}.text") == at
    assert piece_at(session, "artwork.width") is None
    put_piece(session, "drawing", "crest.svg", at, (30.0, 20.0))
    assert session.text(f"artwork.pieces.{at}.text") == ""
    assert session.undo()
    assert session.undo()
    assert session.data() == before


def test_a_drawing_gives_an_empty_job_its_frame() -> None:
    """Where no frame is typed yet the drawing's own size becomes it."""
    session = Session({"item": {"name": "mug"}})
    put_piece(session, "drawing", "crest.svg", None, (30.0, 20.0))
    assert session.value("artwork.width") == 30.0
    assert session.value("artwork.height") == 20.0
    assert session.text("artwork.centre") == ""
    session.undo()
    session.edit_all({"item.measurements.#": "2", "item.measurements.0.at": "0 mm", "item.measurements.1.at": "95 mm"})
    put_piece(session, "drawing", "crest.svg", None, (30.0, 20.0))
    # Nobody has said where: half way up, to begin with.
    assert session.value("artwork.centre") == 47.5


def test_what_was_given_up_for_a_wrong_value_is_asked_for_again(bottle: dict[str, Any]) -> None:
    """A letter too many stops what is worked out, without it the same is wanted again; what a person stops isn't."""
    results = Results(Path())
    first = results.wanted("forecast", bottle, "mm")
    assert first is not None
    results.give_up(*results.under_way)
    results.take(Done("forecast", first.key, stopped=True))
    assert results.wanted("forecast", bottle, "mm") == first
    results.take(Done("forecast", first.key, stopped=True))
    assert results.wanted("forecast", bottle, "mm") is None
