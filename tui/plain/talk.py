"""Asking question after question in plain lines, and doing what the answers say."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, TextIO

from rotary.papers.text import sentence, voice_text
from tui.catalogue.words import words_of
from tui.form.fields import Field
from tui.form.hints import fault_text
from tui.form.job_form import Session
from tui.form.placement import first_drawing, frame_texts
from tui.plain.questions import Question, asked, questions
from tui.planner.request import Request, Verdict
from tui.planner.verdict import judge

ENTER_KEEPS: Final = (
    "Each question is one line. Press Enter alone to accept the answer shown.",
    "You can also type one of these words:",
    "help: what to measure, and how",
    "back: the question before",
    "undo: take back your last change",
    "remove: delete this row",
    "skip: go on to the next group of questions",
    "all: be asked for rarely used fields, too",
    "numbers: what to type at the machine, by your answers so far",
    "stop: end without saving",
    "If your answer is one of these words, type = before it. To empty a field, type only =.",
)


PATIENCE: Final = 2
"""How often a field is asked again for the same reason, before it is left for the end."""


class StoppedError(Exception):
    """The person asked to stop, or there are no more answers."""


class WrongAnswerError(Exception):
    """An answer from a pipe that can't be used; a person would be asked again."""


@dataclass
class Talk:
    """One conversation: where answers come from, where lines go, whether a person sits there."""

    session: Session
    lines_in: TextIO
    lines_out: TextIO
    in_person: bool
    numbers: Callable[[Session], list[str]]
    everything: bool = False
    ask_core: Callable[[Request], Verdict] = judge
    opened: set[str] = field(default_factory=set)
    visited: list[str] = field(default_factory=list)
    told: list[tuple[str, str]] = field(default_factory=list)
    beside: Path = Path()

    # -- lines

    def say(self, *lines: str) -> None:
        """Plain lines."""
        for line in lines:
            self.lines_out.write(f"{voice_text(line)}\n")
        self.lines_out.flush()

    def read(self, prompt: str) -> str:
        """Ask in one line, and read the answer; StoppedError where there is none."""
        self.lines_out.write(f"{voice_text(prompt)}: ")
        self.lines_out.flush()
        line = self.lines_in.readline()
        if not self.in_person:
            # In a pipe nobody sees what was typed: the answer is said again.
            self.lines_out.write(f"{line.strip()}\n")
        if not line:
            if self.in_person:
                self.lines_out.write("\n")
            raise StoppedError
        return line.strip()

    def yes(self, prompt: str) -> bool:
        """A question to be answered by yes; Enter and no are no."""
        while True:
            answer = self.read(f"{prompt} Type yes, or press Enter for no").casefold()
            if answer in ("", "n", "no"):
                return False
            if answer in ("y", "yes"):
                return True
            self.wrong(f"{answer} is no answer here: type yes or no")

    def wrong(self, says: str) -> None:
        """What can't be used, in a sentence; a person is asked again, a pipe can't be."""
        self.say(f"{sentence(says)} Nothing changed.")
        if not self.in_person:
            raise WrongAnswerError(says)

    # -- the conversation

    def through(self) -> None:
        """All questions once; what the core finds wrong is asked again after its part, or at the end."""
        here: Question | None = None
        part = ""
        while (question := self.next_after(here)) is not None:
            if question.group.key != part:
                if part and (again := self.faulty(part)) is not None:
                    here = self.before(again)
                    continue
                part = question.group.key
                self.say("", f"{question.group.title}.")
            here = self.put(question)
        while (again := self.faulty()) is not None:
            self.put(again)

    def next_after(self, here: Question | None) -> Question | None:
        """The question that follows, as the job stands now."""
        every = questions(self.session, self.opened, self.everything)
        if here is None:
            return every[0]
        keys = [(question.kind, question.key) for question in every]
        place = keys.index((here.kind, here.key)) if (here.kind, here.key) in keys else self._fallback(here, every)
        return every[place + 1] if place + 1 < len(every) else None

    @staticmethod
    def _fallback(here: Question, every: list[Question]) -> int:
        """Where a question that is no longer there stood: before the first of its group's table, or the group's end."""
        places = [place for place, other in enumerate(every) if other.group is here.group]
        beside = [place for place in places if here.table is not None and every[place].table is here.table]
        return (beside or places)[-1] - 1 if beside else places[-1]

    def before(self, question: Question) -> Question | None:
        """The question before this one."""
        every = questions(self.session, self.opened, self.everything)
        place = next((place for place, other in enumerate(every) if other == question), 0)
        return every[place - 1] if place else None

    def faulty(self, part: str | None = None) -> Question | None:
        """The first question of a part, or of all, that the core finds wrong, after saying why; None if none is."""
        self.session.accept(self.ask_core(self.session.request()))
        for key, says in self.session.faults().items():
            group = self.session.group_of(key) if key else None
            if group is None or part not in (None, group.key):
                continue
            self.opened.add(group.key)
            found = self.find(key)
            if found is None or self.told.count((key, says)) >= PATIENCE:
                continue
            self.told.append((key, says))
            self.say(f"Your answer can't be used. {fault_text(self.session, key, says)}")
            if not self.in_person:
                raise WrongAnswerError(says)
            return found
        return None

    def find(self, key: str) -> Question | None:
        """The question about a field or table."""
        for everything in (self.everything, True):
            for question in questions(self.session, self.opened, everything):
                if question.key == key or question.key.startswith(f"{key}."):
                    self.everything = everything
                    return question
        return None

    def put(self, question: Question) -> Question | None:
        """Ask one question until it is answered; the question after which to go on."""
        while True:
            offer = self.own_size(question)
            answer = self.read(asked(self.session, question, offer)) or offer
            word = answer.casefold()
            if word in _WORDS:
                step = _WORDS[word](self, question)
                if step is _AGAIN:
                    continue
                return step if isinstance(step, Question) else None
            rows = self.session.rows(question.table) if question.kind == "row" and question.table is not None else 0
            if self.answered(question, answer):
                self.visited.append(question.key)
                return self._new_row(question, rows)

    def own_size(self, question: Question) -> str:
        """The drawing's own width or height, where that is asked for and empty; nothing where its file states none."""
        key, drawing = question.key, first_drawing(self.session)
        if key not in ("artwork.width", "artwork.height") or self.session.text(key) or not drawing:
            return ""
        from rotary.services.artwork import own_size_mm

        size_mm = own_size_mm(self.beside / drawing)
        return frame_texts(self.session, size_mm)[key] if size_mm else ""

    def _new_row(self, question: Question, rows: int) -> Question | None:
        """The question after which to go on: where a row was added to so many, the one before its first field."""
        if question.kind != "row" or question.table is None or self.session.rows(question.table) == rows:
            return question
        every = questions(self.session, self.opened, self.everything)
        fresh = (one for one in every if one.kind == "field" and one.table is question.table and one.row == rows)
        return self.before(next(fresh, question))

    def answered(self, question: Question, answer: str) -> bool:
        """Whether the answer could be used."""
        if question.kind != "field":
            return self._yes_or_no(question, answer)
        if not answer:
            return True
        assert question.field is not None
        text = answer[1:].strip() if answer.startswith("=") else answer
        if question.field.is_choice and text and (text := self._option(question.field, text)) == "":
            return False
        self.session.edit(question.key, text)
        self.session.settle()
        fault = self.session.entries[question.key].fault if question.key in self.session.entries else ""
        if fault:
            self.session.undo()
            self.wrong(fault)
            return False
        return True

    def _yes_or_no(self, question: Question, answer: str) -> bool:
        if answer.casefold() in ("y", "yes"):
            if question.table is not None:
                self.session.add_row(question.table)
            else:
                self.opened.add(question.key)
        elif answer.casefold() not in ("", "n", "no"):
            self.wrong(f"{answer} is no answer here: type yes or no")
            return False
        return True

    def _option(self, of: Field, text: str) -> str:
        """The option that a number or a beginning names; nothing, and why is said, where none or several are meant."""
        options = self.session.options(of)
        if text.isascii() and text.isdigit() and 0 < int(text[:6]) <= len(options):
            return options[int(text) - 1]
        named = [(name.casefold(), option) for option in options for name in (option, words_of(of, option))]
        meant = {option for name, option in named if name == text.casefold()}
        meant = meant or {option for name, option in named if name.startswith(text.casefold())}
        if len(meant) == 1:
            return meant.pop()
        self.wrong(
            f"{text} is not in the list: type a number or a name from the list"
            if not meant
            else f"{text} fits several names in the list: type more of the name"
        )
        return ""

    # -- the words that do something else

    def _help(self, question: Question) -> object:
        says = question.field.help if question.field is not None else "Type yes, or press Enter to go on."
        self.say(says)
        return _AGAIN

    def _back(self, question: Question) -> object:
        while self.visited:
            before = self.find(self.visited.pop())
            if before is not None and before.key != question.key:
                return self.before(before)
        self.say("This is the first question.")
        return _AGAIN

    def _undo(self, _question: Question) -> object:
        entries = dict(self.session.entries)
        if not self.session.undo():
            self.say("There is nothing to undo.")
            return _AGAIN
        now = self.session.entries
        changed = [key for key in {*entries, *now} if entries.get(key) != now.get(key)]
        found = next((found for key in sorted(changed) if (found := self.find(key.removesuffix(".#")))), None)
        self.say("Undone.")
        return self.before(found) if found is not None else _AGAIN

    def _remove(self, question: Question) -> object:
        if question.table is None or question.kind != "field":
            self.say("There is no row to remove at this question.")
            return _AGAIN
        self.session.remove_row(question.table, question.row)
        self.say(f"{question.table.row} {question.row + 1} is removed.")
        row = Question(question.table.key, "row", question.group, table=question.table)
        return row if self.session.rows(question.table) <= question.row else self.before(row)

    def _skip(self, question: Question) -> object:
        every = questions(self.session, self.opened, self.everything)
        return [other for other in every if other.group is question.group][-1]

    def _all(self, _question: Question) -> object:
        self.everything = True
        self.opened = {question.group.key for question in questions(self.session, set(), True)}
        self.say("From now on you are asked for every field.")
        return _AGAIN

    def _numbers(self, _question: Question) -> object:
        self.say(*self.numbers(self.session))
        return _AGAIN

    def _stop(self, _question: Question) -> object:
        raise StoppedError


_AGAIN: Final = object()
_WORDS: Final[dict[str, Callable[[Talk, Question], object]]] = {
    "help": Talk._help, "?": Talk._help, "back": Talk._back, "undo": Talk._undo, "remove": Talk._remove,
    "skip": Talk._skip, "all": Talk._all, "numbers": Talk._numbers, "stop": Talk._stop,
}  # fmt: skip
