"""Who has longer work done: in a process of its own, so that it never holds up an answer to typing."""

from collections.abc import Callable

from tui.background.tasks import Done, Errand, Share
from tui.background.worker import CoreProcess, Tell, Worker


def errand_worker(tell: Callable[[Share | Done], object]) -> Worker[Errand, Done]:
    """A worker for errands; what is asked anew stops what is under way of its kind."""

    def here(errand: Errand, share: Tell) -> Done:
        from tui.background.process import done

        return done(errand, share)

    return Worker(tell, CoreProcess("tui.background.process", here), _lost)


def _lost(errand: Errand, is_stopped: bool) -> Done:
    says = "the computer ran out of memory, or another program stopped the work: try again"
    return Done(errand.what, errand.key, stopped=is_stopped, faults=() if is_stopped else (("", says),))
