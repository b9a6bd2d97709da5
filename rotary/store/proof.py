"""Whether what is kept still counts as proven: a proof of a changed setup does not, and says what was changed."""

from dataclasses import dataclass
from typing import Literal

from rotary.store.changes import Change, setup_changes
from rotary.store.record import Profile


@dataclass(frozen=True, slots=True)
class Standing:
    """How a profile stands: proven, lapsed (proven once, then the setup was changed), or not proven."""

    state: Literal["proven", "lapsed", "not proven"]
    on: str = ""
    changed: tuple[Change, ...] = ()
    sheet_kept: bool = True

    @property
    def summary(self) -> str:
        """One line for a person."""
        if self.state == "proven":
            # Whether a rule has changed since is known only once all is planned again.
            older = "" if self.sheet_kept else " by an older version: the sheet says if the proof still counts"
            return f"proven on {self.on}{older}"
        if self.state == "lapsed":
            several = f", {len(self.changed)} changes in all" if len(self.changed) > 1 else ""
            return f"was proven on {self.on}, but the proof no longer counts ({self.changed[0].text}{several})"
        return "not proven yet"


def standing(profile: Profile, system: str = "mm") -> Standing:
    """How a profile stands, by its own proof held against its own job."""
    proof = profile.saved.proof
    if proof is None:
        return Standing("not proven")
    changed = tuple(setup_changes(proof.job, profile.job, system))
    if proof.plan is None:
        changed = (*changed, Change("numbers", "those you ran", "not stored"))
    kept = proof.plan is not None and proof.plan.actions is not None
    return Standing("lapsed" if changed else "proven", proof.on.date().isoformat(), changed, kept)
