"""What the protocol is told besides the visit, and what it answers for one check."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from evenground.fit.hour import State
from evenground.fit.series import Drift
from evenground.fit.stance_plan import PlannedTrial
from evenground.fit.stance_types import StanceFit
from evenground.units import LengthSystem
from evenground.visit import Check, StudioErrors

__all__ = ["Known", "Step"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the findings and the studio add to the visit.

    `seed` is the visit's own number: it settles what is left to chance. `stance` is the search as it stands,
    without the placements that confirm; `settling` says that findings are being worked out. `aim_more` and
    `grip_more` say how many more trials a condition or club still needs; `unusable` why a
    recording has to be repeated, by its name.
    """

    seed: int
    errors: StudioErrors = field(default_factory=StudioErrors)
    system: LengthSystem = "metric"
    stance: StanceFit | None = None
    settling: bool = False
    aim_more: Mapping[str, int] = field(default_factory=dict)
    grip_more: Mapping[str, int] = field(default_factory=dict)
    unusable: Mapping[str, str] = field(default_factory=dict)

    def rng(self, check: Check) -> np.random.Generator:
        """A generator for what one check leaves to chance, the same each time it is asked for."""
        return np.random.default_rng([self.seed, sum(check.encode())])


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What to do next in one check, and why.

    `setting` is what to set for it, by the names of the fields; `plan` the same for a hip-line trial.
    `repeats` says that two readings differ and are settled first: `why` then tells about readings, which a
    blind screen hides. `ending` is what ending here would cost, `ended` why it was ended early. `drift`
    compares the reference's last reading with its first.
    """

    check: Check
    state: State
    what: str
    why: str = ""
    count: str = ""
    enough: bool = False
    rest: bool = False
    repeats: bool = False
    setting: Mapping[str, str] = field(default_factory=dict)
    plan: PlannedTrial | None = None
    ending: str = ""
    ended: str = ""
    drift: Drift | None = None
