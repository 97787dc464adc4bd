"""A bundle held against itself: its schemas, its log, its files, and each signed card worked out again."""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_files import BundleFiles, open_files
from evenground.capture.fields import read_toml
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.errors import RecordsError
from evenground.plain import to_plain
from evenground.records.exchange import LOG, CardLine, LogHead
from evenground.records.importing import Parcel, read_parcel
from evenground.report.paper import paper_again

__all__ = ["CardChecked", "MissingFileError", "Verified", "same", "verify_bundle"]

RELATIVE = 1e-9
"""Two machines may add in another order: far below the last printed digit."""


class MissingFileError(RecordsError):
    """A signed card stands on a file that is not in the bundle."""

    do = "Export the visit again, whole."

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.where = name
        self.what = "The signed card was worked out from this file, which is not in the bundle."


@dataclass(frozen=True, slots=True, kw_only=True)
class CardChecked:
    """What came of one signed card.

    `printed_same` says whether setting it again gives the signed PDF to the byte, None where none was kept;
    `lines_differing` and `findings_differing` are worked out otherwise now, `methods_moved` are the methods
    whose version changed since, `unexplained` what differs without that; `unchecked` says why nothing was
    worked out again.
    """

    number: int
    signer: str
    signed_at: str
    printed_same: bool | None
    lines_differing: tuple[str, ...] = ()
    findings_differing: tuple[str, ...] = ()
    methods_moved: tuple[str, ...] = ()
    unexplained: tuple[str, ...] = ()
    unchecked: str | None = None

    @property
    def sound(self) -> bool:
        """Whether the card is what was signed, and nothing differs that no change of method explains."""
        return self.printed_same is not False and not self.unexplained


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """A bundle that agrees with itself; `readings` is None where it holds no log."""

    where: str
    visit: str
    readings: int | None
    files: int
    files_deleted: int
    cards: tuple[CardChecked, ...]

    @property
    def sound(self) -> bool:
        """Whether every signed card is."""
        return all(card.sound for card in self.cards)


def verify_bundle(path: Path) -> Verified:
    """Check a bundle against its schemas and its own log, and work each signed card out again.

    Parameters
    ----------
    path
        The folder or the zip file.

    Raises
    ------
    CaptureError
        The first thing that makes the bundle unreadable.
    DamagedLogError, ContradictingVisitError, ChangedFileError
        When the bundle does not agree with itself.
    MissingFileError
        When a signed card stands on a file that is not there.
    """
    files = open_files(path)
    parcel = read_parcel(files)
    if LOG not in files.names():
        read = read_bundle(path)
        return Verified(
            where=files.where,
            visit=read.visit.visit,
            readings=None,
            files=len(read.digests),
            files_deleted=0,
            cards=(),
        )
    named = parcel.head.files
    return Verified(
        where=files.where,
        visit=parcel.visit.visit,
        readings=len(parcel.entries),
        files=len(named),
        files_deleted=sum(line.deleted_why is not None for line in named.values()),
        cards=tuple(_checked(files, parcel, card) for card in parcel.cards),
    )


def _checked(files: BundleFiles, parcel: Parcel, card: CardLine) -> CardChecked:
    kept = card.findings
    printed = None
    if card.pdf is not None and "setup-card" in kept:
        printed = hashlib.sha256(paper_again("setup-card", kept["setup-card"])).hexdigest() == card.pdf
    plain = CardChecked(
        number=card.number, signer=card.signer, signed_at=card.signed_at, printed_same=printed
    )
    if "findings" not in kept:
        return replace(plain, unchecked="it keeps nothing to work out again")
    by_digest = _by_digest(parcel.head)
    gone = sorted(n for n, d in kept["digests"].items() if by_digest.get(d) == "")
    if gone:
        return replace(plain, unchecked=f"deleted since: {', '.join(gone)}")
    if missing := next((n for n, d in kept["digests"].items() if d not in by_digest), None):
        raise MissingFileError(missing)

    def opened(name: str) -> BinaryIO:
        with files.open(by_digest[kept["digests"][name]], wanted_by=LOG) as stream:
            return BytesIO(stream.read())

    visit = visit_from(read_toml(kept["visit.toml"].encode(), VisitFile, file="the signed card's visit"))
    studio = studio_from(read_toml(kept["studio.toml"].encode(), StudioFile, file="the signed card's studio"))
    now = to_plain(assess(visit, studio, opened, digests=kept["digests"]))
    return _compared(plain, kept["findings"], now)


def _by_digest(head: LogHead) -> dict[str, str]:
    """A name in the bundle for each file's digest; empty where the file was deleted."""
    return {line.sha256: "" if line.deleted_why is not None else name for name, line in head.files.items()}


def _compared(plain: CardChecked, kept: Mapping[str, Any], now: Mapping[str, Any]) -> CardChecked:
    """What differs between the findings that were signed and those of today."""
    before, after = ({f["kind"]: f for f in found["findings"]} for found in (kept, now))
    differ = [k for k in sorted({*before, *after}) if not same(_told(before.get(k)), _told(after.get(k)))]
    old, new = ({line["key"]: line for line in found["card"]} for found in (kept, now))
    lines = [k for k in sorted({*old, *new}) if not same(_shown(old.get(k)), _shown(new.get(k)))]
    program = kept["version"] != now["version"]
    moved = {k: _moved(before.get(k), after.get(k)) for k in sorted({*before, *after})}
    any_moved = tuple(sorted({m for ms in moved.values() for m in ms}))
    if program:
        any_moved += (f"evenground {kept['version']} -> {now['version']}",)
    unexplained = [k for k in differ if not moved[k] and not program] + ([] if any_moved else lines)
    return replace(
        plain,
        lines_differing=tuple(lines),
        findings_differing=tuple(differ),
        methods_moved=any_moved,
        unexplained=tuple(unexplained),
    )


def _moved(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> list[str]:
    """Methods of one finding that have another version now, or that it was not made with before."""
    old, new = ({} if found is None else found["methods"] for found in (before, after))
    return [
        f"{m} {old.get(m, 'none')} -> {new.get(m, 'none')}"
        for m in {**old, **new}
        if old.get(m) != new.get(m)
    ]


def _told(finding: Mapping[str, Any] | None) -> Any:
    return None if finding is None else [finding[k] for k in ("status", "value", "reason")]


def _shown(line: Mapping[str, Any] | None) -> Any:
    return None if line is None else [line[k] for k in ("title", "answer", "now", "was")]


def same(one: Any, other: Any) -> bool:
    """Whether two plain results are the same, numbers to a billionth of their size.

    Examples
    --------
    >>> same({"a": [1.0, None]}, {"a": [1.0 + 1e-12, None]}), same([1.0], [1.001]), same({"a": 1}, {"b": 1})
    (True, False, False)
    """
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(same(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, float) or isinstance(other, float):
        return (
            isinstance(one, int | float)
            and isinstance(other, int | float)
            and math.isclose(one, other, rel_tol=RELATIVE, abs_tol=1e-12)
        )
    return bool(one == other)
