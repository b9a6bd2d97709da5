"""The start of the screen: first the core's process, then everything else."""

import gc


def run(job_path: str | None = None) -> int:
    """Open the desk on a job file, or on the worked example; the exit code is 0 unless the file can't be read."""
    # Before the imports: collecting garbage while everything is being built only costs time.
    gc.disable()
    # It loads the core while this process loads the screen.
    from tui.planner.client import Apart

    apart = Apart()
    try:
        from tui.app import run as run_app

        return run_app(job_path, apart)
    finally:
        apart.end()
