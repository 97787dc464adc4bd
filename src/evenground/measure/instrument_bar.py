"""A bar flipped end for end, and a printed length under a ruler."""

from evenground.errors import MeasureError
from evenground.estimate import Estimate, difference, from_repeats
from evenground.instruments import FlippedBar, PrintedLength

__all__ = ["NoReadingsError", "bar_error_deg", "print_scale"]

_ONE_READING_DEG = 0.5
_ONE_READING_MM = 0.2


class NoReadingsError(MeasureError):
    """A check without the readings that it compares."""

    def __init__(self, what: str, do: str) -> None:
        super().__init__(what, do)
        self.where, self.what, self.do = "check", what, do


def bar_error_deg(bar: FlippedBar, *, reading_sd_deg: float | None = None) -> Estimate:
    """The bar's own error: half of what it reads one way round less the other.

    Parameters
    ----------
    bar
        Readings of one fixed line, the bar as always and flipped end for end; at least one each.
    reading_sd_deg
        SD of one reading, for single readings; without it 0.5 deg, a protractor's division (ours).

    Raises
    ------
    NoReadingsError
        Without a reading either way.

    Notes
    -----
    A bar whose edge is off by e reads line + e one way round and line - e the other. The sign says which way
    it errs as it usually lies; a bar that is put down either way errs by as much to both sides.

    Examples
    --------
    >>> bar_error_deg(FlippedBar(normal_deg=(3.4,), flipped_deg=(2.6,))).value
    0.4
    """
    sides = []
    for readings, way in ((bar.normal_deg, "as always"), (bar.flipped_deg, "flipped end for end")):
        if not readings:
            what = f"There is no reading of the bar {way}."
            do = "Read one fixed line twice: the bar as always, and flipped end for end."
            raise NoReadingsError(what, do)
        known = reading_sd_deg if reading_sd_deg is not None else _ONE_READING_DEG
        single = len(readings) == 1 or reading_sd_deg is not None
        sides.append(from_repeats(readings, unit="deg", known_sd=known if single else None, what="bar"))
    return difference(*sides).scaled(0.5)


def print_scale(printed: PrintedLength) -> Estimate:
    """What a printer makes of a length: measured over nominal, without unit.

    Raises
    ------
    NoReadingsError
        Without a reading.

    Notes
    -----
    A ruler is read to about 0.2 mm (ours); repeats show their own spread where there are three or more.

    Examples
    --------
    >>> print_scale(PrintedLength(measured_mm=(98.5,))).value
    0.985
    """
    if not printed.measured_mm:
        what = "There is no reading of the printed length."
        raise NoReadingsError(what, "Measure the bar marked 100 mm with a steel ruler.")
    known = None if len(printed.measured_mm) >= 3 else _ONE_READING_MM
    said = from_repeats(printed.measured_mm, unit="mm", known_sd=known, what="printed length")
    return said.scaled(1.0 / printed.nominal_mm, unit="")
