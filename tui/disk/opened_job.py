"""A saved job that is opened: what the list of saved jobs hands to the screen. No terminal in here."""

from pathlib import Path
from typing import NamedTuple

from rotary.shipped import profiles
from tui.form.fields import Tables


class Opened(NamedTuple):
    """A job as tables of texts, the stamp of the version that it comes from, the profile's name, and the file; the
    action that goes on with it, "" for none."""

    data: Tables
    follows: str = ""
    name: str = ""
    file: str = ""
    then: str = ""


def first_example() -> Path:
    """The file of the worked example that the first start opens."""
    return profiles() / "heron-cup.toml"
