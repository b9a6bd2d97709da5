"""The next identical item: what to check first, and what was changed since it was proven."""

from rotary.errors import brief
from rotary.job import Job
from rotary.store.changes import plan_changes, setup_changes
from rotary.store.joining import rig_changes
from rotary.store.keeping import Found
from rotary.store.proving import standing
from rotary.store.record import AsRun, Profile, RigReading
from rotary.units import text_from_value

MOST_CHANGES = 12
"""So many changes are named; of more than that the count."""


def with_setup_of(job: Job, today: Job) -> Job:
    """The job as it would be run on the drive and head that another job describes."""
    return job.model_copy(update={"drive": today.drive, "head": today.head})


def first_checks(profile: Profile, job: Job, system: str = "mm") -> list[str]:
    """What to look at before an item is run again, each with the figure that it must show."""
    item, proof = job.item, profile.kept.proof
    slack = text_from_value(item.measuring_tolerance_mm, "mm", system, digits=2)
    checks = []
    if item.stations:
        places = []
        for station in item.stations:
            size, how = (station.across_mm, "across") if station.across_mm else (station.round_mm or 0.0, "round")
            at = text_from_value(station.at_mm, "mm", system, digits=4)
            places.append(f"{text_from_value(size, 'mm', system, digits=5)} {how} at {at}")
        checks.append(f"diameter of this very item, from the {item.datum}: {'; '.join(places)}; within {slack}")
    elif item.across_flats_mm:
        checks.append(f"across flats: {text_from_value(item.across_flats_mm, 'mm', system, digits=5)}, within {slack}")
    checks.append("focus: touch off on the apex line anew; the height is on this card")
    if item.coating:
        if proof and proof.batch:
            batch = f'batch "{proof.batch}" was proven; another batch may be thicker or darker'
        else:
            batch = "which batch was proven is not written down; another may be thicker or darker"
        checks.append(f"coating, {item.coating}: {batch}: one patch on a hidden place, read before the whole is run")
    return checks


def repeat_lines(
    found: Found, job: Job, plan: AsRun, system: str = "mm", rig: str = "", readings: tuple[RigReading, ...] = ()
) -> list[str]:
    """What goes before the card of a repeat: how it stands, what was changed, what to check; one line each.

    `rig` names the machine that the plan was made for as measured, `readings` are what is kept of it now.
    """
    profile, kept = found.profile, found.profile.kept
    lines = [f'REPEAT of "{kept.name}", version {found.label}, kept {kept.at.date().isoformat()}']
    lines += [f"! {text}" for text in (found.read_only, found.doubt) if text]
    machine = rig_changes(kept.proof, rig, readings) if kept.proof else []
    lines += _standing_lines(profile, job, plan, system, machine)
    lines += [f"[ ] {check}" for check in first_checks(profile, job, system)]
    if job.inscription is not None and job.inscription.text.strip():
        words = " / ".join(line.strip() for line in job.inscription.text.split("\n") if line.strip())
        lines.append(f'inscription kept with it: "{brief(words, 60)}"; rotary inscribe with its file writes it anew')
    lines += [f"note of {note.on.date().isoformat()}: {note.says}" for note in kept.notes[-3:]]
    return lines


def _standing_lines(profile: Profile, job: Job, plan: AsRun, system: str, machine: list[str]) -> list[str]:
    proof = profile.kept.proof
    if proof is None:
        return ["! not proven yet: treat it as a first run, with a patch"]
    on = proof.on.date().isoformat()
    setup = [str(change) for change in setup_changes(proof.job, job, system)]
    setup += machine
    numbers = [str(change) for change in plan_changes(proof.plan, plan, system)]
    if not setup and not numbers:
        stood = standing(profile, system)
        return [f"{stood.says}, with this setup and these numbers"]
    lines = [f"! was proven on {on}, but that no longer counts as proof: prove it again with a patch"]
    if setup:
        lines += [f"! changed since: {text}" for text in _few(setup)]
    if numbers:
        lines += [f"! to key in, other than proven: {text}" for text in _few(numbers)]
    return lines


def _few(texts: list[str]) -> list[str]:
    rest = len(texts) - MOST_CHANGES
    return texts if rest <= 1 else [*texts[:MOST_CHANGES], f"and {rest} more"]
