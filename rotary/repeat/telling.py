"""What is said of a repeat before its sheet or card: how it stands, what was changed, what to check; one line each."""

import json
from dataclasses import replace

from rotary.errors import brief
from rotary.papers.model import Paper
from rotary.repeat.checks import first_checks
from rotary.repeat.run import whole_run
from rotary.repeat.standing import Repeat


def heading(repeat: Repeat) -> str:
    """Which profile and which version of it is run again."""
    kept = repeat.found.profile.kept
    return f'REPEAT: "{kept.name}", version {repeat.found.label}, kept {kept.at.date().isoformat()}'


def repeat_lines(repeat: Repeat, system: str = "mm") -> list[str]:
    """The heading; "! " before what warns, "[ ] " before what is looked at, then what is to be known."""
    found, job = repeat.found, repeat.job
    lines = [heading(repeat)]
    lines += [f"! {text}" for text in (found.read_only, found.doubt, *repeat.changed) if text]
    lines += [f"[ ] {check}" for check in first_checks(found.profile, job, system)]
    lines += [*repeat.notes, *([newer_in_words(repeat)] if repeat.newer else [])]
    if job.inscription is not None and job.inscription.text.strip():
        words = " / ".join(line.strip() for line in job.inscription.text.split("\n") if line.strip())
        lines.append(f'inscription kept with it: "{brief(words, 60)}"; rotary inscribe with its file writes it anew')
        lines.append("its files then have a card of their own: test that one first")
    lines += [f"note of {note.on.date().isoformat()}: {note.says}" for note in found.profile.kept.notes[-3:]]
    return lines


def lines_before_card(repeat: Repeat, system: str = "mm") -> list[str]:
    """The same with the banner on top, where today's plan is printed as a card."""
    first, *rest = repeat_lines(repeat, system)
    return [f"{repeat.verdict}. {first}", f"! {repeat.banner}", *rest]


def newer_in_words(repeat: Repeat) -> str:
    """That there is another plan, and what prints it."""
    return f'{repeat.newer}; rotary again "{repeat.found.profile.kept.name}" --anew prints it'


def banner_over(card: Paper, repeat: Repeat) -> Paper:
    """The card of today's plan under the banner of a repeat."""
    return replace(card, verdict=repeat.verdict, lead=f"{repeat.banner}. {card.lead}", doubtful=True)


def repeat_json(repeat: Repeat) -> str:
    """How a repeat stands and the numbers that are printed, for other programs."""
    run = repeat.run or whole_run(repeat.today())
    kept = repeat.found.profile.kept
    proof = kept.proof
    told = {
        "profile": kept.name,
        "version": repeat.found.label,
        "verdict": repeat.state,
        "banner": repeat.banner,
        "proven_on": proof.on.isoformat() if proof else None,
        "changed": repeat.changed,
        "notes": repeat.notes,
        "newer": repeat.newer,
        "as_run": repeat.run is not None,
        "numbers": run.model_dump(mode="json"),
    }
    return json.dumps(told, indent=2, ensure_ascii=False)
