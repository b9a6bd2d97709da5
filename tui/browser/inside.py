"""A process beside a desk in a browser, held to the same folder: ``python -m tui.browser.inside MODULE``."""

import runpy
import sys

from tui.browser.file_limits import confine

if __name__ == "__main__":
    confine()
    runpy.run_module(sys.argv[1], run_name="__main__")
