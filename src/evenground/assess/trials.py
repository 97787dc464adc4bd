"""The checks of repeated trials beside the stance: turn of trunk and pelvis, grips in pairs, and aim."""

from dataclasses import replace
from functools import partial

from evenground.assess.book import Book, Part
from evenground.fit.aim import fit_aim
from evenground.fit.full_swing import full_swing_aim
from evenground.fit.grip_check import GripErrors, grip_verdict
from evenground.fit.turn import VARIED, turn_response
from evenground.measure.eyes import eye_facts
from evenground.measure.turn import turn_ranges
from evenground.visit import AimCheck, GripHand, TurnPart, TurnReading

__all__ = ["assess_aim", "assess_grip_check", "assess_turn"]

MEASURING_ONLY = "the screening says measuring only: nothing that loads or turns the body to a limit was used"
TURN_KINDS: dict[TurnPart, str] = {"trunk": "turn", "pelvis": "turn.pelvis"}

Turns = tuple[tuple[int, TurnReading], ...]


def assess_turn(book: Book) -> None:
    """Turn of trunk and pelvis to each side, only when the screening cleared the player."""
    readings = book.visit.turn
    if not readings:
        book.skip("turn", Part(methods=("turn",)), book.absent("turn"))
        return
    for part, kind in TURN_KINDS.items():
        own = tuple((i, r) for i, r in enumerate(readings, 1) if r.part == part)
        if own:
            _turn(book, kind, own)
    varied = any(len({getattr(r, n) for r in readings} - {None}) > 1 for n in VARIED)
    if varied and book.visit.screening == "cleared":
        stand = _turn_part(tuple(enumerate(readings, 1)))
        known = book.studio.errors.turn_deg
        book.compute("turn.stance", stand, partial(turn_response, readings, known_sd_deg=known))


def _turn(book: Book, kind: str, own: Turns) -> None:
    part = _turn_part(own)
    if book.visit.screening != "cleared":
        book.skip(kind, part, MEASURING_ONLY)
        return
    turns = [r for _, r in own]
    book.compute(kind, part, partial(turn_ranges, turns, known_sd_deg=book.studio.errors.turn_deg))


def _turn_part(own: Turns) -> Part:
    return Part(
        evidence=tuple(f"turn {i}, toward {r.toward}" for i, r in own),
        inputs=tuple(r for _, r in own),
        methods=("turn",),
    )


def assess_grip_check(book: Book) -> None:
    """What the proposed grip does, for each club and each way of holding it."""
    check = book.visit.grip
    if check is None or not check.trials:
        book.skip("grip.check", Part(methods=("grip check",)), book.absent("grip"))
        return
    settings, known = book.studio.settings, book.studio.errors
    for club, hand in dict.fromkeys((t.club, t.hand) for t in check.trials):
        own = [t for t in check.trials if (t.club, t.hand) == (club, hand)]
        part = Part(
            evidence=tuple(f"grip pair {t.pair}, {t.grip}" for t in own),
            inputs=(tuple(own), check.glove),
            methods=("grip check",),
        )
        make = partial(
            grip_verdict,
            own,
            glove=check.glove,
            errors=GripErrors(hip_line_deg=known.hip_line_deg, knee_flex_deg=known.posture_deg),
            matters_deg=settings.margin_deg,
        )
        book.compute(_grip_kind(club, hand), part, make)


def _grip_kind(club: str, hand: GripHand) -> str:
    """The finding of one club, with the hand where it is not both."""
    return f"grip.check.{club}" if hand == "both" else f"grip.check.{club}, {hand} hand alone"


def assess_aim(book: Book) -> None:
    """Bias and spread under each condition, in the order first tried; the eyes; the full-swing clubs."""
    aim = book.visit.aim
    if aim is not None:
        _eyes(book, aim)
        _full_swing(book, aim)
    if aim is None or not aim.trials:
        book.skip("aim", Part(methods=("aim",)), book.absent("aim"))
        return
    handed, past_m = book.visit.player.handed, book.studio.settings.putt_past_m
    alone = replace(aim, trials=(), eyes=(), full_swing=())
    for condition in dict.fromkeys(t.condition for t in aim.trials):
        trials = [t for t in aim.trials if t.condition == condition]
        part = Part(
            evidence=tuple(f"aim trial {t.trial}" for t in trials),
            inputs=(tuple(trials), alone, handed),
            methods=("aim",),
        )
        make = partial(fit_aim, trials, alone, handed=handed, past_m=past_m)
        book.compute(f"aim.{condition}", part, make)


def _eyes(book: Book, aim: AimCheck) -> None:
    if aim.eyes:
        names = tuple(f"eye line {i}" for i in range(1, len(aim.eyes) + 1))
        part = Part(evidence=names, inputs=aim.eyes, methods=("aim",))
        book.compute("eye line", part, partial(eye_facts, aim.eyes))


def _full_swing(book: Book, aim: AimCheck) -> None:
    if aim.full_swing:
        handed = book.visit.player.handed
        part = Part(
            evidence=tuple(f"{a.club}, aim {a.trial}" for a in aim.full_swing),
            inputs=(aim.full_swing, aim.distance_m, aim.read_at_m, handed),
            methods=("aim",),
        )
        book.compute("full-swing aim", part, partial(full_swing_aim, aim.full_swing, aim, handed=handed))
