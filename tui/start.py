"""The start of the screen: first the core's process, then everything else."""

import gc
from pathlib import Path


def run(job_path: str | None = None) -> int:
    """Open the desk on a job file, or on the worked example; the exit code is 0 unless the file can't be read."""
    # Before the imports: collecting garbage while everything is being built only costs time.
    gc.disable()
    from tui.disk.opened_job import first_example
    from tui.planner.client import planner_process
    from tui.planner.last import LastVerdict

    last = LastVerdict(Path(job_path) if job_path else first_example())
    # It loads the core while this process loads the screen; with a verdict to show, once the screen stands.
    core = planner_process(at_once=last.verdict is None)
    try:
        from tui.app import run as run_app

        return run_app(job_path, core, last)
    finally:
        core.close()
