"""What has been typed about an inscription: the fields of its screen, and how the core's names go with them.

No terminal in here, and no core.
"""

from typing import Final

from tui.catalogue.inscription import INSCRIPTION
from tui.catalogue.words import words_of
from tui.drawings.words import count
from tui.form.fields import Group, JobTables, Tables
from tui.form.inscription import job_table
from tui.form.job_form import Session
from tui.form.tables import put
from tui.planner.request import Request

_FIELDS: Final = {
    "table": "write.list", "column": "write.column", "numbers": "write.numbers", "digits": "write.digits",
    "to": "write.folder", "passes.depth": "depth.wanted", "gauged": "depth.gauged", "readings": "depth.gauged",
    "passes": "depth.passes", "depth": "depth.gauged", "resolution": "depth.resolution", "text": "text.0.line",
    "artwork.font": "font", "strike": "depth.strike",
    "inscription.depth": "depth.wanted",
}  # fmt: skip
"""Names in the core's sentences, and the fields that they are about."""


class Lettering(Session):
    """The fields of an inscription, with undo and unit systems as on the desk."""

    def __init__(self, data: JobTables, system: str, job: JobTables) -> None:
        super().__init__(data, system, INSCRIPTION)
        self.job = job

    def _nearest(self, where: str) -> str:
        head, _, place = where.partition(".")
        if head == "more" and place.isdigit():
            where = f"more.{place}.text"
        return super()._nearest(_FIELDS.get(where, where))

    def request(self) -> Request:
        """What the core is to judge now: the job on the desk, the wish, and what goes with it."""
        return Request(self.number, {"job": self.job, **parts(self.data())}, self.system)

    @property
    def wants_list(self) -> bool:
        """Whether a list or numbers are typed, so that many parts are written."""
        return bool(self.text("write.list").strip() or self.text("write.numbers").strip())


def parts(tree: JobTables) -> Tables:
    """The wish, the depth and the files of an inscription, as the core takes them.

    >>> made = parts({"text": [{"line": "HERON"}, {}, {"line": "2026"}], "gap": "2.0 mm", "write": {"list": "a.csv"}})
    >>> {name: made[name] for name in ("wish", "depth", "write")}
    {'wish': {'text': 'HERON\\n\\n2026', 'gap': '2.0 mm'}, 'depth': {}, 'write': {'list': 'a.csv'}}
    """
    return {
        "wish": {"text": "", **job_table(tree)},
        "lines": tuple(tree.get("text", ())),
        "depth": dict(tree.get("depth", {})),
        "write": dict(tree.get("write", {})),
    }


def saved_data(session: Lettering) -> Tables:
    """What is typed, to be shown again when the screen is opened again."""
    tree: Tables = {}
    for key, entry in session.entries.items():
        if entry.text and not key.endswith("#") and session.field(key) is not None:
            put(tree, key, entry.text)
    return tree


def group_summary(session: Session, group: Group) -> str:
    """What a group comes to, in one line."""
    faults = session.group_faults(group)
    if faults:
        return f"{faults} to correct"
    text = session.text
    if group.key == "words":
        return f"{text('around')}, {count(session.rows(session.tables['text']), 'line')}"
    if group.key == "letters":
        face = session.field("face")
        words = words_of(face, text("face")) if face is not None else ""
        return f"{words}, {text('letter_height') or 'as large as fits'}"
    if group.key == "place":
        # Words that go all round begin at the angle, all others have their middle there.
        is_end = text("around") == "end"
        begins = text("around") == "ring" or (is_end and not text("arc"))
        what = "words begin" if begins else "middle of the words"
        return f"{what} {text('start') or '0°'} from the {'top' if is_end else 'front'}"
    if group.key == "depth":
        return text("depth.wanted") or "as deep as the job's passes cut"
    return text("write.list") or text("write.numbers") or text("write.folder") or "F5 writes the files"
