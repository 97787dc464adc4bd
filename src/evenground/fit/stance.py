"""Square stance widths per club family from hip-line trials, the next width to test, and when to stop.

trials -> checked -> laid out on curves -> posterior -> widths and answers -> next width or stop
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
from evenground.fit.stance_layout import Layout, lay_out, middle_of_phase
from evenground.fit.stance_model import Fitted, fit_trials
from evenground.fit.stance_next import Goal, first_widths, gains, pick_near_best
from evenground.fit.stance_types import (
    Change,
    ConditionCurve,
    CurvePoint,
    FamilyAnswer,
    NextWidth,
    StanceFit,
    StanceFlag,
    StanceOptions,
    Stop,
    WidthWindow,
)
from evenground.visit import FAMILIES, Family, HipLineTrial, Phase

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
    rng: np.random.Generator

    def curves(self, phase: Phase) -> dict[Family, Curve]:
        """The curve of each family in a phase; families that share one hold the same object."""
        margin = self.options.margin_deg
        found: dict[Family, Curve] = {}
        for group in self.layout.curves():
            points = self.layout.points(group[0], phase, self.width_mm)
            found |= dict.fromkeys(group, curve_at(self.fitted, points, margin))
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

    Returns
    -------
    fit
        Its plain form is the JSON of the ``stance`` command.

    Raises
    ------
    FitError
        From `check_trials`, `check_options`, `check_stature` and `check_as_arrived`.

    Notes
    -----
    Method: docs/method/stance.md. Probabilities hold for the average hip line at a width, not for a single
    placement. Under three widths spread over the window the answer is nearly all prior: read *cannot tell*.
    """
    searched = [t for t in trials if not t.confirms]
    search = _prepare(searched, options, stature_mm, as_arrived_mm, rng)
    phase: Phase = options.use_phase
    active: Phase = "after" if search.in_phase("after") else "before"
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
    n = len(search.trials)
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
        change=_change(search, answers),
        flags=_flags(search, phase, assumed=stature_mm is None),
    )


def _stature(stature_mm: float | None) -> float:
    return c.DEFAULT_STATURE.value if stature_mm is None else stature_mm


def _prepare(
    trials: Sequence[HipLineTrial],
    options: StanceOptions,
    stature_mm: float | None,
    as_arrived_mm: Mapping[Family, float],
    rng: np.random.Generator,
) -> _Search:
    check_options(options)
    stature = _stature(stature_mm)
    check_stature(stature)
    check_as_arrived(as_arrived_mm)
    first = first_widths(stature, step_mm=options.step_mm, rng=rng) if len(trials) < 3 else ()
    check_trials(trials, first_mm=first)
    ordered = tuple(sorted(trials, key=lambda t: (t.phase == "after", t.trial)))
    windows = width_windows(stature, as_arrived_mm)
    layout, points, y = lay_out(ordered, options=options, centre_mm=c.CENTRE_SHARE.value * stature)
    return _Search(
        trials=ordered,
        options=options,
        windows=windows,
        as_arrived_mm=as_arrived_mm,
        width_mm=width_grid(windows, options.step_mm),
        layout=layout,
        fitted=fit_trials(layout.prior, points, y),
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
    probability = float(curve.p[chosen])
    any_square = max(
        any_square_probability(drawn, allowed, options.margin_deg), float(curve.p[allowed].max())
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
    goals = [Goal.of(curves[g[0]], [search.windows[f] for f in g]) for g in layout.curves()]
    every_other = search.width_mm[:: max(1, round(20.0 / options.step_mm))]
    options_of = [(f, w) for f in layout.measured() for w in _candidates(search, f, every_other)]
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
    """Curves in the phase of the answers, most trials first, then those of the other phase."""
    layout = search.layout
    other: Phase = "before" if phase == "after" else "after"
    shown = {phase: curves} | ({other: search.curves(other)} if search.in_phase(other) else {})
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


def _change(search: _Search, answers: Mapping[Family, FamilyAnswer]) -> tuple[Change, ...]:
    """After minus before at the widths that were chosen, once each; empty without both phases."""
    if not (search.in_phase("before") and search.in_phase("after")):
        return ()
    widths = np.array(sorted({a.best_width_mm for a in answers.values()}))
    margin = search.options.margin_deg
    change = curve_at(search.fitted, search.layout.change_points(widths), margin)
    family = max(FAMILIES, key=lambda f: search.layout.own_trials[f])
    before, after = (
        curve_at(search.fitted, search.layout.points(family, p, widths), margin).p
        for p in ("before", "after")
    )
    n = len(search.trials)
    return tuple(
        Change(
            width_mm=float(w),
            change_deg=Estimate(value=float(change.mean_deg[i]), se=float(change.sd_deg[i]), n=n, unit="deg"),
            p_square_before=float(before[i]),
            p_square_after=float(after[i]),
        )
        for i, w in enumerate(widths)
    )


def _flags(search: _Search, phase: Phase, *, assumed: bool) -> tuple[StanceFlag, ...]:
    layout, flags = search.layout, []
    if assumed:
        text = (
            "No stature was given; the windows of widths are those of a player of "
            f"{c.DEFAULT_STATURE.value:.0f} mm."
        )
        flags.append(StanceFlag(code="stature-assumed", where="stature", text=text))
    if layout.shared:
        text = "The trials name no club family: one curve serves putter, irons and woods."
        flags.append(StanceFlag(code="one-curve-for-all", where="families", text=text))
    for family in FAMILIES:
        own, base = layout.own_trials[family], layout.base[family]
        if base == family or layout.shared:
            continue
        code, text = "carried-over", f"No trial was taken with the {family}: carried over from the {base}."
        if own:
            code, text = (
                "leans-on-neighbour",
                f"{own} trials with the {family}: it leans on the {base}'s curve.",
            )
        flags.append(StanceFlag(code=code, where=family, text=text))
    if phase != search.options.use_phase:
        text = f"No trial was taken {search.options.use_phase} the routine: the answers are those {phase} it."
        flags.append(StanceFlag(code="other-phase", where="phase", text=text))
    return tuple(flags)
