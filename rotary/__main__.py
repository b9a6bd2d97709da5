"""``python -m rotary`` is the command ``rotary``."""

from rotary.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
