"""What a studio may study, and how the result goes into its errors: one set of words for all."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from evenground.errors import MeasureError
from evenground.visit import StudioErrors

__all__ = ["STUDIED", "Studied", "StudyNotUsedError", "UnknownStudyError", "studied", "with_study"]


class UnknownStudyError(MeasureError):
    """A study of something the studio keeps no error for."""

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.where = "study"
        self.what = f"The studio keeps no error of {kind[:40]!r}."
        self.do = f"Name one of {', '.join(STUDIED)}."


class StudyNotUsedError(MeasureError):
    """A study that must not decide anything yet."""

    def __init__(self, why: str, do: str) -> None:
        super().__init__(why, do)
        self.where = "study"
        self.what = f"This study is not put into use: {why}."
        self.do = do


@dataclass(frozen=True, slots=True, kw_only=True)
class Studied:
    """One kind of reading: its unit, and the two fields of `StudioErrors` that its study fills."""

    kind: str
    unit: str

    @property
    def one(self) -> str:
        """The field of the SD of one reading."""
        return f"{self.kind.replace(' ', '_')}_{self.unit}"

    @property
    def between(self) -> str:
        """The field of the SD between observers."""
        return f"{self.kind.replace(' ', '_')}_between_observers_{self.unit}"


STUDIED: Mapping[str, Studied] = {
    kind: Studied(kind=kind, unit=unit)
    for kind, unit in (
        ("hip line", "deg"),
        ("posture", "deg"),
        ("turn", "deg"),
        ("ball", "mm"),
        ("width", "mm"),
    )
}


def studied(kind: str) -> Studied:
    """The kind of reading that a word names; hyphens are blanks.

    Raises
    ------
    UnknownStudyError
        When the studio keeps no error of it.

    Examples
    --------
    >>> studied("hip-line").one
    'hip_line_deg'
    """
    found = STUDIED.get(kind.strip().lower().replace("-", " "))
    if found is None:
        raise UnknownStudyError(kind)
    return found


def with_study(errors: StudioErrors, kind: Studied, sd: float, between: float | None) -> StudioErrors:
    """A studio's errors with one study in use; `between` is None where one observer measured.

    Both numbers are kept to three digits: more would promise what no study knows.
    """
    values: dict[str, Any] = {
        kind.one: float(f"{sd:.3g}"),
        kind.between: None if between is None else float(f"{between:.3g}"),
    }
    return replace(errors, **values)
