"""The one entry point, ``rotary`` and ``python -m rotary``: it alone knows the command line and the screen."""

from collections.abc import Sequence

from rotary import cli
from tui.fronts import FRONTS


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command, with every front end at hand."""
    return cli.main(arguments, FRONTS)


if __name__ == "__main__":
    raise SystemExit(main())
