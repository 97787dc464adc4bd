"""Square stance widths per club family from hip-line trials, the next width to test, and when to stop.

trials -> checked -> laid out on curves -> posterior -> widths and answers -> next width or stop
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from evenground.estimate import Estimate
from evenground.fit import stance_constants as c
from evenground.fit.stance_answer import (
    Curve,
    answer_word,
    any_square_probability,
    choose_widths,
    curve_at,
    inside,
    joint_draws,
    square_bands,
    squarest_spread,
    width_grid,
    width_windows,
)
from evenground.fit.stance_check import check_as_arrived, check_options, check_stature, check_trials
from evenground.fit.stance_effects import condition_effects, phase_change
from evenground.fit.stance_flags import stance_flags
from evenground.fit.stance_layout import Layout, lay_out, middle_of_phase
from evenground.fit.stance_model import Fitted, fit_trials
from evenground.fit.stance_next import Goal, first_widths, gains, pick_near_best
from evenground.fit.stance_slips import slip_flags
from evenground.fit.stance_turn import TurnLine, turn_line
from evenground.fit.stance_types import (
    ConditionCurve,
    CurvePoint,
    FamilyAnswer,
    NextWidth,
    StanceFit,
    StanceOptions,
    Stop,
    WidthWindow,
)
from evenground.visit import FAMILIES, PHASES, Family, HipLineTrial, Phase, TurnReading

__all__ = ["fit_stance"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """Everything the parts of the search share."""

    trials: tuple[HipLineTrial, ...]
    options: StanceOptions
    windows: Mapping[Family, WidthWindow]
    as_arrived_mm: Mapping[Family, float]
    width_mm: FloatArray
    layout: Layout
    fitted: Fitted
    turn: TurnLine | None
    rng: np.random.Generator

    def curves(self, phase: Phase) -> dict[Family, Curve]:
        """The curve of each family in a phase; families that share one hold the same object."""
        margin = self.options.margin_deg
        found: dict[Family, Curve] = {}
        for group in self.layout.curves():
            points = self.layout.points(group[0], phase, self.width_mm)
            curve = curve_at(self.fitted, points, margin)
            if self.turn is not None:
                curve = replace(curve, p=curve.p * self.turn.chance(self.width_mm))
            found |= dict.fromkeys(group, curve)
        return found

    def in_phase(self, phase: Phase) -> list[HipLineTrial]:
        """Trials of a phase in their order."""
        return sorted((t for t in self.trials if t.phase == phase), key=lambda t: t.trial)


def fit_stance(
    trials: Sequence[HipLineTrial],
    *,
    options: StanceOptions,
    stature_mm: float | None,
    as_arrived_mm: Mapping[Family, float],
    rng: np.random.Generator,
    turns: Sequence[TurnReading] = (),
) -> StanceFit:
    """Square widths per family with answers, the curve, the next width and whether to stop.

    Parameters
    ----------
    trials
        At least three, in any order; all name their family, or none does and one curve serves all families.
        Trials that confirm a width are left out: they are what the fit is compared with.
    options
        Margin, the studio's noise, budgets.
    stature_mm
        Sets the windows of widths; None takes a default stature and flags it.
    as_arrived_mm
        The widths the player came with, heel centre to heel centre.
    rng
        For joint draws and near-ties; the same generator state gives the same answer.
    turns
        Of the same visit; only looked at when the options ask for a least turn.

    Returns
    -------
    fit
        Its plain form is the JSON of the ``stance`` command.

    Raises
    ------
    FitError
        From `check_trials`, `check_options`, `check_stature`, `check_as_arrived` and `turn_line`.

    Notes
    -----
    Method: docs/method/stance.md. Probabilities hold for the average hip line at a width, not for a single
    placement. Under three widths spread over the window the answer is nearly all prior: read *cannot tell*.
    """
    searched = [t for t in trials if not t.confirms]
    search = _prepare(searched, options, stature_mm, as_arrived_mm, turns, rng)
    phase: Phase = options.use_phase
    active = next(p for p in reversed(PHASES) if search.in_phase(p))
    if not search.in_phase(phase):
        phase = active
    curves = search.curves(phase)
    answers = _answers(search, curves)
    working, working_answers = curves, answers
    if active != phase:
        working = search.curves(active)
        working_answers = _answers(search, working)
    stop, proposed = _next_or_stop(search, active, working, working_answers)
    conditions = _conditions(search, phase, curves)
    drift, drift_sd = search.fitted.drift()
    n, widths = len(search.trials), sorted({a.best_width_mm for a in answers.values()})
    told = (search.fitted, search.layout, search.trials, widths)
    return StanceFit(
        families=answers,
        square_bands_mm=conditions[0].square_bands_mm,
        drift_deg_per_trial=Estimate(value=drift, se=drift_sd, n=n, unit="deg/trial"),
        next=proposed,
        stop=stop,
        curve=conditions[0].curve,
        noise_deg=_noise(search.fitted, n),
        phase=phase,
        margin_deg=options.margin_deg,
        stature_mm=_stature(stature_mm),
        stature_assumed=stature_mm is None,
        conditions=conditions,
        change=phase_change("after", *told, margin_deg=options.margin_deg),
        flags=(
            *stance_flags(search.layout, options, phase, assumed=stature_mm is None),
            *slip_flags(search.fitted, search.trials),
        ),
        control=phase_change("rested", *told, margin_deg=options.margin_deg),
        effects=condition_effects(*told, margin_deg=options.margin_deg),
    )


def _stature(stature_mm: float | None) -> float:
    return c.DEFAULT_STATURE.value if stature_mm is None else stature_mm


def _prepare(
    trials: Sequence[HipLineTrial],
    options: StanceOptions,
    stature_mm: float | None,
    as_arrived_mm: Mapping[Family, float],
    turns: Sequence[TurnReading],
    rng: np.random.Generator,
) -> _Search:
    check_options(options)
    stature = _stature(stature_mm)
    check_stature(stature)
    check_as_arrived(as_arrived_mm)
    first = first_widths(stature, step_mm=options.step_mm, rng=rng) if len(trials) < 3 else ()
    check_trials(trials, first_mm=first)
    ordered = tuple(sorted(trials, key=lambda t: (PHASES.index(t.phase), t.trial)))
    windows = width_windows(stature, as_arrived_mm, options.allowed_mm)
    layout, points, y = lay_out(ordered, options=options, centre_mm=c.CENTRE_SHARE.value * stature)
    return _Search(
        trials=ordered,
        options=options,
        windows=windows,
        as_arrived_mm=as_arrived_mm,
        width_mm=width_grid(windows, options.step_mm),
        layout=layout,
        fitted=fit_trials(layout.prior, points, y),
        turn=None
        if options.turn_at_least_deg is None
        else turn_line(
            turns,
            at_least_deg=options.turn_at_least_deg,
            toward=options.turn_toward,
            known_sd_deg=options.turn_noise_deg,
        ),
        rng=rng,
    )


def _answers(search: _Search, curves: Mapping[Family, Curve]) -> dict[Family, FamilyAnswer]:
    chosen = choose_widths(
        search.width_mm,
        {f: curves[f].p for f in FAMILIES},
        search.windows,
        search.as_arrived_mm,
        keep_order=search.options.keep_order,
    )
    drawn: dict[int, FloatArray] = {}
    for curve in curves.values():
        if id(curve) not in drawn:
            drawn[id(curve)] = joint_draws(search.fitted, curve, search.options.draws, search.rng)
    return {f: _answer(search, f, curves[f], chosen[f], drawn[id(curves[f])]) for f in FAMILIES}


def _answer(search: _Search, family: Family, curve: Curve, chosen: int, drawn: FloatArray) -> FamilyAnswer:
    options, layout = search.options, search.layout
    allowed = inside(curve.width_mm, search.windows[family])
    turned = None if search.turn is None else search.turn.draws(curve.width_mm, len(drawn), search.rng)
    probability = float(curve.p[chosen])
    any_square = max(
        any_square_probability(drawn, allowed, options.margin_deg, turned), float(curve.p[allowed].max())
    )
    word = answer_word(probability, any_square)
    spread = squarest_spread(curve.width_mm, drawn, allowed, curve.p, chosen, options.step_mm)
    width = float(curve.width_mm[chosen])
    own = layout.own_trials[family]
    stated = Estimate(value=width, se=spread, n=own or len(search.trials), unit="mm")
    base = layout.base[family]
    return FamilyAnswer(
        answer=word,
        width_mm=stated if word in ("square", "likely") else None,
        probability=probability,
        carried_over=own == 0,
        best_width_mm=width,
        any_square=any_square,
        window_mm=search.windows[family],
        borrowed_from=base if base != family and not layout.shared else None,
        own_trials=own,
    )


def _closed(series: Sequence[HipLineTrial]) -> bool:
    """Whether the first width was set again at least three trials later."""
    return any(abs(t.width_mm - series[0].width_mm) <= c.SAME_WIDTH.value for t in series[3:])


def _next_or_stop(
    search: _Search, phase: Phase, curves: Mapping[Family, Curve], answers: Mapping[Family, FamilyAnswer]
) -> tuple[Stop, NextWidth | None]:
    """The next width, or why there is none; a series closes on its first width before it ends."""
    series, budget = search.in_phase(phase), search.options.budget(phase)
    left = budget - len(series)
    if left <= 0:
        return Stop(done=True, reason=f"The {budget} trials of this series are taken."), None
    settled = all(a.answer in ("square", "none") for a in answers.values())
    proposed = None if settled else _look_ahead(search, phase, curves)
    if proposed is None:
        reason = "Every family has its answer, square or none."
    elif proposed.gain < search.options.least_gain:
        reason = "One more trial would hardly change what is known about any width."
    else:
        reason = "" if left > 1 or _closed(series) else "One trial is left of this series."
    if not reason and proposed is not None:
        return Stop(done=False, reason="Another trial is expected to help."), proposed
    if _closed(series):
        return Stop(done=True, reason=reason), None
    closing = NextWidth(
        width_mm=series[0].width_mm,
        gain=0.0 if proposed is None else max(0.0, proposed.gain),
        reason=f"{reason} Close on the first width, to see whether the player drifted.",
        family=series[0].family,
        phase=phase,
    )
    return Stop(done=False, reason=f"{reason} Only the closing trial is missing."), closing


def _look_ahead(search: _Search, phase: Phase, curves: Mapping[Family, Curve]) -> NextWidth:
    """The candidate with the largest gain over all families and the widths that a trial may be taken at."""
    layout, options = search.layout, search.options
    late = max(t.trial for t in search.in_phase(phase)) + 1 - middle_of_phase(search.trials, phase)
    turn = None if search.turn is None else search.turn.chance(search.width_mm)
    goals = [Goal.of(curves[g[0]], [search.windows[f] for f in g], turn) for g in layout.curves()]
    settable = search.width_mm[:: max(1, round(20.0 / options.step_mm))]
    if options.allowed_mm:
        settable = np.array(sorted({w for one in search.windows.values() for w in one.only_mm}))
    options_of = [(f, w) for f in layout.measured() for w in _candidates(search, f, settable)]
    found = []
    for family in layout.measured():
        widths = np.array([w for f, w in options_of if f == family])
        points = layout.points(family, phase, widths, late)
        found.append(gains(search.fitted, points, goals, options.margin_deg))
    gain = np.concatenate(found)
    family, width = options_of[pick_near_best(gain, search.rng)]
    best = float(max(0.0, gain.max()))
    whom = "" if layout.shared else f" with the {family}"
    return NextWidth(
        width_mm=float(width),
        gain=best,
        reason=f"A reading at {width:.0f} mm{whom} is expected to raise the chances of square most, "
        f"by {best:.2f} summed over the families.",
        family=None if layout.shared else family,
        phase=phase,
    )


def _candidates(search: _Search, family: Family, width_mm: FloatArray) -> FloatArray:
    """Widths that may be set for a trial of a family; any window's when one curve serves all."""
    if search.layout.shared:
        return width_mm
    return np.asarray(width_mm[inside(width_mm, search.windows[family])])


def _noise(fitted: Fitted, n: int) -> Estimate:
    mean = float(fitted.weight @ fitted.noise_sd)
    spread = float(np.sqrt(fitted.weight @ (fitted.noise_sd - mean) ** 2))
    return Estimate(value=mean, se=spread, n=n, unit="deg")


def _conditions(search: _Search, phase: Phase, curves: Mapping[Family, Curve]) -> tuple[ConditionCurve, ...]:
    """Curves in the phase of the answers, most trials first, then those of the other phases."""
    layout = search.layout
    others = [p for p in PHASES if p != phase and search.in_phase(p)]
    shown = {phase: curves} | {p: search.curves(p) for p in others}
    groups = sorted(layout.curves(), key=lambda g: -layout.own_trials[g[0]])
    return tuple(_condition(search, p, g, by_family[g[0]]) for p, by_family in shown.items() for g in groups)


def _condition(search: _Search, phase: Phase, families: tuple[Family, ...], curve: Curve) -> ConditionCurve:
    rows = zip(curve.width_mm, curve.mean_deg, curve.sd_deg, curve.p, strict=True)
    return ConditionCurve(
        families=families,
        phase=phase,
        trials=sum(t.family in (None, *families) for t in search.in_phase(phase)),
        square_bands_mm=square_bands(curve.width_mm, curve.p),
        curve=tuple(
            CurvePoint(width_mm=float(w), mean_deg=float(m), sd_deg=float(s), p_square=float(p))
            for w, m, s, p in rows
        ),
    )
