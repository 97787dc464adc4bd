"""The findings as they come in: each with its evidence and versions, and a reason in place of a failure."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, BinaryIO, TypeVar

from evenground.assess.instruments import distrust
from evenground.errors import EvengroundError
from evenground.findings import Finding, finding_key
from evenground.methods import versions
from evenground.needs import not_asked
from evenground.visit import Check, StudioSnapshot, Visit

__all__ = ["Book", "OpenBlob", "Part"]

OpenBlob = Callable[[str], BinaryIO]
"""Opens a recording, layout or stock list of the visit by its name."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What a finding stands on: names of its readings for people, their content for the key, its methods.

    A `costly` one is taken over from earlier findings when it stands on the very same: `inputs` then hold
    everything that goes into it besides the studio.
    """

    evidence: tuple[str, ...] = ()
    inputs: tuple[Any, ...] = ()
    methods: tuple[str, ...] = ()
    costly: bool = False


@dataclass(slots=True)
class Book:
    """Collects findings; what cannot be computed is written down with its reason, in one sentence.

    `earlier` are findings of the same visit as it stood before, by their keys.
    """

    visit: Visit
    studio: StudioSnapshot
    open_blob: OpenBlob
    digests: Mapping[str, str]
    earlier: Mapping[str, Finding] = field(default_factory=dict)
    found: list[Finding] = field(default_factory=list)

    def compute(self, kind: str, part: Part, make: Callable[[], T], *, caveat: str | None = None) -> T | None:
        """Run one computation and write down what came of it; None when it could not be done.

        Only what a person can put right is turned into a reason. A bug still stops the program.
        """
        if part.costly and self.carry(kind, part):
            value: T | None = self.found[-1].value
            return value
        try:
            made = make()
        except EvengroundError as exc:
            self.skip(kind, part, str(exc))
            return None
        self._write(kind, part, made, caveat)
        return made

    def carry(self, kind: str, part: Part) -> bool:
        """Take an earlier finding over when it stands on the very same; whether there was one."""
        known = self.earlier.get(self._key(kind, part))
        if known is not None:
            self.found.append(known)
        return known is not None

    def skip(self, kind: str, part: Part, reason: str) -> None:
        """Write down that something was not measured, and why."""
        self._write(kind, part, None, reason)

    def absent(self, check: Check) -> str:
        """Why a check has no readings, in words."""
        said = self.visit.skipped.get(check)
        return f"skipped: {said}" if said else not_asked(self.visit, check) or "not done"

    def value(self, kind: str) -> Any | None:
        """The value found under a kind, None when there is none."""
        return next((f.value for f in self.found if f.kind == kind), None)

    def blobs(self, names: Sequence[str | None]) -> tuple[str, ...]:
        """Digests of the named recordings, for a key; a name without a digest stands for itself."""
        return tuple(self.digests.get(name, name) for name in names if name is not None)

    def _with_doubts(self, kind: str, reason: str | None) -> str | None:
        """The caveat, and what is to say of the instruments behind the finding."""
        doubts = distrust(self.studio, self.visit.day, kind)
        return "; ".join([*([] if reason is None else [reason]), *doubts]) or None

    def _key(self, kind: str, part: Part) -> str:
        return finding_key(kind, [self.studio, *part.inputs], versions(*part.methods))

    def _write(self, kind: str, part: Part, value: Any | None, reason: str | None) -> None:
        self.found.append(
            Finding(
                key=self._key(kind, part),
                kind=kind,
                status="not measured" if value is None else "measured",
                value=value,
                reason=reason if value is None else self._with_doubts(kind, reason),
                evidence=part.evidence,
                methods=versions(*part.methods),
            )
        )
