"""The order of the recipe: each check in turn, what was not measured, the card lines."""

from collections.abc import Mapping

from evenground import __version__
from evenground.assess.address import assess_address
from evenground.assess.bag import assess_bag
from evenground.assess.book import Book, OpenBlob
from evenground.assess.club import assess_grips
from evenground.assess.extras import assess_held_load, assess_practice
from evenground.assess.ground import assess_ground
from evenground.assess.person import assess_body, assess_posture, assess_safety
from evenground.assess.stance import assess_setups, assess_stance
from evenground.assess.trials import assess_aim, assess_grip_check, assess_turn
from evenground.findings import Finding, Findings
from evenground.report.proposal import card_lines
from evenground.visit import StudioSnapshot, Visit

__all__ = ["assess"]


def assess(
    visit: Visit,
    studio: StudioSnapshot,
    open_blob: OpenBlob,
    *,
    digests: Mapping[str, str] | None = None,
    earlier: Findings | None = None,
) -> Findings:
    """Everything that can be worked out of a visit.

    Parameters
    ----------
    visit
        What was measured.
    studio
        The studio's settings, errors and stock at the time.
    open_blob
        Opens a recording, layout or stock list named by the visit or the studio.
    digests
        SHA-256 of those files, for the findings' keys.
    earlier
        Findings of the visit as it stood before, given together with `digests`: a recording that has not
        changed since is not read again. The result is the same without them.

    Returns
    -------
    findings
        One a computation, in the order of the hour. A check that could not be used is there as *not measured*
        with its reason.
    """
    known = {} if earlier is None or digests is None else {f.key: f for f in earlier.findings}
    book = Book(visit=visit, studio=studio, open_blob=open_blob, digests=digests or {}, earlier=known)
    assess_safety(book)
    assess_body(book)
    assess_ground(book)
    assess_stance(book)
    assess_setups(book)
    assess_posture(book)
    assess_address(book)
    assess_turn(book)
    assess_bag(book)
    assess_grips(book)
    assess_grip_check(book)
    assess_aim(book)
    assess_practice(book)
    assess_held_load(book)
    found = tuple(book.found)
    plain = Findings(
        visit=visit.visit, version=__version__, findings=found, not_measured=_not_measured(found)
    )
    return Findings(
        visit=plain.visit,
        version=plain.version,
        findings=found,
        card=card_lines(visit, studio, plain),
        not_measured=plain.not_measured,
    )


def _not_measured(found: tuple[Finding, ...]) -> tuple[str, ...]:
    """One sentence for each thing that was not measured, with its reason."""
    return tuple(f"{f.kind}: {f.reason}" for f in found if f.value is None)
