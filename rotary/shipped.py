"""Files that ship with the tool: reference data and example jobs, from a wheel or an editable install."""

from importlib.resources import files
from importlib.resources.abc import Traversable


def profiles() -> Traversable:
    """The folder of shipped item profiles: inside the package in a wheel, beside it in an editable install."""
    inside = files("rotary") / "profiles"
    if inside.is_dir():
        return inside
    return files("rotary") / ".." / "profiles"


def reference(name: str) -> str:
    """The text of a reference data file, for example ``"metals.toml"``."""
    return (files("rotary.reference") / name).read_text(encoding="utf-8")
