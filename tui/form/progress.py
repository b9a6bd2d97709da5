"""What was done last with the numbers of a job, as long as nothing has changed since. No terminal in here."""

from tui.form.job_form import Session


def did(session: Session, what: str) -> None:
    """Files were written, or a sheet was printed, of what stands here."""
    session.did = (what, session.number)


def done_last(session: Session) -> str:
    """What was done last with what stands here, by its name in `AFTER`; nothing once anything has changed."""
    what, number = session.did
    actions = session.actions
    if number != session.number or session.stale or actions is None or actions.verdict.state == "not ready":
        return ""
    is_saved = session.follows and session.kept_file and not session.unsaved
    return "saved" if what == "sheet" and is_saved else what
