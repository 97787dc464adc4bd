"""What the findings and the studio add to a visit when it is asked what to do next."""

import zlib

from evenground.findings import Findings
from evenground.fit.protocol_types import Known
from evenground.fit.stance_types import StanceFit
from evenground.measure.ground import Ground
from evenground.visit import StudioSnapshot, Visit

__all__ = ["known_of", "seed_of"]


def seed_of(visit: Visit) -> int:
    """The visit's own number for what is left to chance: the same on every machine and screen."""
    return zlib.crc32(f"{visit.visit} {visit.day.isoformat()}".encode())


def known_of(
    visit: Visit, studio: StudioSnapshot, findings: Findings | None, *, settling: bool = False
) -> Known:
    """Everything that `evenground.fit.protocol` asks for besides the visit.

    `settling` says that the findings are older than the visit and are being worked out.
    """
    stance = None if findings is None else findings.value("stance.search")
    return Known(
        seed=seed_of(visit),
        errors=studio.errors,
        system=studio.settings.units,
        stance=stance if isinstance(stance, StanceFit) else None,
        settling=settling,
        aim_more={} if findings is None else _more(findings, "aim.", "more_trials"),
        grip_more={} if findings is None else _more(findings, "grip.check.", "more_pairs"),
        unusable={} if findings is None else _unusable(visit, findings),
    )


def _more(findings: Findings, head: str, field: str) -> dict[str, int]:
    """How many more trials each condition or club needs, from the findings whose kind begins so."""
    found = {}
    for finding in findings.findings:
        more = getattr(finding.value, field, None)
        if finding.kind.startswith(head) and isinstance(more, int):
            found[finding.kind.removeprefix(head)] = more
    return found


def _unusable(visit: Visit, findings: Findings) -> dict[str, str]:
    """Recordings that say nothing, with the reason and what to do."""
    found = {}
    for number, placement in enumerate(visit.ground, 1):
        finding = findings.of(f"placement {number}")
        if finding is None:
            continue
        if not isinstance(finding.value, Ground):
            found[placement.recording] = finding.reason or "it could not be read."
        elif not finding.value.grade.usable:
            found[placement.recording] = " ".join(flag.text for flag in finding.value.grade.flags)
    return found
