"""Each check's next step from what was measured: typed checks here, repeated ones in `protocol_repeats`."""

from collections.abc import Callable, Mapping, Sequence

from evenground.body.lengths import TAPE_SD
from evenground.body.sides import side_asks
from evenground.fit.defaults import BALL_SD_MM
from evenground.fit.hour import State
from evenground.fit.protocol_repeats import aim, grip, ground, hip_line, posture, turn
from evenground.fit.protocol_types import Known, Step
from evenground.fit.series import Series, Taken, apart_of
from evenground.floor import Side
from evenground.units import show_length
from evenground.visit import FAMILIES, Check, Limb, Visit

__all__ = ["KEY_SIZES", "STEPS", "hands_asked"]

KEY_SIZES = ("stature", "wrist_height", "hip_breadth")
"""Sizes of the body that every visit takes, each twice."""

TWICE = 2
HANDS: tuple[Side, ...] = ("left", "right")
LIMBS: dict[Side, tuple[Limb, ...]] = {
    "left": ("left arm", "left hand"),
    "right": ("right arm", "right hand"),
}


def _safety(visit: Visit, known: Known) -> Step:
    del known
    if visit.screening is None:
        return Step(
            check="safety",
            state="waiting",
            what="Let the player answer the screening.",
            why="Until then the visit is measuring only: no turn, no held load, no hip routine.",
        )
    what, why = "Cleared.", "Every check may be taken; stop at pain all the same."
    if visit.screening != "cleared":
        what, why = "Measuring only.", "No turn, no held load, no hip routine; the card says so."
    return Step(check="safety", state="done", what=what, why=why, enough=True)


def _as_arrived(visit: Visit, known: Known) -> Step:
    del known
    missing = [f for f in FAMILIES if visit.as_arrived_for(f) is None]
    if not missing:
        return Step(
            check="as arrived",
            state="done",
            what="Enough.",
            why="Every family's own width is known.",
            enough=True,
        )
    taken = len(FAMILIES) - len(missing)
    return Step(
        check="as arrived",
        state="partly" if taken else "waiting",
        count=f"{taken} of {len(FAMILIES)}" if taken else "",
        what=f"Have the player address a ball with the {missing[0]}.",
        why="It comes before any coaching: say nothing about the stance. Mark both heels, let the player "
        "step away, and measure between the heel centres; the middle of three stances is better than one.",
        setting={"family": missing[0]},
        ending=f"Was -> now stays empty for {_listed(missing)}.",
    )


def _body(visit: Visit, known: Known) -> Step:
    body = visit.body
    sizes = {} if body is None else {s.name: s.readings_mm for s in body.sizes}
    mass = None if body is None else body.mass_kg
    have = sum(name in sizes for name in KEY_SIZES)
    whole = have == len(KEY_SIZES) and mass is not None
    state: State = "done" if whole else "partly" if sizes or mass else "waiting"
    count = f"{have} of {len(KEY_SIZES)}" if state == "partly" else str(len(sizes)) if whole else ""
    what, why, repeats = "Enough.", "The key sizes are taken twice.", False
    short = next((n for n in KEY_SIZES if len(sizes.get(n, ())) < TWICE), None)
    differ = apart_of(
        Series(conditions=KEY_SIZES, each=TWICE, unit="mm", sd=TAPE_SD.value),
        [Taken(condition=n, value=v) for n in KEY_SIZES for v in sizes.get(n, ())],
    )
    if differ is not None:
        what, repeats = f"Measure {_words(differ.condition)} a third time.", True
        by = show_length(differ.by, known.system)
        why = f"The two readings differ by {by}, more than a tape slips: a third tells which to doubt."
    elif short is not None:
        word = "Measure" if short not in sizes else "Measure once more:"
        what = f"{word} {_words(short)}."
        why = "Two readings that differ show a slip that one would hide."
    elif mass is None:
        what, why = "Take the mass.", "A mat that gives raw counts is scaled by it."
    elif body is not None and (ask := next(side_asks(body), None)) is not None:
        what, why, repeats = f"Measure {_words(ask.where)} once more, left and right.", ask.sentence, True
    enough = what == "Enough."
    return Step(
        check="body", state=state, what=what, why=why, count=count, enough=enough, repeats=repeats,
        ending="" if whole else "Sizes that are missing are predicted, and say so.",
    )  # fmt: skip


def hands_asked(visit: Visit) -> list[Side]:
    """Hands that this player has and that may be measured; both where neither is known to be missing."""
    limbs = {} if visit.body is None else visit.body.limbs
    asked = [s for s in HANDS if not any(limbs.get(limb) in ("absent", "not tested") for limb in LIMBS[s])]
    return asked or list(HANDS)


def _hands(visit: Visit, known: Known) -> Step:
    del known
    asked = hands_asked(visit)
    missing = [s for s in asked if all(h.side != s for h in visit.hands)]
    count = f"{len(asked) - len(missing)} of {len(asked)}"
    if not missing:
        return Step(
            check="hands",
            state="done",
            count=count,
            what="Enough.",
            why="Every hand is measured.",
            enough=True,
        )
    return Step(
        check="hands",
        state="partly" if visit.hands else "waiting",
        count=count if visit.hands else "",
        what=f"Measure the {missing[0]} hand.",
        why="Hand length runs from the wrist crease to the tip of the middle finger, palm length to the "
        "crease at its root; note whether the glove was on.",
        setting={"side": missing[0]},
        ending=f"The {missing[0]} hand is taken to be like the other." if visit.hands else "",
    )


def _own_clubs(visit: Visit, known: Known) -> Step:
    del known
    clubs = visit.own_clubs
    if not clubs:
        return Step(
            check="own clubs",
            state="waiting",
            what="Take the first club in hand.",
            why="Putter, one iron and one wood stand for the set.",
        )
    unknown = [c for c in clubs if c.butt_upper_mm is None or c.butt_lower_mm is None]
    count = f"{len(clubs) - len(unknown)} of {len(clubs)}"
    if not unknown:
        return Step(
            check="own clubs",
            state="done",
            count=count,
            what="Enough, or take the next club.",
            why="Every club's butt is known.",
            enough=True,
        )
    return Step(
        check="own clubs",
        state="partly",
        count=count,
        what=f"Measure the butt of {unknown[0].mark} at both stations.",
        why="Without it no tape layers can be worked out, only measured.",
        setting={"club": unknown[0].mark},
        ending=f"No tape layers for {_listed([c.mark for c in unknown])}: measure the butt.",
    )


def _ball(visit: Visit, known: Known) -> Step:
    placed = {b.family: b for b in visit.ball if b.inside_lead_heel_mm}
    missing = [f for f in FAMILIES if f not in placed]
    sd = known.errors.ball_mm
    differ = apart_of(
        Series(conditions=FAMILIES, each=TWICE, unit="mm", sd=BALL_SD_MM.value if sd is None else sd),
        [Taken(condition=f, value=v) for f, b in placed.items() for v in b.inside_lead_heel_mm],
    )
    if differ is not None:
        by = show_length(differ.by, known.system)
        what, repeats = f"Place the ball for the {differ.condition} again.", True
        why = f"The two readings differ by {by}: correct the one that slipped before anything depends on it."
    elif missing:
        what, repeats = f"Place the ball for the {missing[0]} and measure to its middle.", False
        why = "It is fixed and recorded first, since everything after depends on it."
    else:
        what, repeats = "Enough.", False
        why = (
            "From here on the ball stays where it is: moved by half its breadth it changes stance, posture "
            "and aim."
        )
    return Step(
        check="ball",
        state="partly" if missing and placed else "waiting" if missing else "done",
        count=f"{len(placed)} of {len(FAMILIES)}" if placed and missing else "",
        what=what,
        why=why,
        enough=not missing and not repeats,
        repeats=repeats,
        ending=f"The card shows no ball for {_listed(missing)}." if missing and placed else "",
    )


def _words(name: str) -> str:
    return name.replace("_", " ")


def _listed(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


STEPS: Mapping[Check, Callable[[Visit, Known], Step]] = {
    "safety": _safety,
    "as arrived": _as_arrived,
    "body": _body,
    "hands": _hands,
    "own clubs": _own_clubs,
    "ball": _ball,
    "ground": ground,
    "hip line": hip_line,
    "posture": posture,
    "turn": turn,
    "grip": grip,
    "aim": aim,
}
"""How each check's next step is found."""
