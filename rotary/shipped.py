"""Files that ship with the tool: reference data and example jobs, from a wheel or an editable install."""

import os
import sys
from functools import lru_cache
from pathlib import Path
from typing import Final

FIRST: Final = "regatta-bottle"
"""The example that is open at the first start."""


_HERE: Final = Path(__file__).parent
"""The package's own folder, a real one since it is not run from an archive; to ask for it would slow the start."""


def profiles() -> Path:
    """The folder of shipped item profiles: inside the package in a wheel, beside it in an editable install."""
    inside = _HERE / "profiles"
    return inside if inside.is_dir() else _HERE.parent / "profiles"


def examples() -> dict[str, Path]:
    """The shipped example jobs by name.

    >>> FIRST in examples()
    True
    """
    folder = profiles().resolve()
    names = (entry.name for entry in folder.iterdir())
    return {name[:-5]: folder / name for name in sorted(names) if name.endswith(".toml")}


def example_text(path: Path) -> str:
    """The text of a shipped example."""
    return path.read_text(encoding="utf-8")


def reference(name: str) -> str:
    """The text of a reference data file, for example ``"metals.toml"``."""
    return (_HERE / "reference" / name).read_text(encoding="utf-8")


def own_reference(name: str) -> Path:
    """Where a person's own data of that kind would lie: in ROTARY_BELIEFS, else beside the profiles."""
    return _own_reference(os.environ.get("ROTARY_BELIEFS", ""), name)


def _own(text: str) -> Path:
    return Path(os.path.expanduser(text))  # noqa: PTH111  (the other way raises where there is no such person)


@lru_cache(maxsize=8)
def _own_reference(asked: str, name: str) -> Path:
    return (_own(asked) if asked else _own_data() / "beliefs") / name


def profile_folder(asked: str | None = None) -> Path:
    """Where profiles are kept: what was asked for, else ROTARY_FOLDER, else the person's data folder."""
    return data_folder("profiles", "ROTARY_FOLDER", asked)


def data_folder(kind: str, variable: str, asked: str | None = None) -> Path:
    """Where a person's things of a kind lie: where was asked for, else where the environment says, else with the
    person's data."""
    chosen = asked or os.environ.get(variable)
    return _own(chosen) if chosen else _own_data() / kind


def machine_folder(asked: str | None = None) -> Path:
    """Where machines are saved: where was asked for, else ROTARY_MACHINES, else with the person's data.

    What earlier versions called it still counts: ROTARY_RIGS, and the folder `rigs` while the other holds no machine.
    """
    chosen = asked or os.environ.get("ROTARY_MACHINES") or os.environ.get("ROTARY_RIGS")
    if chosen:
        return _own(chosen)
    folder, earlier = _own_data() / "machines", _own_data() / "rigs"
    return earlier if earlier.is_dir() and not any(folder.glob("*.toml")) else folder


@lru_cache(maxsize=1)
def _own_data() -> Path:
    if sys.platform == "linux":
        # What the XDG base directory specification asks for is one line; a library for it a tenth of a short command.
        # It asks for a whole path, and to ignore any other: a job run elsewhere would lose sight of its profiles.
        shared = os.environ.get("XDG_DATA_HOME", "").strip()
        own = shared if shared.startswith("/") else os.path.expanduser("~/.local/share")  # noqa: PTH111  (no home: stays)
        return Path(own) / "rotary"
    from platformdirs import user_data_dir

    return Path(user_data_dir("rotary", appauthor=False))


def tool_version() -> str:
    """The version of this tool, as installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("rotary")
    except PackageNotFoundError:
        return "from source"
