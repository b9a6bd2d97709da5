"""What was read elsewhere goes along with a proof: cells of patches on this coating, readings of the machine."""

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Final

from rotary.job import Job
from rotary.passes.learning.reading import NOT_READ
from rotary.passes.learning.reading import Reading as Cell
from rotary.store.record import MachineReading, Proof, RunReading

MOST: Final = 400
"""So many of the latest readings of each sort go along: a profile stays a page that a person can read."""

Told = tuple[datetime, str, str]
"""A reading of a machine in words: when, of what, what it shows."""


def readings_with_cells(readings: tuple[RunReading, ...], cells: Iterable[Cell], job: Job) -> tuple[RunReading, ...]:
    """The readings of a profile with those of patches on its coating, metal and laser.

    A cell that is there already from another time is brought up to what is kept of it now.
    """
    coating = job.item.coating or "none"
    mine = [
        cell
        for cell in cells
        if cell.outcome != NOT_READ
        and (cell.coating, cell.metal, cell.laser) == (coating, job.item.metal, job.laser.name)
    ]
    joined = {(reading.of, reading.on.date()): reading for reading in map(_from_cell, mine[-MOST:])}
    called = {_name(cell, "proof patch", "kept"): _name(cell) for cell in mine}  # in earlier versions
    saved = tuple(joined.pop((called.get(one.of, one.of), one.on.date()), one) for one in readings)
    return (*saved, *joined.values())


def _name(cell: Cell, patch: str = "test patch", saved: str = "saved") -> str:
    return f"{patch if cell.source == 'patch' else 'run'}, {saved} reading {cell.number}"


def _from_cell(cell: Cell) -> RunReading:
    return RunReading(
        on=datetime.fromisoformat(f"{cell.day}T12:00:00+00:00"),
        of=_name(cell),
        place=f"cell {cell.cell}" if cell.cell else "",
        shows=cell.outcome,
        pulse_width_ns=cell.pulse_width_ns,
        **{name: getattr(cell, name) for name in _ALIKE},
    )


_ALIKE: Final = (
    *("power_share", "frequency_khz", "speed_mm_s", "line_spacing_mm", "defocus_mm"),
    *("passes", "ignored", "note"),
)


def machine_readings(told: Iterable[Told]) -> tuple[MachineReading, ...]:
    """The readings of a machine as a proof keeps them."""
    return tuple(
        MachineReading(on=on.replace(microsecond=0), of=of[:120], shows=shows[:2000])
        for on, of, shows in list(told)[-MOST:]
    )


def machine_changes(proof: Proof, machine: str, now: tuple[MachineReading, ...]) -> list[str]:
    """What is otherwise known of the machine than when the proof was given; one line each, none where nothing is."""
    if proof.machine != machine:
        was = f'on machine "{proof.machine}"' if proof.machine else "with no machine chosen"
        here = f'machine "{machine}"' if machine else "no machine"
        return [f"you proved this job {was}, and now {here} is chosen"]
    before, after = set(map(_same, proof.machine_readings)), set(map(_same, now))
    said = [f"the machine has a new reading: {_in_words(one)}" for one in now if _same(one) not in before]
    gone = [one for one in proof.machine_readings if _same(one) not in after]
    return [*said, *(f"the machine no longer has the reading: {_in_words(one)}" for one in gone)]


def _in_words(one: MachineReading) -> str:
    # How sure it is says nothing to a person here.
    return ", ".join(filter(None, (one.of, f"{one.on.date()}", re.sub(r', u(_\w+)? "[^"]*"', "", one.shows))))


def _same(one: MachineReading) -> tuple[float, str, str]:
    return one.on.timestamp(), one.of, one.shows
