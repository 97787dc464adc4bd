"""One family's stance as it goes on the card: the range to stand in, in shoes, with feet and ball around it.

The fitted width is a heel-centre width with a posterior spread. What a player can use is a *range*: every
width next to the chosen one at which the chance of square is still as good as the answer word promises.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from evenground.estimate import Estimate, difference
from evenground.findings import Answer, FamilySetup, Range
from evenground.fit.stance_types import CurvePoint, FamilyAnswer, StanceFit
from evenground.sourced import Sourced
from evenground.visit import Family

__all__ = [
    "HEEL_BREADTH_SE_MM",
    "PRINT_STEP_MM",
    "StanceFacts",
    "family_setup",
    "good_range_mm",
    "shod_offset",
]

PRINT_STEP_MM = Sourced(5.0, "mm", "ours: a tape between two shoes is read to half a centimetre")
HEEL_BREADTH_SE_MM = Sourced(2.0, "mm", "ours: a tape across a heel's outsole, read once")
FALLBACK_HALF_RANGE_MM = Sourced(10.0, "mm", "ours: nobody repeats a stance width more closely than this")

PROMISE = {"square": 0.9, "likely": 0.7}


@dataclass(frozen=True, slots=True, kw_only=True)
class StanceFacts:
    """Everything else that a card row shows; None where it was not measured.

    `shod_offset_mm` is how much narrower the inside edges stand than the heel centres in these shoes;
    `not_confirmed` says how fresh placements at the chosen width contradicted the curve.
    """

    shod_offset_mm: Estimate | None
    shoe_length_mm: float | None
    as_arrived_mm: Estimate | None
    toe_out_lead_deg: Estimate | None
    toe_out_trail_deg: Estimate | None
    ball_inside_lead_heel_mm: Estimate | None
    ball_from_toe_line_mm: Estimate | None
    not_confirmed: str | None = None
    notes: tuple[str, ...] = ()


def shod_offset(
    heel_centres: Estimate | None, inside: Estimate | None, heel_breadth_mm: float | None
) -> Estimate | None:
    """How far the inside edges are nearer together than the heel centres, in these shoes.

    From the mat where both were measured in shoes, else from one outsole breadth at the heel (half of it on
    each side), else None: then only the heel-centre width can be shown.
    """
    if heel_centres is not None and inside is not None:
        # Both widths come from the same placement of the same feet: their difference is far steadier than
        # either. Its error is the edge's, which the inside width carries on top of the heel centre's.
        plain = difference(heel_centres, inside)
        edge = max(inside.se**2 - heel_centres.se**2, HEEL_BREADTH_SE_MM.value**2) ** 0.5
        return Estimate(value=plain.value, se=edge, dof=inside.dof, n=inside.n, unit="mm")
    if heel_breadth_mm is not None:
        return Estimate(value=heel_breadth_mm, se=HEEL_BREADTH_SE_MM.value, unit="mm")
    return None


def good_range_mm(curve: Sequence[CurvePoint], chosen_mm: float, promise: float) -> tuple[float, float]:
    """Widths around the chosen one at which the chance of square stays at least `promise`.

    Parameters
    ----------
    curve
        Chance of square on a grid of heel-centre widths, ascending.
    chosen_mm
        The chosen width.
    promise
        The least chance that the answer word allows.

    Returns
    -------
    low_mm, high_mm
        The unbroken run of grid widths around the chosen one; both equal to `chosen_mm` when even the chosen
        width does not reach the promise.

    Examples
    --------
    >>> chances = [(300, 0.5), (310, 0.9), (320, 0.95), (330, 0.6)]
    >>> points = [CurvePoint(width_mm=w, mean_deg=0.0, sd_deg=1.0, p_square=p) for w, p in chances]
    >>> good_range_mm(points, 318.0, 0.9)
    (310, 320)
    """
    if not curve:
        return chosen_mm, chosen_mm
    nearest = min(range(len(curve)), key=lambda i: abs(curve[i].width_mm - chosen_mm))
    if curve[nearest].p_square < promise:
        return chosen_mm, chosen_mm
    low = high = nearest
    while low > 0 and curve[low - 1].p_square >= promise:
        low -= 1
    while high + 1 < len(curve) and curve[high + 1].p_square >= promise:
        high += 1
    return curve[low].width_mm, curve[high].width_mm


def _printed(low_mm: float, high_mm: float, chosen_mm: float) -> tuple[float, float, bool]:
    """Round a range inwards to the printed step, never narrower than a person can repeat a width.

    The third value says whether that had to widen it: then not every width in it is promised.
    """
    step, least = PRINT_STEP_MM.value, FALLBACK_HALF_RANGE_MM.value
    low, high = -(-low_mm // step) * step, high_mm // step * step
    if high - low >= 2.0 * least:
        return low, high, False
    return round((chosen_mm - least) / step) * step, round((chosen_mm + least) / step) * step, True


def _promise_words(answer: Answer, margin_deg: float, *, widened: bool) -> str:
    chance = {"square": "nine in ten", "likely": "seven in ten"}[answer]
    where = "about this width" if widened else "each width in this range"
    good = f"the hips average within {margin_deg:g} deg of square"
    return f"at {where} the chance is {chance} or better that {good}"


def _curve_of(fit: StanceFit, family: Family) -> tuple[CurvePoint, ...]:
    """The curve that a family's answer was read from."""
    return next((c.curve for c in fit.conditions if family in c.families and c.phase == fit.phase), fit.curve)


def _ranges(
    fit: StanceFit, family: Family, answer: FamilyAnswer, offset_mm: float | None
) -> tuple[Range | None, Range | None]:
    """Range to stand in between heel centres and, where the shoes are known, between inside edges."""
    if answer.width_mm is None or answer.answer not in PROMISE:
        return None, None
    chosen = answer.width_mm.value
    low, high = good_range_mm(_curve_of(fit, family), chosen, PROMISE[answer.answer])
    low, high = max(low, answer.window_mm.low_mm), min(high, answer.window_mm.high_mm)

    def shown(offset_mm: float) -> Range:
        to_low, to_high, widened = _printed(low - offset_mm, high - offset_mm, chosen - offset_mm)
        means = _promise_words(answer.answer, fit.margin_deg, widened=widened)
        return Range(low=to_low, high=to_high, unit="mm", means=means)

    return shown(0.0), None if offset_mm is None else shown(offset_mm)


def family_setup(family: Family, fit: StanceFit | None, stance: StanceFacts) -> FamilySetup:
    """The stance proposed for one family.

    A family whose answer is *none* or *cannot tell* gets no range: its row says so and keeps the as-arrived
    width. A curve that its own fresh placements contradicted cannot tell, whatever probability it states.
    What the feet and the ball do is shown all the same.

    Parameters
    ----------
    family
        Whose row it is.
    fit
        The stance search of this visit; None when the hip line was not measured.
    stance
        Shoes, own stance, toe-out and ball.
    """
    offset = None if stance.shod_offset_mm is None else stance.shod_offset_mm.value
    answer = None if fit is None else _answer(fit.families[family], stance.not_confirmed)
    heel, inside = (None, None) if fit is None or answer is None else _ranges(fit, family, answer, offset)
    lengths = None
    if inside is not None and stance.shoe_length_mm:
        lengths = Range(
            low=inside.low / stance.shoe_length_mm,
            high=inside.high / stance.shoe_length_mm,
            unit="shoe lengths",
            means=inside.means,
        )
    was = None
    if stance.as_arrived_mm is not None and stance.shod_offset_mm is not None:
        was = difference(stance.as_arrived_mm, stance.shod_offset_mm)
    return FamilySetup(
        family=family,
        answer="not measured" if answer is None else answer.answer,
        probability=None if answer is None else answer.probability,
        carried_over_from=None if answer is None or not answer.carried_over else answer.borrowed_from,
        width_heel_centres_mm=None if answer is None else answer.width_mm,
        width_inside_mm=inside,
        width_shoe_lengths=lengths,
        was_inside_mm=was,
        toe_out_lead_deg=stance.toe_out_lead_deg,
        toe_out_trail_deg=stance.toe_out_trail_deg,
        ball_inside_lead_heel_mm=stance.ball_inside_lead_heel_mm,
        ball_from_toe_line_mm=stance.ball_from_toe_line_mm,
        width_heel_range_mm=heel,
        notes=stance.notes if stance.not_confirmed is None else (*stance.notes, stance.not_confirmed),
    )


def _answer(answer: FamilyAnswer, not_confirmed: str | None) -> FamilyAnswer:
    """The search's answer, or *cannot tell* once fresh placements contradicted it."""
    if not_confirmed is None or answer.answer not in PROMISE:
        return answer
    return replace(answer, answer="cannot tell", width_mm=None)
