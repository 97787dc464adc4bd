"""Short things to feel, and the check to do at home, chosen by what was found; our own words.

Cues carry no figure: a player feels them, a tape and a mirror hold the figures. A cue that bends or turns the
body further than it was measured is never given.
"""

from collections.abc import Callable
from dataclasses import dataclass

from evenground.findings import Findings
from evenground.needs import not_asked
from evenground.report.read import posture_angles, setup_of, toe_out_uneven
from evenground.visit import FAMILIES, Family, Visit

__all__ = ["CUES", "Cue", "CueFacts", "HomeCheck", "cue_facts", "cues_for", "home_check"]

CUE_COUNT = 3
WIDTHS_DIFFER_MM = 40.0
"""Widths further apart than this are worth a cue (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CueFacts:
    """What was found, as far as a cue asks.

    `wider_mm` is how far the stance moves out of its own width; `stands` says whether there is one at all.
    """

    wider_mm: float
    posture: bool
    uneven_feet: bool
    widths_differ: bool
    ball: bool
    aim: bool
    stands: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """One thing to feel and what must have been found for it to be worth saying."""

    say: str
    when: Callable[[CueFacts], bool]


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


CUES: tuple[Cue, ...] = (
    Cue(
        say="Set the trail foot last; the new width will feel too wide at first.",
        when=lambda facts: facts.wider_mm > 0.0,
    ),
    Cue(
        say="Set the trail foot last; the new width will feel too close at first.",
        when=lambda facts: facts.wider_mm < 0.0,
    ),
    Cue(
        say="Fold at the hips until the arms hang free, and leave the knees soft.",
        when=lambda facts: facts.posture,
    ),
    Cue(
        say="Turn the toes out as drawn; the two feet need not match.",
        when=lambda facts: facts.uneven_feet,
    ),
    Cue(
        say="One width for each kind of club: look down before you look up.",
        when=lambda facts: facts.widths_differ,
    ),
    Cue(say="Ball first, lead heel second, trail foot third.", when=lambda facts: facts.ball),
    Cue(say="Set the face first, and let the feet follow it.", when=lambda facts: facts.aim),
    Cue(say="Let the weight rest where it rests; do not push it to one side.", when=lambda _: True),
    Cue(say="Breathe out once before the club moves.", when=lambda _: True),
    Cue(
        say="Step away and set up anew each time; do not shuffle into place.", when=lambda facts: facts.stands
    ),
    Cue(say="Settle first, and let the club come to the ball last.", when=lambda facts: not facts.stands),
)


def cue_facts(visit: Visit, findings: Findings) -> CueFacts:
    """What the cues ask about."""
    lows = [s.width_inside_mm.low for f in FAMILIES if (s := setup_of(findings, f)) and s.width_inside_mm]
    return CueFacts(
        wider_mm=_change(findings),
        posture=posture_angles(findings) is not None,
        uneven_feet=toe_out_uneven(findings),
        widths_differ=len(lows) > 1 and max(lows) - min(lows) >= WIDTHS_DIFFER_MM,
        ball=bool(visit.ball),
        aim=visit.aim is not None,
        stands=not_asked(visit, "hip line") is None,
    )


def cues_for(visit: Visit, findings: Findings) -> tuple[str, ...]:
    """Three cues, those that stand on a finding first."""
    facts = cue_facts(visit, findings)
    return tuple(cue.say for cue in CUES if cue.when(facts))[:CUE_COUNT]


def home_check(visit: Visit, findings: Findings) -> HomeCheck:
    """The check for the family that has a range: irons first, since they are played most.

    Without any range there is nothing to drift from, and the check becomes a note of the player's own width;
    of the place of the ball where nobody stands on two feet.
    """
    if not_asked(visit, "hip line") is not None:
        return HomeCheck(
            do=(
                "Once a week settle in as you play, have the distance from there to the ball measured "
                "with a tape, and write it down."
            ),
            come_back="Bring the list to the next visit; come sooner if playing has begun to hurt.",
        )
    order: tuple[Family, ...] = ("irons", "woods", "putter")
    for family in order:
        setup = setup_of(findings, family)
        if setup is None or (setup.width_inside_mm is None and setup.width_heel_range_mm is None):
            continue
        name = {"irons": "iron", "woods": "wood", "putter": "putter"}[family]
        edges = "inside edges of your shoes" if setup.width_inside_mm is not None else "middles of your heels"
        return HomeCheck(
            do=(
                f"Once a week take your {name} stance without looking down, then have the gap between the "
                f"{edges} measured with a tape. Step away, and do it twice more."
            ),
            come_back=(
                f"Come back sooner if all three lie outside the {family} range on the same side two weeks "
                "in a row, if the stance has begun to hurt, or if you change your shoes."
            ),
        )
    return HomeCheck(
        do=(
            "Once a week take your own stance, have the gap between the inside edges of your shoes measured "
            "with a tape, and write it down."
        ),
        come_back="Bring the list to the next visit; come sooner if the stance has begun to hurt.",
    )
