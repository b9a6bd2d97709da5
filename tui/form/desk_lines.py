"""What stands on the desk in lines: its title, what its words come to, its numbers, its keys. No terminal in here."""

from tui.drawings.actions import action_lines, rows_needed
from tui.drawings.canvas import Line, Run, cells, fitted, padded
from tui.drawings.standing import flow_line
from tui.drawings.standing import lines_needed as verdict_lines
from tui.drawings.words import count
from tui.form.job_form import Session
from tui.form.progress import done_last

MOST_STANDING = 5
"""Lines at most for how the job stands."""

LEAST_BESIDE = 5
"""Lines for the title, a hint, the keys, and two of fields."""

WORDS, WORDS_KEY = " WORDS  ", " [Ctrl+B]"


def title_line(session: Session, width: int) -> Line:
    """The item, its machine, the way of the job with where it stands, mm or inch."""
    name, right = session.text("item.name") or "an item without a name", f" | {session.system} "
    flow = flow_line(_stage(session), width - len(right) - 12)
    room = max(width - len(right) - sum(cells(run.text) for run in flow), 0)
    left = fitted(f" {name}{' *' if session.unsaved else ''}{_by_machine(session)}", room)
    return [Run(padded(left, room), "strong"), *flow, Run(right, "muted")]


def standing_height(session: Session, width: int, height: int) -> int:
    """How many lines there are for how the job stands: its first step is never out of sight."""
    needed = verdict_lines(session.actions, width, done_last(session))
    # In a very low window two lines stay for the field under the focus.
    return max(3 if height < 30 else 4, min(needed, MOST_STANDING, height - LEAST_BESIDE))


def _stage(session: Session) -> str:
    """Where the job stands on its way."""
    actions = session.actions
    if done := done_last(session):
        return "print" if done == "files" else "mark"
    if session.stale or actions is None or actions.verdict.state == "not ready":
        return "measure"
    return "check" if actions.verdict.state == "test first" else "print"


def _by_machine(session: Session) -> str:
    """Which machine as measured the numbers are for, and how many readings there are out of date or don't agree."""
    says = session.machine_told
    if not says:
        return ""
    doubts = f", {count(len(says) - 1, 'reading')} to repeat" if len(says) > 1 else ""
    return f"  on {says[0]}{doubts}"


def words_lines(session: Session, width: int) -> list[Line]:
    """How the words of a job come out, and the key to all that is said of them."""
    state, says = session.verdict.words if session.verdict is not None else ("", "")
    if not says:
        return []
    # What is said of them goes before their key.
    key = WORDS_KEY if len(WORDS) + cells(says) + len(WORDS_KEY) <= width else ""
    room = max(width - len(WORDS) - len(key), 0)
    ink = "bad" if state == "fails" else "muted" if session.stale else "strong"
    return [[Run(WORDS, "strong"), Run(padded(fitted(says, room), room), ink), Run(key, "a", "app.inscription")]]


def lines_needed(session: Session, width: int) -> int:
    """How many lines the numbers take with all figures small."""
    needed = rows_needed(session.actions, width) if session.actions is not None else 1
    return needed + len(words_lines(session, width))


def number_lines(
    session: Session, width: int, height: int, ascii_only: bool, has_page: bool, is_laid_out: bool
) -> list[Line]:
    """What is imported, typed and set by hand; where more lines are on a page of their own (`has_page`), its key.

    The size of the file is that of its drawing: it is not known before that `is_laid_out`.
    """
    actions = session.actions
    if actions is None:
        return [[Run(fitted(" No numbers yet.", width), "muted")]] if session.verdict is not None else []
    words, needed = words_lines(session, width), lines_needed(session, width)
    room, has_size = height - len(words), is_laid_out or session.stale
    if not has_size and session.words.get("around") in ("flats", "end"):
        # What is known before the words are laid out is of an item that turns.
        return [*words, [Run(fitted(" The numbers are being worked out.", width), "muted")]]
    lines = [*words, *action_lines(actions, session.system, width, room, ascii_only, session.stale, has_size)]
    if not needed > height > 1 or not has_page:
        return lines
    more = needed - height + 1
    return [
        *lines[: height - 1],
        [Run(fitted(f"   {more} more lines", width - 6), "muted"), Run(" [F6]", "a", "screen.page")],
    ]


def desk_keys(other_page: str) -> list[tuple[str, str, str]]:
    """The keys with what they do, those first that never go."""
    return [
        ("F1", "help", "app.help"), ("F6", other_page, "screen.page"),
        ("Ctrl+K", "print", "app.papers"), ("F8", "log run", "app.how_it_went"), ("Ctrl+S", "save", "app.save"),
        ("Ctrl+O", "saved", "app.profiles"), ("Ctrl+Q", "leave", "app.quit"), ("F2", "mm/inch", "screen.system"),
        ("F4", "picture", "screen.picture(1)"), ("F3", "go to", "screen.letters"),
        ("Ctrl+N", "new", "app.new_job"),
        ("F5", "write files", "screen.write_files"), ("Ctrl+E", "artwork", "app.artwork"),
        ("F7", "undo", "screen.undo"),
        ("Ctrl+B", "words", "app.inscription"), ("Ctrl+T", "test patch", "app.patch"),
        ("Ctrl+R", "machine", "app.machine"), ("Ctrl+P", "commands", "app.command_palette"),
    ]  # fmt: skip
