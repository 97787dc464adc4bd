"""Two visits of one player compared line by line, and what the earlier card claimed."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from evenground.assess.change_lines import Told, figure_at, hip_line_at, lines_of
from evenground.assess.practised import practice_forecasts, practice_notes
from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.change import Figure, LineChange, Place, against_range, compare_figures, repeats_to_tell
from evenground.fit.change_constants import HAND_MM
from evenground.fit.forecast import Forecast
from evenground.studies import STUDIED
from evenground.visit import FAMILIES, Family

__all__ = ["Kept", "OtherPlayerError", "VisitChange", "WrongOrderError", "compare_visits", "forecasts_of"]


KEPT: dict[Place, str] = {
    "inside": "as the card said",
    "below": "narrower than the card said",
    "above": "wider than the card said",
    "at the edge": "cannot tell: at the edge of the card's range",
}


class OtherPlayerError(FitError):
    """Two visits of different players."""

    do = "Compare two visits of one player."

    def __init__(self, one: str, other: str) -> None:
        super().__init__(one, other)
        self.where = "two visits"
        self.what = f"They are of {one} and of {other}."


class WrongOrderError(FitError):
    """The later visit was given first."""

    do = "Give the earlier visit first."

    def __init__(self, one: str, other: str) -> None:
        super().__init__(one, other)
        self.where = "two visits"
        self.what = f"The first is of {one}, the second of {other}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Whether the player came back standing as the earlier card said, between inside edges."""

    family: Family
    low_mm: float
    high_mm: float
    came_mm: Estimate
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitChange:
    """Everything that two visits say beside each other."""

    before: str
    after: str
    days: int
    lines: tuple[LineChange, ...]
    kept: tuple[Kept, ...]
    forecasts: tuple[Forecast, ...]
    notes: tuple[str, ...]


def compare_visits(before: Told, after: Told) -> VisitChange:
    """Compare two visits.

    Parameters
    ----------
    before, after
        Two visits of one player, the earlier first, their findings in the plain form of `findings.json`.

    Raises
    ------
    OtherPlayerError, WrongOrderError
        When they are not.
    """
    one, other = before.visit, after.visit
    if one.player.name != other.player.name:
        raise OtherPlayerError(one.player.name, other.player.name)
    if one.day > other.day:
        raise WrongOrderError(one.day.isoformat(), other.day.isoformat())
    lines = [
        *_plain_lines(before, after),
        *_at_the_cards_width(before, after),
        *_hand_lines(before, after),
    ]
    return VisitChange(
        before=one.visit,
        after=other.visit,
        days=(other.day - one.day).days,
        lines=tuple(sorted(lines, key=_place)),
        kept=tuple(_kept(before, after)),
        forecasts=forecasts_of(before, after),
        notes=(*_notes(before, after, lines), *practice_notes(before, after)),
    )


def _place(line: LineChange) -> int:
    """Lines of the families first, in their order; the sort keeps the rest as it is."""
    head = line.key.partition(".")[0]
    return FAMILIES.index(head) if head in FAMILIES else len(FAMILIES)


def _plain_lines(before: Told, after: Told) -> Iterator[LineChange]:
    for line in lines_of(before, after):
        one, other = figure_at(before, line), figure_at(after, line)
        if one.value is None and other.value is None:
            continue
        yield compare_figures(
            line.key,
            line.title,
            one,
            other,
            matters=line.matters,
            visit_sd=_visit_sd(before, after, line.error),
        )


def _visit_sd(before: Told, after: Told, kind: str | None) -> float:
    """SD of what another observer shifts; 0 where one observer took both, or nobody studied it."""
    if kind is None or (before.visit.teacher and before.visit.teacher == after.visit.teacher):
        return 0.0
    name = STUDIED[kind].between
    return max(getattr(told.studio.errors, name) or 0.0 for told in (before, after))


def _hand_lines(before: Told, after: Told) -> Iterator[LineChange]:
    """Hand lengths: the wanted grip follows from them by a model whose own error is the same both times."""
    for side in ("left", "right"):
        hands = [next((h for h in t.visit.hands if h.side == side), None) for t in (before, after)]
        if any(hands):
            figures = [
                Figure(value=None)
                if hand is None
                else Figure(value=Estimate(value=hand.length_mm, se=hand.se_mm, unit="mm"))
                for hand in hands
            ]
            yield compare_figures(f"hand.{side}", f"Hand length, {side}", *figures, matters=HAND_MM.value)


def _card_width_mm(told: Told, family: Family) -> float | None:
    """The heel-centre width that a visit's card proposed, None where it proposed none."""
    finding = told.finding(f"setup.{family}")
    width = None if finding is None or finding["value"] is None else finding["value"]["width_heel_centres_mm"]
    return None if width is None else float(width["value"])


def _at_the_cards_width(before: Told, after: Told) -> Iterator[LineChange]:
    matters = after.studio.settings.margin_deg
    for family in FAMILIES:
        width_mm = _card_width_mm(before, family)
        if width_mm is not None:
            yield compare_figures(
                f"{family}.hip line",
                f"{family.capitalize()}: hip line at the earlier card's width",
                hip_line_at(before, family, width_mm),
                hip_line_at(after, family, width_mm),
                matters=matters,
                visit_sd=_visit_sd(before, after, "hip line"),
            )


def _kept(before: Told, after: Told) -> Iterator[Kept]:
    """Whether the width that the player came with lies in the range that the earlier card gave."""
    for family in FAMILIES:
        said, now = before.finding(f"setup.{family}"), after.finding(f"setup.{family}")
        if said is None or said["value"] is None or now is None or now["value"] is None:
            continue
        promised, came = said["value"]["width_inside_mm"], now["value"]["was_inside_mm"]
        if promised is None or came is None:
            continue
        width = Estimate.from_json(came)
        yield Kept(
            family=family,
            low_mm=promised["low"],
            high_mm=promised["high"],
            came_mm=width,
            word=KEPT[against_range(width, promised["low"], promised["high"])],
        )


def forecasts_of(before: Told, after: Told) -> tuple[Forecast, ...]:
    """What the earlier card claimed, with what the later visit's own readings say of it.

    Square at the card's width: the chance of it from the later curve alone. Aims inside the hole: the share
    of the later aims, under the same condition and distance, that lay inside the window. Practice in between:
    the share of the balls that passed each gate.
    """
    return (
        *_square_forecasts(before, after),
        *_aim_forecasts(before, after),
        *practice_forecasts(before, after),
    )


def _square_forecasts(before: Told, after: Told) -> Iterator[Forecast]:
    for family in FAMILIES:
        width_mm = _card_width_mm(before, family)
        if width_mm is None:
            continue
        pair = hip_line_at(before, family, width_mm), hip_line_at(after, family, width_mm)
        stances = [told.finding("stance") for told in (before, after)]
        if any(f.value is None for f in pair) or _unlike(*pair) or None in stances:
            continue
        said, came = (_chance_at(s["value"], family, width_mm) for s in stances if s is not None)
        yield Forecast(what=f"{family}: square at {width_mm:.0f} mm", said=said, came=came)


def _unlike(one: Figure, other: Figure) -> bool:
    return any(
        was is not None and other.under.get(name) is not None and was != other.under[name]
        for name, was in one.under.items()
        if name != "method"
    )


def _chance_at(stance: dict[str, Any], family: Family, width_mm: float) -> float:
    curves = [k for k in stance["conditions"] if family in k["families"] and k["phase"] == stance["phase"]]
    points = curves[0]["curve"] if curves else stance["curve"]
    return float(min(points, key=lambda p: abs(p["width_mm"] - width_mm))["p_square"])


def _aim_forecasts(before: Told, after: Told) -> Iterator[Forecast]:
    from evenground.fit.aim_angle import aimed_deg

    one, other = before.visit.aim, after.visit.aim
    if one is None or other is None or one.distance_m != other.distance_m:
        return
    for condition in dict.fromkeys(t.condition for t in other.trials):
        finding = before.finding(f"aim.{condition}")
        if finding is None or finding["value"] is None:
            continue
        window = finding["value"]["window_deg"]
        aims = [
            aimed_deg(t, other, after.visit.player.handed) for t in other.trials if t.condition == condition
        ]
        inside = sum(abs(a) <= window for a in aims)
        yield Forecast(
            what=f"aim, {condition}: starts inside the hole",
            said=finding["value"]["inside_probability"]["value"],
            came=inside / len(aims),
        )


def _notes(before: Told, after: Told, lines: list[LineChange]) -> tuple[str, ...]:
    notes = []
    told = sum(line.word == "changed" for line in lines)
    compared = sum(line.word != "not comparable" for line in lines)
    if compared >= 10 and told:
        notes.append(f"of {compared} lines about {max(1, round(compared / 20))} would read changed by chance")
    more = [n for line in lines if (n := repeats_to_tell(line)) is not None]
    if more:
        notes.append(f"where it cannot tell: {min(more)} times the readings, on both visits, is the least")
    unstudied = [k for k in ("hip line", "posture", "turn") if _visit_unknown(after, k)]
    if unstudied and before.visit.teacher != after.visit.teacher:
        notes.append(
            f"another teacher measured, and how far teachers differ in {unstudied[0]} was not studied"
        )
    return tuple(notes)


def _visit_unknown(told: Told, kind: str) -> bool:
    return getattr(told.studio.errors, STUDIED[kind].between) is None
