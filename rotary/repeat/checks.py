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
        checks.append(f"Measure this very item, from the {item.datum}: {', '.join(places)}. Within {slack}.")
    elif item.across_flats_mm:
        flats = text_from_value(item.across_flats_mm, "mm", system, digits=5)
        checks.append(f"Measure across flats: {flats}, within {slack}.")
    checks.append("Focus on the apex again, then move the lens as this sheet says.")
    if item.coating:
        proven = f'proven on batch "{proof.batch}"' if proof and proof.batch else "no batch noted"
        name = f"Coating, {item.colour}" if item.colour else "Coating"
        checks.append(f"{name}: {proven}. Another batch may be thicker or darker: mark a test patch first.")
    return checks
