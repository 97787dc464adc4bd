"""A number from the world with its unit and where it comes from; one table of these per package."""

from dataclasses import dataclass

__all__ = ["Sourced"]


@dataclass(frozen=True, slots=True)
class Sourced:
    """A constant: `value` in `unit` (empty when dimensionless), `source` as docs/method.md lists it."""

    value: float
    unit: str
    source: str

    def __float__(self) -> float:
        """The bare number."""
        return self.value
