"""``python -m tui``: the screen."""

import gc
import sys

if __name__ == "__main__":
    # Before the imports: collecting garbage while everything is being built only costs time.
    gc.disable()
    from tui.app import run

    sys.exit(run(sys.argv[1] if len(sys.argv) > 1 else None))
