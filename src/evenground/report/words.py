"""Numbers as a player or a workshop reads them: ranges, chances in words, days; nothing is computed here.

Every figure that reaches paper goes through this module, so that none stands there without its range or its
error.
"""

import math
from datetime import date

from evenground.estimate import Estimate, Interval
from evenground.findings import Range
from evenground.floor import Handed
from evenground.units import LengthSystem, inch_64ths, show_length, show_range

__all__ = [
    "MINUS",
    "angle_range",
    "chance_words",
    "day_text",
    "diameter_text",
    "estimate_text",
    "heel_range",
    "hundredths_range",
    "joined",
    "kept_together",
    "length_range",
    "shoe_lengths",
    "side_range",
    "sixty_fourths_range",
    "toe_out_range",
    "width_range",
]

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip

INCH_MM = 25.4
MINUS = "\N{MINUS SIGN}"

CHANCES = (
    (0.99, "ninety-nine in a hundred"),
    (0.95, "nineteen in twenty"),
    (0.9, "nine in ten"),
    (0.8, "eight in ten"),
    (0.7, "seven in ten"),
    (0.6, "six in ten"),
    (0.5, "one in two"),
    (0.4, "four in ten"),
    (0.3, "three in ten"),
    (0.2, "two in ten"),
    (0.1, "one in ten"),
)


def day_text(day: date) -> str:
    """A day that reads the same on both sides of an ocean.

    Examples
    --------
    >>> day_text(date(2026, 3, 9))
    '9 March 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def chance_words(probability: float) -> str:
    """A chance in words, rounded down so that it never promises more than was found.

    Examples
    --------
    >>> chance_words(0.93), chance_words(0.899), chance_words(0.02)
    ('nine in ten', 'eight in ten', 'less than one in ten')
    """
    for least, words in CHANCES:
        if probability >= least - 1e-12:
            return words
    return "less than one in ten"


def kept_together(text: str) -> str:
    """The same words with spaces at which a line never breaks."""
    return text.replace(" ", "\N{NO-BREAK SPACE}")


def hundredths_range(chance: Interval) -> str:
    """A range of a chance in hundredths, rounded outwards to five.

    Examples
    --------
    >>> hundredths_range(Interval(low=0.26, high=0.78, level=0.95, unit=""))
    '25 to 80 in a hundred'
    """
    low, high = math.floor(chance.low * 20.0 + 1e-9) * 5, math.ceil(chance.high * 20.0 - 1e-9) * 5
    return f"{max(low, 0)} to {min(high, 100)} in a hundred"


def joined(parts: list[str], last: str = "and") -> str:
    """Words in a row: *a*, *a and b*, *a, b and c*."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def width_range(width: Range, system: LengthSystem) -> str:
    """A range to stand in, rounded inwards: what is printed never reaches past what was promised.

    Examples
    --------
    >>> promised = Range(low=355.0, high=380.0, unit="mm", means="")
    >>> width_range(promised, "metric"), width_range(promised, "inch quarters")
    ('355 to 380 mm', '14 to 14 3/4 in')
    """
    if system == "metric":
        return show_range(width.low, width.high, system)
    step = INCH_MM / (4 if system == "inch quarters" else 8)
    low, high = math.ceil(width.low / step - 1e-9) * step, math.floor(width.high / step + 1e-9) * step
    return show_range(width.low, width.high, system) if low >= high else show_range(low, high, system)


def length_range(length: Estimate, system: LengthSystem, *, step_mm: float = 5.0) -> str:
    """The 95 % range of a length, rounded outwards to `step_mm` or the studio's inch step.

    Examples
    --------
    >>> length_range(Estimate(value=152.0, se=3.0, unit="mm"), "metric")
    '145 to 160 mm'
    """
    low, high = _spread(length, least=step_mm / 2.0)
    return show_range(low, high, system, step_mm=step_mm)


def heel_range(inside: Estimate, system: LengthSystem) -> tuple[str, str]:
    """Where the ball lies beside the lead heel: on which side, and how far, as a 95 % range.

    `inside` runs from the lead heel toward the trail foot; a range that holds zero names both sides.

    Examples
    --------
    >>> heel_range(Estimate(value=152.0, se=3.0, unit="mm"), "metric")
    ('inside the lead heel', '145 to 160 mm')
    >>> heel_range(Estimate(value=5.0, se=8.0, unit="mm"), "metric")
    ('beside the lead heel', '15 mm outside to 25 mm inside')
    """
    low, high = _spread(inside, least=2.5)
    if low >= 0.0:
        return "inside the lead heel", length_range(inside, system)
    if high <= 0.0:
        return "outside the lead heel", length_range(inside.scaled(-1.0), system)
    outer, inner = (show_range(0.0, end, system, step_mm=5.0).rpartition(" to ")[2] for end in (-low, high))
    return "beside the lead heel", f"{outer} outside to {inner} inside"


def shoe_lengths(lengths: Range) -> str:
    """A width in shoe lengths, to the tenth that an eye can judge, rounded outwards.

    Examples
    --------
    >>> shoe_lengths(Range(low=1.25, high=1.33, unit="shoe lengths", means=""))
    'roughly 1.2 to 1.4 shoe lengths'
    """
    low, high = math.floor(lengths.low * 10 + 1e-9), math.ceil(lengths.high * 10 - 1e-9)
    return f"roughly {low / 10:.1f} to {max(high, low + 1) / 10:.1f} shoe lengths"


def angle_range(angle: Estimate) -> str:
    """The 95 % range of an angle in whole degrees, rounded outwards, at least one degree wide.

    Examples
    --------
    >>> angle_range(Estimate(value=36.0, se=0.9, unit="deg"))
    '34 to 38°'
    """
    low, high = _whole(angle)
    return f"{_signed(low)} to {_signed(high)}°"


def toe_out_range(angle: Estimate) -> str:
    """Toe-out of one foot; a foot that may point inwards says so in words.

    Examples
    --------
    >>> toe_out_range(Estimate(value=19.0, se=0.8, unit="deg"))
    '17 to 21°'
    >>> toe_out_range(Estimate(value=0.5, se=1.0, unit="deg"))
    '2° in to 3° out'
    """
    low, high = _whole(angle)
    if low >= 0:
        return f"{low} to {high}°"
    return f"{-high} to {-low}° in" if high <= 0 else f"{-low}° in to {high}° out"


def side_range(open_deg: Estimate, handed: Handed) -> str:
    """Where a face looks, as left and right of the target, from an angle stored + open.

    Examples
    --------
    >>> side_range(Estimate(value=-0.6, se=0.1, unit="deg"), "right")
    '0.4 to 0.8° left'
    >>> side_range(Estimate(value=0.1, se=0.2, unit="deg"), "left")
    'between 0.5° left and 0.3° right'
    >>> side_range(Estimate(value=-0.5, se=0.25, unit="deg"), "right")
    '0.0 to 1.0° left'
    """
    low, high = _spread(open_deg, least=0.05)
    if handed == "left":
        low, high = -high, -low
    low, high = math.floor(low * 10 + 1e-9) / 10, math.ceil(high * 10 - 1e-9) / 10
    if high <= 0.0:
        return f"{abs(high):.1f} to {abs(low):.1f}° left"  # abs: a zero has no sign
    if low >= 0.0:
        return f"{low:.1f} to {high:.1f}° right"
    return f"between {-low:.1f}° left and {high:.1f}° right"


def diameter_text(diameter: Estimate) -> str:
    """A grip diameter in millimetres and 64ths of an inch with its 95 % half width.

    Examples
    --------
    >>> diameter_text(Estimate(value=22.86, se=0.4, unit="mm"))
    '22.9 ± 0.8 mm (57.6 ± 2.0 64ths)'
    """
    half = diameter.half_width()
    in_64 = f"{inch_64ths(diameter.value):.1f} ± {_up(inch_64ths(half)):.1f} 64ths"
    return f"{diameter.value:.1f} ± {_up(half):.1f} mm ({in_64})"


def sixty_fourths_range(low_mm: float, high_mm: float) -> str:
    """A range of diameters or differences in millimetres and 64ths of an inch.

    Examples
    --------
    >>> sixty_fourths_range(0.4, 2.0)
    '0.4 to 2.0 mm (1 to 5 64ths)'
    """
    low, high = round(inch_64ths(low_mm)), round(inch_64ths(high_mm))
    wide = f"{low} to {max(high, low + 1)} 64ths"
    return f"{low_mm:.1f} to {max(high_mm, low_mm + 0.1):.1f} mm ({wide})"


def estimate_text(value: Estimate, system: LengthSystem = "metric", *, decimals: int = 1) -> str:
    """A value with its 95 % half width, for the evidence.

    Examples
    --------
    >>> estimate_text(Estimate(value=-1.2, se=0.5, dof=2, n=3, unit="deg"))
    '−1.2 ± 2.2°'
    """
    half = _up(value.half_width(), decimals)
    if value.unit == "mm" and system != "metric":
        step = show_length(math.ceil(half / (INCH_MM / 8)) * INCH_MM / 8, "inch eighths")
        return f"{show_length(value.value, system)} ± {step}"
    number = f"{abs(value.value):.{decimals}f}"
    sign = MINUS if value.value < 0 and float(number) != 0 else ""
    unit = {"deg": "°", "deg/trial": "° a trial", "%": " %", "": ""}.get(value.unit, f" {value.unit}")
    return f"{sign}{number} ± {half:.{decimals}f}{unit}"


def _spread(value: Estimate, *, least: float) -> tuple[float, float]:
    half = max(value.half_width(), least)
    return value.value - half, value.value + half


def _whole(angle: Estimate) -> tuple[int, int]:
    low, high = _spread(angle, least=0.5)
    low, high = math.floor(low + 1e-9), math.ceil(high - 1e-9)
    return low, max(high, low + 1)


def _signed(number: int) -> str:
    return f"{MINUS}{-number}" if number < 0 else str(number)


def _up(half: float, decimals: int = 1) -> float:
    """Round an error upwards, never to nothing."""
    step = 10.0**-decimals
    return max(math.ceil(half / step - 1e-9) * step, step)
