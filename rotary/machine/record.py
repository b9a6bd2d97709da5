"""A machine: what was read at one machine and what has happened to it since, folded into what is known now."""

import math
from collections.abc import Iterable
from datetime import datetime
from typing import Annotated, Final, Literal, NamedTuple

from pydantic import Field, field_validator

from rotary.errors import brief, known_numbers, listing, refuse
from rotary.examples import laser_example, own_shop
from rotary.faults import built
from rotary.formulas import motion
from rotary.laser import LaserAndLens
from rotary.machine.quantities import CHANGES, FOR_ONE_ITEM, QUANTITIES
from rotary.machine.readings import Finding, GapLadder, MotorTest, Reading, TurnTick, findings
from rotary.model import Model
from rotary.program import Program
from rotary.shop import Shop

UNBELIEVED_SIGMA: Final = 3.5
"""Readings this far from the belief overrule it: a measured machine is what it is."""

STRIP_RESTS_ON: Final = ("turn", "pupil-x", "pupil-y")
"""A strip corrects the plan that these make; a newer reading of one of them makes another plan."""

ENTERED: Final = "laser"
"""A change that makes no reading stale: laser and lens were written into the machine's file."""

LONGEST_NAME: Final = 120

FormerName = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME)]


class MachineChange(Model):
    """Something that happened to the machine: from then on what it lapses is stale."""

    at: datetime
    what: str
    note: str = Field(default="", max_length=200)


class MachineRecord(Model):
    """One machine: its name, all that was read at it and all that was changed, oldest first.

    `former` are the names it had before: a job or profile that was kept with one of them still means this machine.
    `program`, `shop` and `head` are what every job on it takes from here; nothing of them is a shipped example's.
    """

    name: str = Field(min_length=1, max_length=LONGEST_NAME)
    former: tuple[FormerName, ...] = ()
    program: Program = Field(default_factory=Program)
    shop: Shop = Field(default_factory=Shop)
    laser: LaserAndLens | None = None
    readings: tuple[Reading, ...] = ()
    changes: tuple[MachineChange, ...] = ()

    @field_validator("laser")
    @classmethod
    def _own_laser(cls, laser: LaserAndLens | None) -> LaserAndLens | None:
        if laser is not None and laser_example(laser.model_dump(by_alias=True)):
            raise ValueError("laser and lens in this file are examples: write your own, or remove the table [laser]")
        return laser

    @field_validator("shop")
    @classmethod
    def _own_shop(cls, shop: Shop) -> Shop:
        if Shop.model_validate(own_shop(shop.model_dump(by_alias=True))) != shop:
            raise ValueError("a pair of eyewear or a laser in this file is an example: write your own, or remove it")
        return shop


class KnownMachine(Model):
    """What is known about one quantity: `value` ± `u` (1 sigma) in its unit; None where the job's own figure stands.

    `used`, `odd` and `stale` count readings; `says` is one sentence for each thing that a person should know.
    """

    quantity: str
    value: float | None
    u: float
    source: Literal["measured", "believed"]
    used: int
    odd: int
    stale: int
    newest: datetime | None
    says: tuple[str, ...]

    @property
    def measured(self) -> float | None:
        """Its value where readings have told it; None where it is only believed."""
        return self.value if self.source == "measured" else None


class _Dated(NamedTuple):
    finding: Finding
    at: datetime
    item: str | None
    number: int
    coating: str | None = None


def with_reading(machine: MachineRecord, reading: Reading) -> MachineRecord:
    """The machine with one reading more; raises Refused where it is there already."""
    if reading in machine.readings:
        raise refuse("reading", "this reading is saved already: measure again before you save another.")
    return machine.but(readings=tuple(sorted((*machine.readings, reading), key=_when)))


def with_change(machine: MachineRecord, what: str, at: datetime, note: str = "") -> MachineRecord:
    """The machine after something happened to it; raises Refused where it is no such thing."""
    if what not in CHANGES:
        known = listing([f"{name} ({says})" for name, says in CHANGES.items()], "or")
        raise refuse("what", f"there is no change named {brief(what)}: write {known}.")
    change = built(MachineChange, at=at, what=what, note=note)
    return machine.but(changes=tuple(sorted((*machine.changes, change), key=_when)))


def without_reading(machine: MachineRecord, number: int) -> MachineRecord:
    """The machine without its reading of this number, counted from 1; raises Refused where there is none."""
    if not 1 <= number <= len(machine.readings):
        known = known_numbers("reading", range(1, len(machine.readings) + 1), "no reading is saved yet")
        raise refuse("number", f"there is no reading {number}: {known}")
    kept = machine.readings[: number - 1] + machine.readings[number:]
    return machine.but(readings=kept)


def _when(entry: Reading | MachineChange) -> float:
    return entry.at.timestamp()


def known(machine: MachineRecord, item: str | None = None, coating: str | None = None) -> dict[str, KnownMachine]:
    """What is known about every quantity, for one item or one coating where readings hold for one only."""
    found = [
        _Dated(finding, reading.at, getattr(reading, "item", None), number, getattr(reading, "coating", None))
        for number, reading in _that_count(machine)
        for finding in findings(_of_one_command(reading, machine))
    ]
    mine = [d for d in found if d.coating is None or same_name(d.coating, coating)]
    out = {name: _folded(name, [d for d in mine if d.finding.quantity == name], machine, item) for name in QUANTITIES}
    return _strips_that_rest(out, found, machine, item)


def _of_one_command(reading: Reading, machine: MachineRecord) -> Reading:
    """A full turn as the newest one of its item was commanded: of another diameter a turn takes other steps."""
    if not isinstance(reading, TurnTick):
        return reading
    of_item = [one for one in machine.readings if isinstance(one, TurnTick) and same_name(one.item, reading.item)]
    return reading.commanded(of_item[-1].steps)


def _that_count(machine: MachineRecord) -> Iterable[tuple[int, Reading]]:
    """The readings and their numbers, without those whose place a later one takes: a gap ladder that of the same
    coating, a row of the motor test the same row. Where the later one is ignored, the older counts again."""
    last: dict[tuple[str, str], tuple[int, Reading]] = {}
    for number, reading in enumerate(machine.readings, 1):
        alike = str(number)
        if isinstance(reading, GapLadder):
            alike = reading.coating.casefold()
        elif isinstance(reading, MotorTest):
            alike = reading.row
        last[reading.kind, alike] = number, reading
    return last.values()


def newest_ladder(machine: MachineRecord, coating: str | None) -> GapLadder | None:
    """The last gap ladder of a coating: its settings are those that the gap which closes is known for."""
    ladders = [one for one in machine.readings if isinstance(one, GapLadder) and same_name(one.coating, coating)]
    return ladders[-1] if ladders else None


def same_name(one: str, other: str | None) -> bool:
    """Whether two names of a coating or item are the same to a person."""
    return other is not None and one.casefold() == other.casefold()


def _folded(name: str, found: list[_Dated], machine: MachineRecord, item: str | None) -> KnownMachine:
    quantity = QUANTITIES[name]
    says: list[str] = []
    mine = [d for d in found if _for_item(d, name, item)]
    lapsed = [(d, why) for d in mine if (why := _lapsed(d, name, machine))]
    live = [d for d in mine if not _lapsed(d, name, machine)]
    stale = len(lapsed)
    # A motor test tells of the backlash too: a reading need not be of the quantity's own test.
    again = f"Do the test {quantity.tape} again."
    if lapsed:
        says.append(
            f"{_numbered([d for d, _ in lapsed])} {'is' if stale == 1 else 'are'} out of date: {lapsed[-1][1]}. {again}"
        )
    newest = max((d.at for d in live), default=None)
    estimate = motion.weighted_mean([d.finding.value for d in live], [d.finding.u for d in live]) if live else None
    if estimate is not None and not estimate.agree:
        says.append(
            f"{_numbered(live)} disagree too much, so plans don't use them. {again} Then take out the reading that "
            "does not agree with the new one (rotary machine ignore N)."
        )
    if estimate is None or not estimate.agree:
        return KnownMachine(
            quantity=name, value=quantity.believed, u=quantity.believed_u, source="believed", used=0,
            odd=len(live), stale=stale, newest=newest, says=tuple(says),
        )  # fmt: skip
    says += [
        f"Reading {live[place].number} does not fit the others, so plans leave it out. {again}"
        for place in estimate.odd
    ]
    value, u, told = _with_belief(name, estimate.value, estimate.u)
    says += told
    return KnownMachine(
        quantity=name, value=value, u=u, source="measured", used=len(live) - len(estimate.odd),
        odd=len(estimate.odd), stale=stale, newest=newest, says=tuple(says),
    )  # fmt: skip


def _with_belief(name: str, value: float, u: float) -> tuple[float, float, list[str]]:
    """Readings folded with what was believed before, unless they overrule it."""
    quantity = QUANTITIES[name]
    if quantity.believed is None or quantity.believed_u <= 0:
        return value, u, []
    if abs(value - quantity.believed) > UNBELIEVED_SIGMA * math.hypot(u, quantity.believed_u):
        says = f'The measured value of "{quantity.says}" is unusual. Do the test {quantity.tape} again to be sure.'
        return value, u, [says]
    both = motion.weighted_mean([value, quantity.believed], [u, quantity.believed_u])
    weight = 1 / math.sqrt(1 / u**2 + 1 / quantity.believed_u**2)
    return both.value, weight, []


def _for_item(dated: _Dated, name: str, item: str | None) -> bool:
    if FOR_ONE_ITEM not in QUANTITIES[name].lapses_with or dated.item is None:
        return True
    return item is not None and dated.item.casefold() == item.casefold()


def _numbered(found: list[_Dated]) -> str:
    numbers = [str(d.number) for d in found]
    return f"Reading{'s' if len(numbers) > 1 else ''} {listing(numbers)}"


def _lapsed(dated: _Dated, name: str, machine: MachineRecord) -> str:
    """Why a reading holds no longer; nothing where it still does."""
    for change in machine.changes:
        # What holds for an item goes on holding when it is taken off and put back; only its level does not.
        outlasts = change.what == FOR_ONE_ITEM and name != "level"
        if change.what in QUANTITIES[name].lapses_with and change.at > dated.at and not outlasts:
            return f"{CHANGES[change.what]} on {change.at.date().isoformat()}"
    return ""


def _strips_that_rest(
    out: dict[str, KnownMachine], found: list[_Dated], machine: MachineRecord, item: str | None
) -> dict[str, KnownMachine]:
    """A strip older than the newest turn or pupil reading was drawn by another plan: it lapses too."""
    newest = max((k.newest for q in STRIP_RESTS_ON if (k := out[q]).newest is not None), default=None)
    if newest is None:
        return out
    for name in ("sheet-scale", "sheet-turn"):
        mine = [d for d in found if d.finding.quantity == name and _for_item(d, name, item)]
        late = [d for d in mine if d.at >= newest]
        old = [d for d in mine if d.at < newest and not _lapsed(d, name, machine)]
        if old:
            says = f"The seam test of {old[-1].at.date().isoformat()} is older than your newest full-turn or "
            says += "two-heights test, so it is out of date: do a new seam test."
            again = _folded(name, late, machine, item)
            out[name] = again.but(says=(*again.says, says), stale=again.stale + len(old))
    return out
