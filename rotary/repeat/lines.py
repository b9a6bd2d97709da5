"""What is said of a repeat before its sheet or card: how it stands, what was changed, what to check; one line each."""

from typing import Any

from rotary.actions.models import Actions
from rotary.errors import brief
from rotary.papers.model import Section, Sentences, filled
from rotary.repeat.checks import first_checks
from rotary.repeat.run import whole_run
from rotary.repeat.standing import Repeat
from rotary.repeat.today import actions_today


def heading(repeat: Repeat) -> str:
    """Which profile and which version of it is run again."""
    kept = repeat.found.profile.saved
    return f'REPEAT: "{kept.name}", version {repeat.found.label}, saved {kept.at.date().isoformat()}'


def repeat_section(repeat: Repeat, system: str = "mm") -> Section:
    """Which profile it is, then what warns, what is looked at, and what is to be known."""
    found, job = repeat.found, repeat.job
    warns = tuple(text for text in (found.read_only, found.doubt, *repeat.changed) if text)
    notes = [*repeat.notes, *([newer_in_words(repeat)] if repeat.newer else [])]
    if job.inscription is not None and job.is_inscribed:
        words = " / ".join(line.strip() for line in job.inscription.text.split("\n") if line.strip())
        notes.append(
            f'words: "{brief(words, 60)}". To write their files: rotary inscribe "{repeat.found.profile.saved.name}"'
        )
    notes += [f"note of {note.on.date().isoformat()}: {note.text}" for note in found.profile.saved.notes[-3:]]
    checks = tuple(first_checks(found.profile, job, system))
    head = Sentences((heading(repeat),), "none", loud=True)
    blocks = (head, Sentences(warns, "warn"), Sentences(checks, "box", 2), Sentences(tuple(notes), "note"))
    return Section("CHECK TODAY", filled(*blocks))


def newer_in_words(repeat: Repeat) -> str:
    """That there is another plan, and what prints it."""
    return f'{repeat.newer}. To print the newer plan: rotary profile repeat "{repeat.found.profile.saved.name}" --anew'


def repeat_data(repeat: Repeat, actions: Actions | None = None) -> dict[str, Any]:
    """How a repeat stands and the numbers that are printed, for other programs; `actions` where more is known of its
    files than a profile stores."""
    run = repeat.run or whole_run(*repeat.marking.drawn(repeat.today()))
    kept = repeat.found.profile.saved
    proof = kept.proof
    return {
        "profile": kept.name,
        "version": repeat.found.label,
        "verdict": repeat.state,
        "banner": repeat.banner,
        "proven_on": proof.on.isoformat() if proof else None,
        "changed": repeat.changed,
        "notes": repeat.notes,
        "newer": repeat.newer,
        "as_run": repeat.run is not None,
        "numbers": run.model_dump(mode="json")
        | {"actions": (actions or actions_today(repeat, run)).model_dump(mode="json")},
    }
