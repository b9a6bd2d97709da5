"""What to look at before an item is run again, each with the figure that it must show."""

from collections.abc import Iterator

from rotary.job import Job
from rotary.sentences.short_rows import short_text
from rotary.store.record import Profile
from rotary.units import text_from_value


def with_setup_of(job: Job, today: Job) -> Job:
    """The job as it would be run on the drive and laser that another job describes, with its program and eyewear."""
    return job.model_copy(update={name: getattr(today, name) for name in ("turning", "laser", "program", "shop")})


def short_checks(profile: Profile, batch: str, system: str = "mm") -> tuple[tuple[str, str], ...]:
    """What to look at before an item is run again, in a few words each, by id; `batch` is the last one that was run."""
    item, proof = profile.job.item, profile.saved.proof
    checks = []
    if item.measurements:
        sizes = ", ".join(
            f"{text_from_value(one.across_mm or one.round_mm or 0.0, 'mm', system, digits=5)} "
            f"{'across' if one.across_mm else 'round'} at height {text_from_value(one.at_mm, 'mm', system, digits=4)}"
            for one in item.measurements
        )
        checks.append(("diameters", f"measure the item, heights from the {item.end_name(item.heights_from)}: {sizes}"))
    elif item.across_flats_mm:
        checks.append(
            ("diameters", f"measure across flats: {text_from_value(item.across_flats_mm, 'mm', system, digits=5)}")
        )
    run = (proof and proof.plan) or profile.saved.plan
    rows = [row for row in run.actions.by_hand if row.id.startswith("focus")] if run and run.actions else []
    checks.append(("focus", ". ".join(short_text(row, system) for row in rows) or "focus on the apex again"))
    if item.coating:
        checks.append(
            ("batch", f"coating batch last time: {batch}" if batch else "coating batch: you noted none last time")
        )
    return tuple(checks)


def first_checks(profile: Profile, job: Job, system: str = "mm") -> Iterator[str]:
    """What to look at before an item is run again, each with the figure that it must show."""
    item, proof = job.item, profile.saved.proof
    slack = text_from_value(item.measured_within_mm, "mm", system, digits=2)
    if item.measurements:
        places = []
        for station in item.measurements:
            size, how = (station.across_mm, "across") if station.across_mm else (station.round_mm or 0.0, "round")
            at = text_from_value(station.at_mm, "mm", system, digits=4)
            places.append(f"{text_from_value(size, 'mm', system, digits=5)} {how} at height {at}")
        yield (
            f"Measure the item, heights from {item.end_words(item.heights_from)}: {', '.join(places)}. Is one more "
            f"than {slack} off? Then correct the job first."
        )
    elif item.across_flats_mm:
        flats = text_from_value(item.across_flats_mm, "mm", system, digits=5)
        yield f"Measure across flats: {flats}. Is it more than {slack} off? Then correct the job first."
    wish = job.inscription
    place = "face" if job.is_inscribed and wish is not None and wish.around in ("flats", "end") else "apex"
    yield f"Focus on the {place} again, then move the lens as this sheet says."
    if item.coating:
        proven = f'proven on batch "{proof.batch}"' if proof and proof.batch else "you noted no batch"
        name = f"Coating, {item.colour}" if item.colour else "Coating"
        yield f"{name}: {proven}. Another batch may be thicker or darker: then mark a test patch first."
