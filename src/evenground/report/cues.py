"""Short things to feel, and the check to do at home, chosen by what was found; our own words.

Cues carry no figure: a player feels them, a tape and a mirror hold the figures. A cue that bends or turns the
body further than it was measured is never given.
"""

from dataclasses import dataclass

from evenground.capture.library_file import usual_cues
from evenground.findings import Findings
from evenground.library import CueLibrary, CueText, HomeCheckText, Serves
from evenground.needs import not_asked
from evenground.report.read import posture_angles, setup_of, toe_out_uneven
from evenground.visit import FAMILIES, Family, Limb, Visit

__all__ = [
    "CUE_COUNT",
    "CueFacts",
    "HomeCheck",
    "cue_facts",
    "cues_for",
    "drawn_cues",
    "drawn_home_check",
    "fitting_cues",
    "fitting_home_checks",
    "home_check",
    "told",
]

CUE_COUNT = 3
WIDTHS_DIFFER_MM = 40.0
"""Widths further apart than this are worth a cue (ours)."""
ARMS: tuple[Limb, ...] = ("left arm", "right arm", "left hand", "right hand")
ALWAYS: tuple[Serves, ...] = ("weight", "anything")
EDGES = ("inside edges of your shoes", "middles of your heels")


@dataclass(frozen=True, slots=True, kw_only=True)
class CueFacts:
    """What was found, as far as a cue asks.

    `wider_mm` is how far the stance moves out of its own width; `stands` says whether there is one at all,
    `two_arms` whether both arms play.
    """

    wider_mm: float
    posture: bool
    uneven_feet: bool
    widths_differ: bool
    ball: bool
    aim: bool
    grip: bool
    stands: bool
    two_arms: bool

    @property
    def found(self) -> frozenset[Serves]:
        """What a cue may serve for this player."""
        asked: dict[Serves, bool] = {
            "wider": self.wider_mm > 0.0,
            "narrower": self.wider_mm < 0.0,
            "stance width": self.widths_differ,
            "toe-out": self.uneven_feet,
            "posture": self.posture,
            "grip": self.grip,
            "aim": self.aim,
            "ball": self.ball,
        }
        return frozenset([*ALWAYS, *(serves for serves, is_found in asked.items() if is_found)])


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeCheck:
    """What to do at home, and what drift means come back."""

    do: str
    come_back: str


def _change(findings: Findings) -> float:
    """How far the first family that has both moves from its own width: beyond its new range, mm."""
    for family in FAMILIES:
        setup = setup_of(findings, family)
        if setup is None or setup.was_inside_mm is None or setup.width_inside_mm is None:
            continue
        was, now = setup.was_inside_mm.value, setup.width_inside_mm
        if was < now.low or was > now.high:
            return (now.low + now.high) / 2.0 - was
    return 0.0


def cue_facts(visit: Visit, findings: Findings) -> CueFacts:
    """What the cues ask about."""
    lows = [s.width_inside_mm.low for f in FAMILIES if (s := setup_of(findings, f)) and s.width_inside_mm]
    limbs = {} if visit.body is None else visit.body.limbs
    return CueFacts(
        wider_mm=_change(findings),
        posture=posture_angles(findings) is not None,
        uneven_feet=toe_out_uneven(findings),
        widths_differ=len(lows) > 1 and max(lows) - min(lows) >= WIDTHS_DIFFER_MM,
        ball=bool(visit.ball),
        aim=visit.aim is not None,
        grip=_grip_changes(visit, findings),
        stands=not_asked(visit, "hip line") is None,
        two_arms=not any(limbs.get(limb) in ("absent", "not tested") for limb in ARMS),
    )


def _grip_changes(visit: Visit, findings: Findings) -> bool:
    from evenground.report.card_parts import grip_part  # which draws its cues from here

    return any(line.answer == "changes" for line in grip_part(visit, findings).lines)


def _may_be_said(text: CueText | HomeCheckText, facts: CueFacts) -> bool:
    if isinstance(text, CueText) and text.two_arms and not facts.two_arms:
        return False
    return text.who in ("anybody", "standing" if facts.stands else "not standing")


def fitting_cues(visit: Visit, findings: Findings, library: CueLibrary | None = None) -> tuple[CueText, ...]:
    """Every cue that may be said to this player, in the library's order."""
    facts = cue_facts(visit, findings)
    return tuple(c for c in (library or usual_cues()).cues if _may_be_said(c, facts))


def drawn_cues(visit: Visit, findings: Findings, library: CueLibrary | None = None) -> tuple[CueText, ...]:
    """Three cues: those that the teacher swapped in, else the first that serve a finding, one for each."""
    fit = fitting_cues(visit, findings, library)
    chosen = () if visit.cue_choice is None else visit.cue_choice.cues
    found = cue_facts(visit, findings).found
    kept = [c for key in chosen for c in fit if c.key == key]
    served = {c.serves for c in kept}
    for cue in fit:
        if cue in kept or cue.serves not in found or (cue.serves in served and cue.serves != "anything"):
            continue
        kept.append(cue)
        served.add(cue.serves)
    return tuple(kept[:CUE_COUNT])


def cues_for(visit: Visit, findings: Findings, library: CueLibrary | None = None) -> tuple[str, ...]:
    """What the three cues say."""
    return tuple(cue.say for cue in drawn_cues(visit, findings, library))


def fitting_home_checks(
    visit: Visit, findings: Findings, library: CueLibrary | None = None
) -> tuple[HomeCheckText, ...]:
    """Every home check that may be asked of this player; of the stance width only where there is a range."""
    facts, has_range = cue_facts(visit, findings), _range_family(findings) is not None
    return tuple(
        h
        for h in (library or usual_cues()).home_checks
        if _may_be_said(h, facts) and (h.serves != "stance width" or has_range)
    )


def drawn_home_check(
    visit: Visit, findings: Findings, library: CueLibrary | None = None
) -> HomeCheckText | None:
    """The home check that the teacher swapped in, else the first that serves what was found.

    A range of the stance comes first, since drift from it can be told with a tape; without one there is
    nothing to drift from, and the check becomes a note of the player's own width, or of the ball's place
    where nobody stands on two feet.
    """
    fit = fitting_home_checks(visit, findings, library)
    chosen = None if visit.cue_choice is None else visit.cue_choice.home_check
    kept = next((h for h in fit if h.key == chosen), None)
    facts = cue_facts(visit, findings)
    wanted = {"stance width", "own width", "anything"} if facts.stands else {"ball", "anything"}
    return kept or next((h for h in fit if h.serves in wanted), None)


def home_check(visit: Visit, findings: Findings, library: CueLibrary | None = None) -> HomeCheck:
    """The home check in words, with the family that has a range: irons first, since they are played most."""
    drawn = drawn_home_check(visit, findings, library)
    if drawn is None:  # a library always serves everybody; one check may still be of a range that is gone
        drawn = drawn_home_check(visit, findings)
    if drawn is None:
        return HomeCheck(do="Nothing to check at home.", come_back="Come back when playing begins to hurt.")
    return told(drawn, findings)


def told(check: HomeCheckText, findings: Findings) -> HomeCheck:
    """A home check with the player's own club and edges filled in."""
    if check.serves != "stance width":
        return HomeCheck(do=check.do, come_back=check.come_back)
    family = _range_family(findings) or "irons"
    setup = setup_of(findings, family)
    inside = setup is None or setup.width_inside_mm is not None
    places = {
        "{club}": {"irons": "iron", "woods": "wood", "putter": "putter"}[family],
        "{family}": family,
        "{edges}": EDGES[0] if inside else EDGES[1],
    }
    do, back = check.do, check.come_back
    for place, words in places.items():
        do, back = do.replace(place, words), back.replace(place, words)
    return HomeCheck(do=do, come_back=back)


def _range_family(findings: Findings) -> Family | None:
    order: tuple[Family, ...] = ("irons", "woods", "putter")
    for family in order:
        setup = setup_of(findings, family)
        if setup is not None and (setup.width_inside_mm is not None or setup.width_heel_range_mm is not None):
            return family
    return None
