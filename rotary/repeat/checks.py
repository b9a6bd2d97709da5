"""What to look at before an item is run again, each with the figure that it must show."""

from rotary.job import Job
from rotary.store.record import Profile
from rotary.units import text_from_value


def with_setup_of(job: Job, today: Job) -> Job:
    """The job as it would be run on the drive and head that another job describes, with its program and eyewear."""
    return job.model_copy(update={name: getattr(today, name) for name in ("drive", "head", "program", "shop")})


def first_checks(profile: Profile, job: Job, system: str = "mm") -> list[str]:
    """What to look at before an item is run again, each with the figure that it must show."""
    item, proof = job.item, profile.kept.proof
    slack = text_from_value(item.measured_within_mm, "mm", system, digits=2)
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
        name = f"{item.coating}, {item.colour}" if item.colour else item.coating
        checks.append(f"coating, {name}: {batch}: one patch on a hidden place, read before the whole is run")
    return checks
