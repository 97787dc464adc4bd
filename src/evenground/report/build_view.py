"""The build sheet: what a workshop fits on each club, and what came back, as plain strings and drawings."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from evenground.errors import ReportError
from evenground.estimate import Estimate, difference
from evenground.findings import Finding, Findings
from evenground.fit.workshop import OrderLine, order_line
from evenground.report.bag_part import BagPart, bag_part
from evenground.report.bag_view import points_text
from evenground.report.card_parts import grip_line
from evenground.report.drawing import Drawing
from evenground.report.grip_drawing import built_size, profile_drawing, sections_drawing
from evenground.report.read import grip_builds
from evenground.report.words import MINUS, day_text, diameter_text, kept_together
from evenground.sourced import Sourced
from evenground.visit import OwnClub, StudioSettings, Visit

__all__ = [
    "AS_BUILT",
    "BuildClub",
    "BuildRow",
    "BuildView",
    "NothingToOrderError",
    "build_view",
    "orders_of",
    "work_lines",
]

BUTT_HALF_MM = Sourced(0.1, "mm", "ours: 95 % half width of a caliper on a bare butt")
STATION_HALF_MM = Sourced(2.0, "mm", "ours: 95 % half width of where a hand is found to sit")
LAYER_HALF_G = Sourced(0.5, "g", "common practice, no source: a layer along a grip weighs 1 to 2 g")
GRIP_HALF_G = Sourced(1.0, "g", "ours: a grip weighed on a workshop's scales")
CLUB_HALF_G = Sourced(1.0, "g", "ours: a club weighed on a workshop's scales")
MOMENT_HALF = Sourced(0.05, "N m", "ours: balance found to 2 mm, masses to 1 g, the hands' place to 10 mm")
POINTS_HALF = Sourced(1.0, "points", "ours: balance found to 2 mm and masses to 1 g")

AS_BUILT = (
    "received",
    "mass before",
    "grip fitted",
    "tape, upper / lower",
    "installed length",
    "rib or front square",
    "built, upper",
    "built, lower",
    "mass after",
    "finished, signed",
)
MEASURE = "measure"


class NothingToOrderError(ReportError):
    """An order was asked for and no grip changes, or none could be worked out."""

    do = "Read the build sheet: it says for each club whether its grip stays, or what to measure first."

    def __init__(self, visit: str) -> None:
        super().__init__(visit)
        self.where = visit
        self.what = "There is nothing to order."


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow:
    """One line of a club's table: what, under the upper hand, under the lower hand."""

    what: str
    upper: str
    lower: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildClub:
    """One club: what to do in a word and a sentence, its table, how it is made, its notes, its drawings.

    `work` is how it is made, each as a name and what to do; `drawing` the sections at true size, `profile`
    the grip along its length.
    """

    mark: str
    family: str
    answer: str
    order: str
    rows: tuple[BuildRow, ...]
    work: tuple[tuple[str, str], ...]
    facts: tuple[str, ...]
    notes: tuple[str, ...]
    drawing: Drawing | None
    profile: Drawing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildView:
    """Everything on a build sheet."""

    paper: str
    name: str
    dates: str
    made_by: str
    wanted: tuple[str, ...]
    clubs: tuple[BuildClub, ...]
    empty: str
    as_built: tuple[str, ...]
    method: tuple[str, ...]
    bag: BagPart | None = None


METHOD = (
    (
        "Diameters in millimetres and 64ths of an inch with their 95 % ranges, across the grip where a hand "
        "sits. Layers count every layer, the double-sided one first, and blend: no bulge and no waist "
        "(Equipment Rules)."
    ),
    (
        "Built sizes are expected ones (rubber keeps its volume): measure after fitting, and write down what "
        "came out. Equipment defers to the current Equipment Rules."
    ),
)


def build_view(visit: Visit, studio: StudioSettings, findings: Findings) -> BuildView:
    """Put a visit's grip findings into a workshop's order.

    A club whose grip stays is listed as such; a club that cannot be worked out says what to measure; a size
    that the stock cannot reach gets its nearest build and what is missing.
    """
    builds = dict(grip_builds(findings))
    own = {club.mark: club for club in visit.own_clubs}
    wanted = findings.value("grip.wanted")
    marks = list(dict.fromkeys([*own, *builds]))
    clubs = tuple(_club(mark, own.get(mark), builds.get(mark), wanted, findings) for mark in marks)
    return BuildView(
        paper=studio.paper,
        name=visit.player.name,
        dates=f"{day_text(visit.day)}, visit {visit.visit}",
        made_by=", ".join(part for part in (studio.name, visit.teacher) if part),
        wanted=tuple(_wanted_lines(wanted)),
        clubs=clubs,
        empty=_empty(visit, findings, wanted, clubs),
        as_built=AS_BUILT,
        method=METHOD,
        bag=bag_part(visit, studio, findings),
    )


def orders_of(
    visit: Visit,
    findings: Findings,
    *,
    tolerance_mm: float,
    only: Sequence[str] | None = None,
    notes: Mapping[str, str] | None = None,
) -> tuple[OrderLine, ...]:
    """What the build sheet orders: the best build of each club whose grip changes and was worked out.

    Parameters
    ----------
    visit, findings
        As in `build_view`.
    tolerance_mm
        How near to the ordered size counts.
    only
        Marks of the clubs to order; all without it.
    notes
        What else the workshop has to know, by mark.
    """
    own = {club.mark: club for club in visit.own_clubs}
    lines = []
    for mark, build in grip_builds(findings):
        club = own.get(mark)
        if club is None or build.value is None or (only is not None and mark not in only):
            continue
        answer, _ = _order(club, build, build.value.wanted, findings)
        if answer in ("build", "build, nearest"):
            note = (notes or {}).get(mark, "")
            lines.append(order_line(mark, club.family, build.value, tolerance_mm=tolerance_mm, note=note))
    return tuple(lines)


def _empty(visit: Visit, findings: Findings, wanted: Any | None, clubs: tuple[BuildClub, ...]) -> str:
    """Why there is nothing to build, where there is nothing."""
    if wanted is None:
        gone = findings.of("grip.wanted")
        why = (gone.reason if gone is not None else None) or visit.skipped.get("hands", "not done")
        return f"Nothing is wanted: the hands were not measured ({why})."
    if not clubs:
        why = visit.skipped.get("own clubs", "not done")
        return f"Nothing to build: no club was brought in ({why})."
    gone = findings.of("grip.build")
    return f"Not built: {gone.reason}." if gone is not None and gone.reason else ""


def _wanted_lines(wanted: Any | None) -> Iterator[str]:
    if wanted is None:
        return
    for hand, size in (("upper", wanted.upper_mm), ("lower", wanted.lower_mm)):
        yield f"{hand} hand {diameter_text(size)}" if size is not None else f"{hand} hand: not on the club"


def _club(
    mark: str, club: OwnClub | None, build: Finding | None, wanted: Any | None, findings: Findings
) -> BuildClub:
    fit = None if build is None else build.value
    wanted = wanted if fit is None else fit.wanted  # as this club is held
    answer, said = _order(club, build, wanted, findings)
    best = None if fit is None or not fit.builds else fit.builds[0]
    if answer == "stays":
        best = None
    sections = profile = None
    if club is not None and fit is not None and best is not None and best.built_mm is not None:
        sections = sections_drawing(club, wanted or fit.wanted, best, fit.making)
        profile = profile_drawing(club, best, fit.making)
    return BuildClub(
        mark=mark,
        family="" if club is None else club.family,
        answer=answer,
        order=said,
        rows=tuple(_rows(club, wanted, best)),
        work=tuple(work_lines(club, best, None if fit is None else fit.making)),
        facts=tuple(_facts(best)),
        notes=(*(() if best is None else best.notes), *(() if fit is None or best is None else fit.notes)),
        drawing=sections,
        profile=profile,
    )


def _order(
    club: OwnClub | None, build: Finding | None, wanted: Any | None, findings: Findings
) -> tuple[str, str]:
    """The word and the sentence at the head of a club."""
    if wanted is None:
        return "nothing wanted", "The hands were not measured."
    word, text = grip_line(club, wanted)
    if word == "stays":
        return word, f"Leave the grip on: {text}."
    fit = None if build is None else build.value
    if fit is None:
        gone = build if build is not None else findings.of("grip.build")
        return "not built", (gone.reason if gone is not None and gone.reason else "no build was worked out")
    best = fit.builds[0] if fit.builds else None
    if best is None or best.built_mm is None:
        if best is not None and best.how == "cannot be built":
            return best.how, "No grip in the stock goes on this butt; see the notes."
        return MEASURE, "No layers can be counted before this is measured; see the notes."
    return ("build" if fit.reached else "build, nearest"), _sentence(best, wanted)


def _sentence(best: Any, wanted: Any) -> str:
    """What to fit, in a sentence."""
    if best.layers is None:
        return f"Fit {best.grip} as it was measured, on one layer of double-sided tape."
    upper, lower = _layers(best.layers.upper), _layers(best.layers.lower)
    if wanted.upper_mm is None or wanted.lower_mm is None:
        return f"Fit {best.grip}, {upper} along the whole grip."
    return f"Fit {best.grip}, {upper} under the upper hand and {lower} under the lower."


def work_lines(club: OwnClub | None, best: Any | None, making: Any | None) -> Iterator[tuple[str, str]]:
    """How a build is made, beyond what its table says."""
    if club is None or best is None or best.built_mm is None or making is None:
        return
    yield "grip", _turned(making)
    yield "installed length", f"{making.installed_length_mm:.0f} mm from the cap's edge to the mouth"
    if best.layers is not None:
        yield "tape", _tape(making)
        yield "blend", _blended(making)
    if making.cap_mm > 0.0:
        yield "cap", f"stands {making.cap_mm:.0f} mm over the end of the shaft"
    held = f"held {club.grip_style}" if club.grip_style != "usual" else "held as usual"
    glove = {"none": "no glove", "both": "a glove on both hands", None: "a glove as usual"}.get(
        club.glove, f"a glove on the {club.glove} hand"
    )
    yield "hands", f"{held}, {glove}"
    before = (
        "weigh it" if club.total_mass_g is None else f"{club.total_mass_g:.0f} ± {CLUB_HALF_G.value:.0f} g"
    )
    after = ""
    if best.finished_mass_g is not None:
        half = math.ceil(math.hypot(CLUB_HALF_G.value, _added_half_g(best)))
        after = f"; finished {best.finished_mass_g:.0f} ± {half} g"
    yield "mass", f"before {before}{after}"


def _turned(making: Any) -> str:
    if making.square_to_face is None:
        return "round, no rib: it may sit any way round"
    if making.square_to_face == "rib":
        return "rib at the back of the shaft, square to the face"
    return "flat front square to the face"


def _tape(making: Any) -> str:
    width = "as on the roll" if making.tape_width_mm is None else f"{making.tape_width_mm:.0f} mm wide"
    if making.tape_overlap_mm > 0.0:
        return f"{width}, edges {making.tape_overlap_mm:.0f} mm over each other; the first layer double-sided"
    return f"{width}, edges meeting; the first layer double-sided"


def _blended(making: Any) -> str:
    if making.blend_from_mm is None:
        return "none: as many layers all along"
    return (
        f"layers end one by one from {making.blend_from_mm:.0f} to {making.blend_to_mm:.0f} mm below the cap"
        ", no step to be felt"
    )


def _layers(count: int) -> str:
    return f"{count} layer{'' if count == 1 else 's'} of tape"


def _rows(club: OwnClub | None, wanted: Any | None, best: Any | None) -> Iterator[BuildRow]:
    if club is not None:
        half = STATION_HALF_MM.value
        places = (f"{s:.0f} ± {half:.0f} mm" for s in (club.upper_station_mm, club.lower_station_mm))
        yield BuildRow(what="below the cap", upper=next(places), lower=next(places))
        yield BuildRow(
            what="bare butt", upper=_caliper(club.butt_upper_mm), lower=_caliper(club.butt_lower_mm)
        )
        yield BuildRow(
            what="grip on it now", upper=_caliper(club.grip_upper_mm), lower=_caliper(club.grip_lower_mm)
        )
    if wanted is not None:
        yield BuildRow(what="wanted", upper=_size(wanted.upper_mm), lower=_size(wanted.lower_mm))
    if best is None or best.built_mm is None:
        return
    if best.layers is not None:
        yield BuildRow(what="tape", upper=_layers(best.layers.upper), lower=_layers(best.layers.lower))
    built = {hand: built_size(best, hand) for hand in ("upper", "lower")}
    yield BuildRow(what="built, expected", upper=_size(built["upper"]), lower=_size(built["lower"]))
    if wanted is not None:
        yield BuildRow(
            what="built less wanted",
            upper=_off(built["upper"], wanted.upper_mm),
            lower=_off(built["lower"], wanted.lower_mm),
        )


def _caliper(size_mm: float | None) -> str:
    """An entered diameter with the caliper's error, or the order to measure."""
    if size_mm is None:
        return MEASURE
    return f"{size_mm:.1f} ± {BUTT_HALF_MM.value:.1f} mm"


def _size(size: Estimate | None) -> str:
    if size is None:
        return "no hand here"
    plain, _, in_64 = diameter_text(size).partition(" (")
    return f"{plain} ({kept_together(in_64)}"


def _off(built: Estimate | None, wanted: Estimate | None) -> str:
    if built is None or wanted is None:
        return "no hand here"
    off = difference(built, wanted)
    sign = MINUS if off.value < 0 else "+"
    return f"{sign}{abs(off.value):.1f} ± {math.ceil(off.half_width() * 10) / 10:.1f} mm"


def _facts(best: Any | None) -> Iterator[str]:
    """Mass, swing weight and conformity of a build."""
    if best is None or best.built_mm is None:
        return
    yield f"grip and tape {best.added_mass_g:.0f} ± {math.ceil(_added_half_g(best))} g"
    if best.swing_weight_points is not None:
        yield f"swing weight {points_text(best.swing_weight_points)} ± {POINTS_HALF.value:.0f} point"
    if best.hand_moment_n_m is not None:
        yield f"moment about the hands {best.hand_moment_n_m:.2f} ± {MOMENT_HALF.value:.2f} N m"
    words = {True: "conforms", False: "does not conform", None: "cannot certify"}
    yield f"Equipment Rules: {words[best.conforming]}"


def _added_half_g(best: Any) -> float:
    """95 % half width of the mass of a grip with its tape."""
    tape = 1.0 if best.layers is None else (best.layers.upper + best.layers.lower) / 2.0
    return GRIP_HALF_G.value + LAYER_HALF_G.value * tape
