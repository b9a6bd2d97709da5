"""A saved job that is opened: what the list of saved jobs hands to the screen. No terminal in here."""

from typing import NamedTuple

from tui.form.fields import Tables


class Opened(NamedTuple):
    """A job as tables of texts, the stamp of the version that it comes from, the profile's name, and the file; the
    action that goes on with it, "" for none."""

    data: Tables
    follows: str = ""
    name: str = ""
    file: str = ""
    then: str = ""
