"""Which instruments stand behind a finding, and what is known of them on the day of the visit."""

import math
from dataclasses import replace
from datetime import date

from evenground.instruments import FlippedBar, Instrument, PrintedLength, as_of, latest
from evenground.measure.instrument_apply import MatChecks, mat_checks
from evenground.measure.instrument_bar import bar_error_deg, print_scale
from evenground.measure.instrument_judge import trust
from evenground.visit import HipLineCheck, StudioSnapshot

__all__ = ["checks_on", "distrust", "mat_for", "printed_mm", "with_bar_error"]

USES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("placement", ("mat", "scales")),
    ("ground", ("mat", "scales")),
    ("hip line", ("bar", "protractor")),
    ("stance", ("bar", "protractor")),
    ("setup", ("bar", "protractor", "mat", "scales")),
    ("grip.check", ("bar", "protractor")),
    ("grip.build", ("caliper",)),
    ("body", ("tape measure",)),
    ("posture", ("camera",)),
    ("turn", ("protractor",)),
)
"""Kinds of findings by how they begin, and the kinds of instruments that they stand on."""


def distrust(studio: StudioSnapshot, day: date, kind: str) -> tuple[str, ...]:
    """What to say beside a finding of an instrument that failed, is overdue or was never checked."""
    wanted = next((kinds for head, kinds in USES if kind.startswith(head)), ())
    limit = studio.settings.instrument_days
    return tuple(
        said
        for one in studio.instruments
        if one.kind in wanted
        for said in trust(one, day=day, limit_days=limit)
    )


def mat_for(studio: StudioSnapshot, day: date, cells: tuple[int, int]) -> MatChecks | None:
    """What is known of the mat behind a recording of so many rows and columns, None when there is no mat.

    With several mats it is the one that was checked with as many cells; where that does not tell, none is
    used, and it is said.
    """
    mats = [one for one in studio.instruments if one.kind == "mat"]
    if not mats:
        return None
    limit = studio.settings.instrument_days
    known = [(one, mat_checks(as_of(one, day))) for one in mats]
    alike = [pair for pair in known if pair[1].empty and (pair[1].empty.rows, pair[1].empty.columns) == cells]
    if len(mats) > 1 and len(alike) != 1:
        names = ", ".join(one.name for one in mats)
        said = (
            f"the studio has several mats ({names}) and none of them alone has these cells: no check is used"
        )
        return MatChecks(name="the mat", doubts=(said,))
    one, _ = known[0] if len(mats) == 1 else alike[0]
    return checks_on(one, day, limit_days=limit)


def checks_on(mat: Instrument, day: date, *, limit_days: int) -> MatChecks:
    """What a mat's checks of that day and before say, with what to say beside everything it measures."""
    checks = mat_checks(as_of(mat, day))
    return replace(checks, doubts=trust(mat, day=day, limit_days=limit_days))


def with_bar_error(studio: StudioSnapshot, day: date, check: HipLineCheck) -> HipLineCheck:
    """The check with what all its readings share: the bar's own error, and what its photos have in common.

    The bar's is the visit's, or what flipping it showed where the visit gives none. Trials read by eye share
    nothing with a photo's strip and lens, so the photos' part counts by the share of trials that are photos.
    """
    own = check.bar_error_deg
    bars = [one for one in studio.instruments if one.kind == "bar"]
    figures = _flipped(bars[0], day) if len(bars) == 1 and not own else None
    if figures is not None:
        found = bar_error_deg(figures)
        own = math.hypot(found.value, found.se)
    return replace(check, bar_error_deg=math.hypot(own, _shared_by_photos(check)))


def _shared_by_photos(check: HipLineCheck) -> float:
    """Standard error of the mean of all trials from what the photos among them share."""
    shared = [t.shared_se_deg or 0.0 for t in check.trials]
    return math.fsum(shared) / len(shared) if shared else 0.0


def _flipped(bar: Instrument, day: date) -> FlippedBar | None:
    newest = latest(as_of(bar, day)).get("flipped bar")
    return newest.figures if newest and isinstance(newest.figures, FlippedBar) else None


def printed_mm(studio: StudioSnapshot, day: date) -> float | None:
    """What the studio's one printer made of the 100 mm bar by its newest check; strips are corrected by it.

    None without a printer, with several, or when its newest check did not pass.
    """
    printers = [one for one in studio.instruments if one.kind == "printer"]
    newest = latest(as_of(printers[0], day)).get("printed length") if len(printers) == 1 else None
    if newest is None or not newest.passed or not isinstance(newest.figures, PrintedLength):
        return None
    return 100.0 * print_scale(newest.figures).value
