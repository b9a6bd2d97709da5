"""What the terminal is asked, and its answers: taken out of what is typed before any of it is read as a key.

Asked together, the last answer of each terminal being that of its kind:

===================  ======================  ===========================================
asked                answered                what for
===================  ======================  ===========================================
CSI 16 t             CSI 6 ; high ; wide t   pixels of a cell (xterm2023)
CSI ? 1 ; 1 ; 0 S    CSI ? 1 ; 0 ; 256 S     how many colours sixels have (xterm2023)
APC G a=q ST         APC G i=... ; OK ST     the terminal graphics protocol (tgp2024)
CSI c                CSI ? 62 ; 4 ; 22 c     device attributes; 4 is sixels (dec1988)
===================  ======================  ===========================================
"""

import fcntl
import re
import struct
import termios
from collections.abc import Callable, Iterable
from typing import Any, Final

from textual import constants
from textual._time import get_time
from textual._xterm_parser import XTermParser
from textual.drivers import linux_driver
from textual.message import Message

from tui.drawings.pixels import NUMBER

QUESTIONS: Final = f"\x1b[16t\x1b[?1;1;0S\x1b_Gi={NUMBER},s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\\x1b[c"

_ANSWER: Final = re.compile(
    r"\x1b\[\?(?P<kind>[\d;]*)c|\x1b\[6;(?P<high>\d+);(?P<wide>\d+)t"
    r"|\x1b\[\?(1;0;(?P<colours>\d+)|[\d;]*)S|\x1b_G(?P<shows>[^\x1b]*)\x1b\\"
)
_BEGUN: Final = re.compile(r"\x1b(\[(\?[\d;]*|6(;\d*){0,2})?|_(G[^\x1b]*\x1b?)?)?\Z")
_NO_KEY: Final = re.compile(r"\x1b(\[\?|\[6;\d+;|_G)")
"""No key begins so: the rest of an answer is waited for, however slow the line is."""

LONGEST_S: Final = 2.0
MOST_SIGNS: Final = 256


class TerminalAnswer(Message):
    """One answer of the terminal: its kind, what it says of images, a cell's pixels, or how many colours."""

    def __init__(self, match: re.Match[str]) -> None:
        super().__init__()
        self.kind, self.shows = match["kind"], match["shows"]
        self.wide, self.high, self.colours = (int(match[name] or 0) for name in ("wide", "high", "colours"))


class AnswerParser(XTermParser):
    """Textual's parser, before which answers are taken out: it would read one that it does not know as keys."""

    def __init__(self, debug: bool = False) -> None:
        super().__init__(debug)
        self._begun = ""
        self._since = 0.0

    def feed(self, data: str) -> Iterable[Message]:
        """Everything but answers goes on; what may be the beginning of one waits for its rest."""
        if not data:
            yield from super().feed(data)
            return
        data, self._begun = self._begun + data, ""
        at = 0
        for match in _ANSWER.finditer(data):
            yield from self._on(data[at : match.start()])
            yield TerminalAnswer(match)
            at = match.end()
        rest = data[at:]
        begun = _BEGUN.search(rest)
        if begun is not None and len(begun[0]) <= MOST_SIGNS:
            self._begun, self._since = begun[0], get_time()
            rest = rest[: begun.start()]
        yield from self._on(rest)

    def _on(self, text: str) -> Iterable[Message]:
        if text:
            yield from super().feed(text)

    def tick(self) -> Iterable[Message]:
        """What no rest has come for was a key, or is dropped where no key begins so."""
        is_answer = _NO_KEY.match(self._begun)
        if self._begun and get_time() >= self._since + (LONGEST_S if is_answer else constants.ESCAPE_DELAY):
            begun, self._begun = self._begun, ""
            if not is_answer:
                yield from super().feed(begun)
                # It has waited already.
                self._timeout_time = get_time()
        yield from super().tick()


class AskingDriver(linux_driver.LinuxDriver):
    """Textual's driver with that parser; nothing is asked before somebody wants to know."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.before_stop: Callable[[], None] = lambda: None

    def stop_application_mode(self) -> None:
        """Leave the terminal, for good or for a while, with no image on it."""
        self.before_stop()
        super().stop_application_mode()

    def run_input_thread(self) -> None:
        """Wait for input, and take answers out of it."""
        # The driver builds its parser by this name.
        vars(linux_driver)["XTermParser"] = AnswerParser
        super().run_input_thread()

    def cell_size(self) -> tuple[int, int]:
        """Pixels of a cell, wide and high, as the system has them; zeros where it has none."""
        try:
            said = fcntl.ioctl(self.fileno, termios.TIOCGWINSZ, bytes(8))
        except OSError:
            return 0, 0
        rows, columns, wide, high = struct.unpack("4H", said)
        return (wide // columns, high // rows) if rows and columns else (0, 0)
