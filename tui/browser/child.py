"""One desk for one page: what the server starts. It ends when the server does."""

import os
import signal
import sys
import threading
import time
from typing import Final

LOOK_S: Final = 2.0


def end_with(parent: int) -> None:
    """Leave in an orderly way once the process that started this one is gone."""

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(LOOK_S)
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=watch, name="watch", daemon=True).start()


def main() -> int:
    """Open the desk on the job that is named, or on what stood there last."""
    if hasattr(os, "getppid") and os.name == "posix":
        end_with(os.getppid())
    from tui.browser.file_limits import confine

    job = sys.argv[1] if len(sys.argv) > 1 else None
    confine(*([job] if job else []))
    from tui.start import run

    return run(job)


if __name__ == "__main__":
    sys.exit(main())
