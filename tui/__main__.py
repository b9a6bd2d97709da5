"""``python -m tui``: the screen."""

import sys

from tui.start import run

if __name__ == "__main__":
    sys.exit(run(sys.argv[1] if len(sys.argv) > 1 else None))
