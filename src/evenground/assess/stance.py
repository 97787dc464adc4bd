"""The hip-line check: readings as told, the stance search, its confirmation, and a row for each family."""

import zlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from evenground.assess.book import Book, Part
from evenground.assess.ground import ground_of
from evenground.assess.instruments import with_bar_error
from evenground.estimate import Estimate, from_repeats
from evenground.fit.defaults import BALL_SD_MM, TOE_OUT_SD_DEG, WIDTH_SD_MM
from evenground.fit.setup import StanceFacts, family_setup, shod_offset
from evenground.fit.stance import fit_stance
from evenground.fit.stance_confirm import Confirmation, confirm_width
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.floor import lead_side, trail_side
from evenground.measure.ground import Ground
from evenground.measure.hip_line import hip_lines
from evenground.visit import FAMILIES, Family, HipLineCheck, HipLineTrial

__all__ = ["assess_setups", "assess_stance"]


def assess_stance(book: Book) -> None:
    """Hip-line readings, the stance search over them, and the confirmation of what it chose."""
    check = book.visit.hip_line
    part = Part(methods=("hip line",))
    if check is None or not check.trials:
        book.skip("hip line", part, book.absent("hip line"))
        book.skip("stance", Part(methods=("stance",)), book.absent("hip line"))
        return
    check = with_bar_error(book.studio, book.visit.day, check)
    told = Part(evidence=_names(check), inputs=(check,), methods=("hip line",))
    book.compute("hip line", told, lambda: hip_lines(check))
    searched = _fit(book, check, "stance.search", [t for t in _allowed(book, check) if not t.confirms])
    if searched is None:
        gone = next(f.reason for f in book.found if f.kind == "stance.search")
        book.skip("stance", Part(evidence=_names(check), methods=("stance",)), gone or "")
        return
    _confirm(book, check, searched)
    # Fresh placements are readings like any other: they test the search first, and then they count.
    everything = [replace(t, confirms=False) for t in _allowed(book, check)]
    carry_on = partial(replace, next=searched.next, stop=searched.stop)
    _fit(book, check, "stance", everything, finish=carry_on)


def _names(check: HipLineCheck) -> tuple[str, ...]:
    return tuple(f"hip line trial {t.trial}" for t in check.trials)


def _allowed(book: Book, check: HipLineCheck) -> list[HipLineTrial]:
    """Trials that the screening lets count: those after the routine only when it cleared the player.

    Feet and hands that differ from trial to trial are as the check has them where a trial does not say.
    """
    if any(t.footwear for t in check.trials):
        check = replace(
            check, trials=tuple(replace(t, footwear=t.footwear or check.footwear) for t in check.trials)
        )
    if any(t.hands for t in check.trials):
        check = replace(check, trials=tuple(replace(t, hands=t.hands or check.hands) for t in check.trials))
    return [t for t in check.trials if t.phase != "after" or book.visit.screening == "cleared"]


def _fit(
    book: Book,
    check: HipLineCheck,
    kind: str,
    trials: list[HipLineTrial],
    *,
    finish: Callable[[StanceFit], StanceFit] = lambda fit: fit,
) -> StanceFit | None:
    settings, body = book.studio.settings, book.visit.body
    left_out = len(check.trials) - len(_allowed(book, check))
    options = StanceOptions(
        margin_deg=settings.margin_deg,
        noise_deg=book.studio.errors.hip_line_deg,
        keep_order=settings.order_families,
        allowed_mm=check.allowed_mm,
        turn_at_least_deg=check.turn_at_least_deg,
        turn_toward=check.turn_toward,
        turn_noise_deg=book.studio.errors.turn_deg,
    )
    stature_mm = None if body is None else body.mean_mm("stature")
    as_arrived_mm = {a.family: a.width_mm for a in book.visit.as_arrived}
    turns = book.visit.turn if check.turn_at_least_deg is not None else ()
    inputs = (tuple(trials), options, stature_mm, as_arrived_mm, turns)
    names = tuple(f"hip line trial {t.trial}" for t in trials)
    rng = np.random.default_rng(_seed(trials))
    reason = f"{left_out} trials after the routine left out: the screening says measuring only"
    return book.compute(
        kind,
        Part(evidence=names, inputs=inputs, methods=("stance",)),
        lambda: finish(
            fit_stance(
                trials,
                options=options,
                stature_mm=stature_mm,
                as_arrived_mm=as_arrived_mm,
                rng=rng,
                turns=turns,
            )
        ),
        caveat=reason if left_out else None,
    )


def _seed(trials: Sequence[HipLineTrial]) -> int:
    """From what was read, so that draws stay what they were when a trial learns to hold more."""
    told = [f"{t.trial} {t.phase} {t.family} {t.width_mm!r} {t.hip_line_deg!r}" for t in trials]
    return zlib.crc32("\n".join(told).encode())


def _confirm(book: Book, check: HipLineCheck, fit: StanceFit) -> None:
    """One confirmation for each family whose trials confirm something."""
    confirming = [t for t in check.trials if t.confirms]
    families = sorted({t.family or _nearest(fit, t.width_mm) for t in confirming}, key=FAMILIES.index)
    for family in families:
        part = Part(
            evidence=tuple(f"hip line trial {t.trial}" for t in confirming),
            inputs=(check, family),
            methods=("stance", "confirm"),
        )
        book.compute(f"stance.confirm.{family}", part, partial(confirm_width, fit, check.trials, family))


def _nearest(fit: StanceFit, width_mm: float) -> Family:
    """The family whose width a trial without a family was set to."""
    return min(FAMILIES, key=lambda f: abs(fit.families[f].best_width_mm - width_mm))


def assess_setups(book: Book) -> None:
    """A card row for each family, from whatever was measured."""
    fit = book.value("stance")
    for family in FAMILIES:
        facts = _facts(book, family)
        part = Part(
            evidence=_setup_evidence(book, family),
            inputs=(fit, facts, family),
            methods=("stance", "ground", "setup"),
        )
        book.compute(f"setup.{family}", part, partial(family_setup, family, fit, facts))


def _setup_evidence(book: Book, family: Family) -> tuple[str, ...]:
    visit = book.visit
    names = [] if visit.hip_line is None else ["stance"]
    names += [f.kind for f in book.found if f.kind.startswith("ground.fitted") and f.value is not None]
    names += [f"as arrived, {family}"] if visit.as_arrived_for(family) is not None else []
    names += [f"ball, {family}"] if any(b.family == family for b in visit.ball) else []
    return tuple(names)


def _facts(book: Book, family: Family) -> StanceFacts:
    shod = ground_of(book, "fitted", "golf shoes", family) or ground_of(
        book, "as arrived", "golf shoes", family
    )
    shoes = book.visit.shoes
    widths = None if shod is None else shod.stance_width_mm
    lead, trail, notes = _toe_out(book, family)
    inside, ahead = _ball(book, family)
    return StanceFacts(
        shod_offset_mm=shod_offset(
            None if widths is None else widths.heel_centres,
            None if widths is None else widths.inside,
            None if shoes is None else shoes.heel_breadth_mm,
        ),
        shoe_length_mm=None if shoes is None else shoes.length_mm,
        as_arrived_mm=_own_width(book, family),
        toe_out_lead_deg=lead,
        toe_out_trail_deg=trail,
        not_confirmed=_not_confirmed(book, family),
        ball_inside_lead_heel_mm=inside,
        ball_from_toe_line_mm=ahead,
        notes=notes,
    )


def _not_confirmed(book: Book, family: Family) -> str | None:
    """Why the fresh placements contradict the curve, None when they agree or were not taken."""
    found = book.value(f"stance.confirm.{family}")
    return found.reason if isinstance(found, Confirmation) and found.verdict == "not confirmed" else None


def _own_width(book: Book, family: Family) -> Estimate | None:
    """The as-arrived width: from the mat where that family stood on it, else as it was taped."""
    found = book.value(f"ground.as arrived.golf shoes.{family}")
    if isinstance(found, Ground):
        return found.stance_width_mm.heel_centres
    own = book.visit.as_arrived_for(family)
    if own is None:
        return None
    sd = book.studio.errors.width_mm
    return Estimate(value=own.width_mm, se=WIDTH_SD_MM.value if sd is None else sd, unit="mm")


def _toe_out(book: Book, family: Family) -> tuple[Estimate | None, Estimate | None, tuple[str, ...]]:
    """Toe-out of lead and trail foot in the fitted stance, else as arrived, with a note saying which."""
    handed = book.visit.player.handed
    fitted = ground_of(book, "fitted", "golf shoes", family) or ground_of(book, "fitted", "barefoot", family)
    if fitted is not None:
        lead = getattr(fitted.feet, lead_side(handed)).toe_out_deg
        trail = getattr(fitted.feet, trail_side(handed)).toe_out_deg
        return lead, trail, ()
    own = book.visit.as_arrived_for(family)
    typed = (None, None) if own is None else (own.toe_out_lead_deg, own.toe_out_trail_deg)
    both = [None if d is None else Estimate(value=d, se=TOE_OUT_SD_DEG.value, unit="deg") for d in typed]
    note = ("toe-out as arrived: the fitted stance was not measured on the mat",) if any(both) else ()
    return both[0], both[1], note


def _ball(book: Book, family: Family) -> tuple[Estimate | None, Estimate | None]:
    place = next((b for b in book.visit.ball if b.family == family), None)
    if place is None:
        return None, None
    studied = book.studio.errors.ball_mm
    sd = BALL_SD_MM.value if studied is None else studied
    inside, ahead = (
        from_repeats(values, unit="mm", known_sd=sd, what="ball") if values else None
        for values in (place.inside_lead_heel_mm, place.from_toe_line_mm)
    )
    return inside, ahead
