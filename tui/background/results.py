"""What the desk has found out beside the plan: artwork on the wall, forecast, window; and whether it is still true.

No terminal in here, and no core.
"""

import time
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from tui.background.tasks import Done, Errand, Share
from tui.drawings.panel_content import Content
from tui.form.fields import JobTables, Tables

PATIENCE_S: Final = 1.0
"""Nobody needs to be told of what takes less."""


class Results:
    """The answers by kind, and what is under way."""

    def __init__(self, folder: Path, stop: str = "Esc stops the work") -> None:
        self.folder, self.stop = folder, stop
        self._answers: dict[str, Done] = {}
        self._good: Tables = {}
        self._asked: dict[str, tuple[str, float, float]] = {}
        self._keys: dict[str, str] = {}

    def wanted(
        self, what: str, data: JobTables, system: str, profiles: str = "", more: tuple[str, ...] = ()
    ) -> Errand | None:
        """The errand that would answer for what stands now; None where it is answered or under way."""
        key = self._keys[what] = f"{_key(what, data, self.folder, profiles)}{more}"
        answer = self._answers.get(what)
        if answer is not None and answer.key == key:
            return None
        if what in self._asked and self._asked[what][0] == key:
            return None
        self._asked[what] = (key, 0.0, time.monotonic())
        return Errand(what, key, data, system, profiles if what == "window" else str(self.folder), more)

    def changed(self, *whats: str) -> None:
        """These no longer go with what is typed, until they are asked for again."""
        for what in whats:
            self._keys[what] = ""

    def retry(self, what: str) -> None:
        """What was stopped may be asked for again."""
        if what in self._answers and self._answers[what].stopped:
            del self._answers[what]

    def give_up(self, *whats: str) -> None:
        """Nobody waits for these any more; unlike what a person stops they are asked for once they are wanted again."""
        for what in whats:
            self._asked.pop(what, None)

    def take(self, said: Share | Done) -> None:
        """How far an errand is, or what came of it."""
        asked = self._asked.get(said.what)
        if asked is None or asked[0] != said.key:
            return
        if isinstance(said, Share):
            self._asked[said.what] = (said.key, said.share, asked[2])
            return
        del self._asked[said.what]
        self._answers[said.what] = said
        if said.answer is not None:
            self._good[said.what] = said.answer

    @property
    def under_way(self) -> tuple[str, ...]:
        """What is being found out."""
        return tuple(self._asked)

    def faults(self, what: str) -> dict[str, str]:
        """What is wrong with what stands now, by field."""
        answer = self._answers.get(what)
        return dict(answer.faults) if answer and answer.key == self._keys.get(what) else {}

    def shown(self, what: str) -> Content:
        """What there is to draw of a kind."""
        answer, key = self._answers.get(what), self._keys.get(what, "")
        value = self._good.get(what)
        if answer is not None and answer.key == key:
            if answer.stopped:
                return Content(
                    value, False, "you stopped this picture. To draw it, go to another picture and come back."
                )
            if answer.answer is None:
                return Content(value, False, next(iter(dict(answer.faults).values()), ""), True)
            return Content(value, True)
        asked = self._asked.get(what)
        if asked is None:
            return Content(value, False, "comes as soon as you stop typing")
        for_s = time.monotonic() - asked[2]
        if for_s < PATIENCE_S:
            return Content(value, False, "being worked out")
        far = f"{100 * asked[1]:.0f} % done after " if asked[1] else ""
        return Content(value, False, f"being worked out, {far}{for_s:.0f} s. {self.stop}")


def _key(what: str, data: JobTables, folder: Path, profiles: str) -> str:
    """All that an answer depends on: fields, and the state of the files that they name."""
    pieces = data.get("artwork", {}).get("pieces", ()) if isinstance(data.get("artwork"), Mapping) else ()
    files = [piece.get(name) for piece in pieces if isinstance(piece, Mapping) for name in ("file", "font")]
    states = [_state(folder / str(file)) for file in files if file]
    if what == "window":
        return repr((data, _state(Path(profiles) / "readings.toml"), profiles))
    return repr((data, states, str(folder)))


def _state(path: Path) -> tuple[str, int, int]:
    try:
        state = path.stat()
    except (OSError, ValueError):
        return str(path), 0, 0
    return str(path), state.st_mtime_ns, state.st_size
