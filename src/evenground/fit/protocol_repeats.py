"""The next step of every check that repeats: placements, hip line, posture, turn, paired grips, aim."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence

from evenground.fit.hour import State, rest_due
from evenground.fit.protocol_types import Known, Step
from evenground.fit.series import Due, Series, Taken, drift_of, due_next
from evenground.fit.stance_plan import PlannedTrial, plan_trial
from evenground.measure.turn import TURN_SD_DEG
from evenground.units import show_length
from evenground.visit import FAMILIES, Family, Footwear, StanceTime, TurnPart, Visit

__all__ = ["STANDINGS", "aim", "grip", "ground", "hip_line", "hip_line_plan", "posture", "turn"]

THRICE = 3
"""Placements of a standing, addresses, turns to a side, pairs of grips."""

AIMS = 10
"""Aims under one condition."""

STANDINGS: tuple[tuple[StanceTime, Footwear], ...] = (
    ("as arrived", "golf shoes"),
    ("fitted", "barefoot"),
    ("fitted", "golf shoes"),
)
"""What the mat wants, in this order: the own stance comes before any coaching, and shoes change once."""

SIDE_WORDS: Mapping[str, str] = {"lead": "toward the target", "trail": "away from the target"}
FIRST_FAMILY: Family = "irons"
OWN_AIM = "as arrived"


def ground(visit: Visit, known: Known) -> Step:
    """The next placement; one that could not be used is asked for again.

    Three of every standing, as arrived first. Nothing is left to chance here: shoes are changed once.
    """
    names = {(s, f): f"{s}, {f}" for s, f in STANDINGS}
    usable = [p for p in visit.ground if p.recording not in known.unusable]
    taken = [Taken(condition=names.get((p.stance, p.footwear), "")) for p in usable]
    series = Series(conditions=tuple(names.values()), each=THRICE, shuffled=False)
    due = due_next(series, taken, known.rng("ground"))
    count = str(len(visit.ground)) if visit.ground else ""
    if due is None:
        why = "Three placements of every standing say more than longer ones."
        return Step(check="ground", state="done", count=count, what="Enough.", why=why, enough=True)
    stance, footwear = next(key for key, name in names.items() if name == due.condition)
    n = sum(t.condition == due.condition for t in taken)
    own = "in the player's own stance" if stance == "as arrived" else "in the stance being fitted"
    why = "Standing longer does not steady a mean position, stepping off and on again does."
    last = visit.ground[-1] if visit.ground else None
    failed = last is not None and last.recording in known.unusable
    if last is not None and failed:
        why = f"The last one cannot be used: {known.unusable[last.recording]}"
    return Step(
        check="ground",
        state="partly" if visit.ground else "waiting",
        count=count,
        what=f"Placement {n + 1} of {THRICE}: {footwear}, {own}.",
        why=why,
        rest=rest_due(len(visit.ground)) and not failed,
        repeats=failed,
        setting={"stance": stance, "footwear": footwear},
        ending=_short(series, taken) if visit.ground else "",
    )


def hip_line_plan(visit: Visit, known: Known) -> PlannedTrial | None:
    """The hip-line trial to take next, None when there is none."""
    trials = () if visit.hip_line is None else visit.hip_line.trials
    phase = trials[-1].phase if trials else "before"
    if phase == "before" and trials and any(r.outcome == "done" for r in visit.routine):
        phase = "after"
    return plan_trial(
        trials,
        known.stance,
        stature_mm=None if visit.body is None else visit.body.mean_mm("stature"),
        as_arrived_mm={a.family: a.width_mm for a in visit.as_arrived},
        phase=phase,
        seed=known.seed,
        noise_deg=known.errors.hip_line_deg,
        allowed_mm=() if visit.hip_line is None else visit.hip_line.allowed_mm,
    )


def hip_line(visit: Visit, known: Known) -> Step:
    """The next hip-line trial as `evenground.fit.stance_plan.plan_trial` has it, and what ending costs."""
    check = visit.hip_line
    if check is None:
        return Step(
            check="hip line",
            state="waiting",
            what="Say what the bar touches.",
            why="Readings at two landmarks are never pooled; the trials count once this is known.",
            plan=hip_line_plan(visit, known),
        )
    plan, fit, taken = hip_line_plan(visit, known), known.stance, len(check.trials)
    done = fit is not None and fit.stop.done
    state: State = "waiting" if not taken else "done" if done else "partly"
    count = "" if not taken else str(taken) if plan is None else f"{plan.place - 1} of {plan.of}"
    ending = _hip_line_ending(visit, known, plan) if taken else ""
    if plan is None:
        what = "One moment." if fit is None else "Enough."
        why = "The findings are being worked out." if fit is None else fit.stop.reason
        return Step(
            check="hip line",
            state=state,
            count=count,
            what=what,
            why=why,
            enough=fit is not None,
            ending=ending,
        )
    width = show_length(plan.width_mm, known.system)
    what = f"Set the feet to {width}."
    if plan.confirms:
        what = f"Confirm: set the feet to {width}."
    elif plan.part == "repeat":
        what = f"Repeat {width}."
    return Step(
        check="hip line",
        state=state,
        count=count,
        what=what,
        why=plan.reason,
        enough=plan.confirms,
        rest=rest_due(taken),
        repeats=plan.part == "repeat",
        setting={"width": width, "family": plan.family or "", "phase": plan.phase},
        plan=plan,
        ending=ending,
    )


def _hip_line_ending(visit: Visit, known: Known, plan: PlannedTrial | None) -> str:
    """What ending now costs: which families stay open, which are carried over, what is not confirmed."""
    fit = known.stance
    if fit is None:
        return "Three widths are the least: no stance width is proposed."
    open_ = [f for f in FAMILIES if fit.families[f].answer == "cannot tell"]
    likely = [f for f in FAMILIES if fit.families[f].answer == "likely"]
    said = []
    if open_ and not fit.stop.done:
        said.append(f"{' and '.join(open_)} stay{'' if open_[1:] else 's'} at cannot tell.")
    if likely and not fit.stop.done:
        said.append(f"{' and '.join(likely)} stay{'' if likely[1:] else 's'} at likely.")
    for base in FAMILIES:
        over = [f for f, a in fit.families.items() if a.carried_over and a.borrowed_from == base]
        said += [f"{' and '.join(over)} carried over from {base}."] if over else []
    confirmed = visit.hip_line is not None and any(t.confirms for t in visit.hip_line.trials)
    if plan is not None and (plan.confirms or not confirmed):
        said.append("No fresh placements say whether the chosen width holds.")
    return " ".join(s[:1].upper() + s[1:] for s in said)


def posture(visit: Visit, known: Known) -> Step:
    """The next address from the side: three with the irons, or with the family that was begun."""
    counts = Counter(p.family for p in visit.posture)
    seen = Counter({(v.family, v.repeat): 1 for v in visit.posture_views if v.placed})
    for one in FAMILIES:
        counts[one] = max(counts[one], sum(n for (f, _), n in seen.items() if f == one))
    counts = +counts
    family = next(iter(counts), FIRST_FAMILY) if FIRST_FAMILY not in counts else FIRST_FAMILY
    series = Series(conditions=(family,), each=THRICE, sd=known.errors.posture_deg)
    values = [Taken(condition=p.family, value=p.trunk_deg) for p in visit.posture if p.family == family]
    values += [Taken(condition=family) for _ in range(counts[family] - len(values))]
    total = sum(counts.values())
    due = due_next(series, values, known.rng("posture"))
    if due is None:
        why = "Three addresses are measured."
        return Step(check="posture", state="done", count=str(total), what="Enough.", why=why, enough=True)
    n = counts[family]
    return Step(
        check="posture",
        state="partly" if total else "waiting",
        count=str(total) if total else "",
        what=f"Address {n + 1} of {THRICE} with the {family}: measure from the side.",
        why=_apart_or(due, "What differs between addresses is larger than what a protractor adds."),
        repeats=due.apart is not None,
        setting={"family": family, "repeat": str(n + 1)},
        ending=_short(series, values) if total else "",
    )


def turn(visit: Visit, known: Known) -> Step:
    """The next turn: both sides in rounds, in random order within each, until each was turned three times.

    A turn that pain stopped ends the series.
    """
    count = str(len(visit.turn)) if visit.turn else ""
    if any(t.stopped_by_pain for t in visit.turn):
        why = "A turn was stopped by pain; nothing more is asked."
        return Step(check="turn", state="done", count=count, what="End here.", why=why, enough=True)
    parts: tuple[TurnPart, ...] = tuple(dict.fromkeys(t.part for t in visit.turn)) or ("trunk",)
    keys = {f"{p}, {SIDE_WORDS[s]}": (p, s) for p in parts for s in SIDE_WORDS}
    sd = known.errors.turn_deg
    series = Series(
        conditions=tuple(keys), each=THRICE, unit="deg", sd=TURN_SD_DEG.value if sd is None else sd
    )
    varied = len({(t.width_mm, t.trunk_deg, t.knee_flex_deg) for t in visit.turn}) > 1
    taken = [
        Taken(condition=f"{t.part}, {SIDE_WORDS[t.toward]}", value=None if varied else t.turn_deg)
        for t in visit.turn
    ]
    due = due_next(series, taken, known.rng("turn"))
    if due is None:
        return Step(
            check="turn",
            state="done",
            count=count,
            what="Enough.",
            why="Both sides are taken three times.",
            enough=True,
            drift=drift_of(series, taken),
        )
    part, side = keys[due.condition]
    n = sum(t.condition == due.condition for t in taken)
    return Step(
        check="turn",
        state="partly" if taken else "waiting",
        count=f"{due.place - 1} of {due.of}" if taken else "",
        what=f"Turn {n + 1} of {THRICE}, {part}, {SIDE_WORDS[side]}.",
        why=_apart_or(
            due, "Sides take turns in random order, so that loosening up does not favour one of them."
        ),
        rest=rest_due(len(taken)),
        repeats=due.apart is not None,
        setting={"part": part, "toward": side, "repeat": str(n + 1)},
        ending=_short(series, taken) if taken else "",
    )


def grip(visit: Visit, known: Known) -> Step:
    """The next grip trial: pairs of own and proposed grip, either first by chance and then in turns."""
    trials = () if visit.grip is None else visit.grip.trials
    clubs = list(dict.fromkeys([*(t.club for t in trials), *(c.mark for c in visit.own_clubs)]))
    if not clubs:
        why = "The grip check compares two grips on one club that came in."
        return Step(check="grip", state="waiting", what="Enter a club first.", why=why)
    begun = list(dict.fromkeys((t.club, t.hand) for t in trials)) or [(clubs[0], "both")]
    pairs = {key: _pairs(visit, *key) for key in begun}
    whole = {key: sum(len(g) == 2 for g in found.values()) for key, found in pairs.items()}
    asked = {key: max(THRICE, whole[key] + known.grip_more.get(key[0], 0)) for key in begun}
    short = [key for key in begun if whole[key] < asked[key]]
    most = max(whole.values())
    state: State = "waiting" if not trials else "done" if most >= THRICE else "partly"
    if not short:
        why = f"{most} pairs are taken."
        return Step(check="grip", state="done", count=str(most), what="Enough.", why=why, enough=True)
    club, hand = min(short, key=lambda k: whole[k])
    half = next((n for n, grips in pairs[club, hand].items() if len(grips) == 1), None)
    number = half if half is not None else max(pairs[club, hand], default=0) + 1
    first, other = ("own", "proposed") if known.rng("grip").random() < 0.5 else ("proposed", "own")
    which = first if number % 2 else other
    if half is not None:
        which = "proposed" if pairs[club, hand][half] == {"own"} else "own"
    holds = "" if hand == "both" else f", {hand} hand alone"
    missing = asked[club, hand] - whole[club, hand]
    return Step(
        check="grip",
        state=state,
        count=str(most) if most else "",
        what=f"Pair {number} with {club}{holds}: {which} grip {'now' if half is not None else 'first'}.",
        why="Pairs that take turns keep drift from favouring one grip."
        if whole[club, hand] < THRICE
        else f"The pairs so far do not tell: {missing} more are expected to.",
        enough=whole[club, hand] >= THRICE,
        rest=rest_due(len(trials)),
        setting={"club": club, "hand": hand, "pair": str(number), "grip": which},
        ending=f"{missing} pair{'' if missing == 1 else 's'} short with {club}: it may not be told."
        if trials
        else "",
    )


def _pairs(visit: Visit, club: str, hand: str) -> dict[int, set[str]]:
    found: dict[int, set[str]] = {}
    for t in () if visit.grip is None else visit.grip.trials:
        if (t.club, t.hand) == (club, hand):
            found.setdefault(t.pair, set()).add(t.grip)
    return found


def aim(visit: Visit, known: Known) -> Step:
    """The next aim: ten as arrived first, then ten of each other condition, those in rounds by chance."""
    if visit.aim is None:
        why = "From the ball's centre to the hole's centre."
        return Step(check="aim", state="waiting", what="Say how far the hole is.", why=why)
    taken = [Taken(condition=t.condition) for t in visit.aim.trials]
    seen = tuple(dict.fromkeys(t.condition for t in taken)) or (OWN_AIM,)
    own = tuple(c for c in seen if c == OWN_AIM)
    series = Series(conditions=own or seen, each=AIMS)
    due = due_next(series, taken, known.rng("aim"))
    if due is None and own and len(seen) > 1:
        series = Series(conditions=tuple(c for c in seen if c != OWN_AIM), each=AIMS)
        due = due_next(series, taken, known.rng("aim"))
    counts = Counter(t.condition for t in taken)
    most = max(counts.values(), default=0)
    state: State = "waiting" if not taken else "done" if most >= AIMS else "partly"
    if due is None:
        more = known.aim_more.get(taken[-1].condition, 0)
        why = "Ten aims are taken."
        if more > 0:
            why = f"Ten are taken; {more} more would tell the bias to a quarter of the hole."
        return Step(check="aim", state="done", count=str(most), what="Enough.", why=why, enough=True)
    n = counts[due.condition]
    return Step(
        check="aim",
        state=state,
        count=str(most) if most else "",
        what=f"Aim {n + 1} of {AIMS}, {due.condition}.",
        why="The player steps away and aims afresh; nobody says where the last one pointed.",
        setting={"condition": due.condition},
        ending=_short(series, taken) if taken else "",
    )


def _apart_or(due: Due, why: str) -> str:
    if due.apart is None:
        return why
    return f"Repeat {due.condition}: {due.apart.says()}, a third tells which to doubt."


def _short(series: Series, taken: Sequence[Taken]) -> str:
    """What ending now costs: conditions that are missing, and how much wider the others' errors are."""
    counts: Mapping[str, int] = Counter(t.condition for t in taken)
    missing = [c for c in series.conditions if not counts[c]]
    few = [c for c in series.conditions if 0 < counts[c] < series.each]
    said = [f"Not measured: {'; '.join(missing)}."] if missing else []
    said += [
        f"{c[:1].upper()}{c[1:]}: {counts[c]} of {series.each}, its error about "
        f"{math.sqrt(series.each / counts[c]):.1f} times as large."
        for c in few
    ]
    return " ".join(said)
