"""What a body check found, in plain shapes: each size, what is predicted, what looks wrong and why."""

from dataclasses import dataclass

from evenground.body.hip_joints import HipJoints
from evenground.body.survey import Reference
from evenground.estimate import Estimate
from evenground.floor import Side

__all__ = ["BodyReport", "BodyWarning", "PredictedSize", "SizeReport"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyWarning:
    """Something to look at again; `where` names the size, or is ``body``."""

    code: str
    where: str
    text: str

    @property
    def sentence(self) -> str:
        """The text with its first letter large."""
        return self.text[:1].upper() + self.text[1:]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeReport:
    """One size with its error, and what the survey expects of it given the body's other sizes.

    `off_sd` says how many SDs it is off what is expected, + too large; `band` between which percentiles of
    the survey it lies. All three are None where nothing is compared.
    """

    name: str
    side: Side | None
    size_mm: Estimate
    expected_mm: Estimate | None
    off_sd: float | None = None
    band: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictedSize:
    """A size that was not taken: what a body with these other sizes has, with its SD; never a measurement."""

    name: str
    size_mm: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyReport:
    """All sizes entered, what the survey makes of them, and every warning.

    `reference` is the table that was compared with, None when nothing was; `notes` say what was not compared
    and why. `mass_expected_kg` is what the sizes lead one to expect; `hip_joints`
    needs the width between the front spines of the hip bones. `asks` are no warnings: sizes that need one
    more reading before anything can be said of them.
    """

    sizes: tuple[SizeReport, ...]
    mass_kg: float | None
    warnings: tuple[BodyWarning, ...]
    mass_expected_kg: Estimate | None = None
    predicted: tuple[PredictedSize, ...] = ()
    reference: Reference | None = None
    notes: tuple[str, ...] = ()
    hip_joints: HipJoints | None = None
    asks: tuple[BodyWarning, ...] = ()

    def of(self, name: str) -> tuple[BodyWarning, ...]:
        """The warnings about one size."""
        return tuple(w for w in self.warnings if w.where == name)
