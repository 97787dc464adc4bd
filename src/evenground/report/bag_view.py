"""The whole bag as one table of words: the same on the command line, the page and the card's evidence."""

import math
from collections.abc import Iterator

from evenground.estimate import Estimate
from evenground.fit.bag import Bag, ClubReport, CounterweightEffect
from evenground.report.words import MINUS, estimate_text
from evenground.units import LengthSystem

__all__ = ["BAG_COLUMNS", "bag_cells", "bag_rows", "bag_sentences", "points_text"]

BAG_COLUMNS = (
    "length",
    "lie",
    "held at",
    "flat at this lie",
    "reach",
    "ball from toes",
    "ball from heels",
    "mass",
    "balance",
    "swing weight",
    "moment about the hands",
    "Rules",
)
LETTERS = "ABCDEFGHIJ"
D0_AT = 30.0  # points from A0 to D0, ten a letter


def points_text(points: float) -> str:
    """Points above D0 in the trade's letters, ten points a letter.

    Examples
    --------
    >>> points_text(2.4), points_text(-3.0)
    ('D2.4', 'C7.0')
    """
    letter, rest = divmod(round(points, 1) + D0_AT, 10.0)
    if not 0 <= letter < len(LETTERS):
        return f"{MINUS if points < 0 else '+'}{abs(points):.1f} from D0"
    return f"{LETTERS[int(letter)]}{rest:.1f}"


def _size(size: Estimate | None, system: LengthSystem, *, decimals: int = 0) -> str:
    return "" if size is None else estimate_text(size, system, decimals=decimals)


def _rules(club: ClubReport) -> str:
    if not club.verdicts:
        return ""
    words = {True: "conforms", False: "does not conform", None: "cannot certify"}
    return words[club.conforming]


def bag_cells(club: ClubReport, system: LengthSystem = "metric") -> tuple[tuple[str, str], ...]:
    """Each column of the bag's table and what stands in it for one club, empty where nothing does."""
    swing = club.swing_weight_points
    texts = (
        _size(club.length_mm, system),
        _size(club.lie_deg, system, decimals=1),
        _size(club.held_lie_deg, system, decimals=1),
        _size(club.flat_length_mm, system),
        _size(club.reach_mm, system),
        _size(club.ball_from_toe_line_mm, system),
        _size(club.ball_from_heel_line_mm, system),
        _size(club.mass_g, system),
        _size(club.balance_mm, system),
        "" if swing is None else f"{points_text(swing.value)} ± {swing.half_width():.1f}",
        _size(club.hand_moment_n_m, system, decimals=2),
        _rules(club),
    )
    return tuple(zip(BAG_COLUMNS, texts, strict=True))


def bag_rows(
    bag: Bag, system: LengthSystem = "metric"
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Columns that hold anything, and one row a club that begins with its mark."""
    rows = [bag_cells(club, system) for club in bag.clubs]
    held = [i for i in range(len(BAG_COLUMNS)) if any(row[i][1] for row in rows)]
    columns = tuple(BAG_COLUMNS[i] for i in held)
    lines = (
        (club.mark, *(row[i][1] or "–" for i in held)) for club, row in zip(bag.clubs, rows, strict=True)
    )
    return columns, tuple(lines)


def bag_sentences(bag: Bag) -> tuple[str, ...]:
    """What the table does not say: held lies in words, counterweights, Rules that are not met, notes."""
    said = [f"{club.mark}: {text}" for club in bag.clubs for text in _club_sentences(club)]
    return (*said, *bag.notes)


def _club_sentences(club: ClubReport) -> Iterator[str]:
    off = club.lie_off_deg
    if off is not None:
        if abs(off.value) <= off.half_width():
            yield f"held within the error of its own lie ({estimate_text(off)})."
        else:
            way = (
                "flatter than its lie, the toe up" if off.value < 0.0 else "steeper than its lie, the heel up"
            )
            yield f"held {estimate_text(off.scaled(math.copysign(1.0, off.value)))} {way}."
    if club.counterweight is not None:
        yield _counterweight(club.counterweight)
    for verdict in club.verdicts:
        if verdict.answer != "conforms":
            yield f"{verdict.rule} {verdict.answer}: {verdict.text}."
    yield from club.notes


def _counterweight(effect: CounterweightEffect) -> str:
    points = effect.swing_weight_points
    swing = "" if points is None else f"the swing weight by {_signed(points, 1)} points, "
    return (
        f"{effect.added_g:.0f} g {effect.at_mm:.0f} mm below the cap would make it "
        f"{effect.mass_g.value:.0f} g, balanced {effect.balance_mm.value:.0f} mm from the butt, and change "
        f"{swing}the moment about the hands by {_signed(effect.hand_moment_n_m, 3)} N m and the moment of "
        f"inertia about them by {_signed(effect.hand_inertia_kg_m2 * 1e4, 1)} kg cm²."
    )


def _signed(value: float, decimals: int) -> str:
    return f"{MINUS if value < 0 else '+'}{abs(value):.{decimals}f}"
