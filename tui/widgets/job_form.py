"""The form of a job: groups that fold, and what has to be unfolded to show a field."""

from tui.form.job_form import Session
from tui.widgets.form import Form


class JobForm(Form):
    """The fields of a job in groups that fold."""

    session: Session

    def reveal(self, key: str) -> None:
        """Unfold whatever hides a field, and go there."""
        self.folds.reveal(self.session, key)
        self.rows = self.shown_rows()
        self._resized()
        if not self.go_to(key):
            self.go_to(f"{key}.0.at")
        self.refresh()
