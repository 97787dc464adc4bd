"""Known truth: the ranges of a study, of agreement and of effects, and *changed* on players who did not."""

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from scipy.special import bdtrc

from evenground.estimate import Estimate, from_repeats
from evenground.fit.change import Figure, compare_figures
from evenground.fit.effects import fit_effects
from evenground.fit.effects_design import Trial
from evenground.fit.forecast import Forecast, score_forecasts
from evenground.fit.stance import fit_stance
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.measure.agreement import agreement
from evenground.measure.study import study
from evenground.measure.suspects import Reading
from evenground.simulate.hipline import HipLinePlayer, player_from_prior, player_from_shape

LOW, HIGH = 0.93, 0.97
CHANCE, UNLIKELY = 0.05, 0.001
SHRINK = 4  # fits of whole curves below the full count: 25 ms each, too dear for a test of every commit
HALF = 2  # and of studies and linear models: 5 ms each

Rng = np.random.Generator


def prove(count: int = 2000, seed: int = 20261125) -> list[dict[str, Any]]:
    """Rows (claim, seen, limit, held)."""
    seeds = np.random.SeedSequence(seed).spawn(6)
    full = count >= 2000
    curves, models = (count if full else max(1, count // share) for share in (SHRINK, HALF))
    return [
        *_study_rows(models, np.random.default_rng(seeds[0])),
        *_agreement_rows(count, np.random.default_rng(seeds[1])),
        *_effect_rows(models, np.random.default_rng(seeds[2])),
        *_repeat_rows(count, np.random.default_rng(seeds[3])),
        *_curve_rows(curves, np.random.default_rng(seeds[4])),
        _forecast_row(count, np.random.default_rng(seeds[5])),
    ]


def coverage(claim: str, held: Iterable[bool]) -> dict[str, Any]:
    """How often a 95 % range held the truth; below the full count three binomial SDs widen the limits."""
    kept = list(held)
    n, share = len(kept), sum(kept) / len(kept)
    room = 3.0 * (0.05 * 0.95 / n) ** 0.5 if n < 2000 else 0.0
    low, high = LOW - room, min(1.0, HIGH + room)
    return {
        "claim": f"{claim} ({n})",
        "seen": f"{share:.3f}",
        "limit": f"{low:.3f} to {high:.3f}",
        "held": bool(low <= share <= high),
    }


def unchanged(claim: str, words: Iterable[str]) -> dict[str, Any]:
    """How often an unchanged player read *changed*, against one in twenty."""
    said = list(words)
    n, wrong = len(said), sum(w == "changed" for w in said)
    p = float(bdtrc(wrong - 1, n, CHANCE)) if wrong else 1.0
    return {
        "claim": f"changed on unchanged players, {claim} ({n})",
        "seen": f"{wrong / n:.3f}, p {p:.2g}",
        "limit": f"p not under {UNLIKELY} for one in twenty",
        "held": p >= UNLIKELY,
    }


def _study_rows(count: int, rng: Rng) -> list[dict[str, Any]]:
    sem, other, icc, again = [], [], [], []
    for _ in range(count):
        people, observers, repeats = (int(rng.integers(*r)) for r in ((6, 13), (2, 4), (3, 5)))
        sd = {"person": 4.0, "observer": rng.uniform(0.0, 2.0), "both": rng.uniform(0.2, 1.0), "repeat": 2.0}
        found = study(_readings(rng, (people, observers, repeats), sd), unit="deg", rng=rng)
        if found.observers is None:
            msg = "a complete table lost its observers"
            raise AssertionError(msg)
        error = sd["observer"] ** 2 + sd["both"] ** 2 + sd["repeat"] ** 2
        forms = {i.form: i.interval for i in found.observers.icc}
        sem.append(found.sem.interval.holds(sd["repeat"]))
        other.append(found.observers.any_sd.interval.holds(error**0.5))
        icc.append(forms["2,1"].holds(16.0 / (16.0 + error)))
        again.append(forms["3,1"].holds(16.0 / (16.0 + error - sd["observer"] ** 2)))
    return [
        coverage("range of the SEM holds the truth", sem),
        coverage("range of the error by any observer holds the truth", other),
        coverage("range of ICC(2,1) holds the truth", icc),
        coverage("range of ICC(3,1) holds the truth", again),
    ]


def _readings(rng: Rng, shape: tuple[int, int, int], sd: dict[str, float]) -> list[Reading]:
    people, observers, _ = shape
    values = (
        rng.normal(0.0, sd["person"], (people, 1, 1))
        + rng.normal(0.0, sd["observer"], (1, observers, 1))
        + rng.normal(0.0, sd["both"], (people, observers, 1))
        + rng.normal(0.0, sd["repeat"], shape)
    )
    return [
        Reading(person=str(i), observer=str(j), repeat=k + 1, value=float(v))
        for (i, j, k), v in np.ndenumerate(values)
    ]


def _agreement_rows(count: int, rng: Rng) -> list[dict[str, Any]]:
    bias, limit = [], []
    for _ in range(count):
        people, repeats = int(rng.integers(8, 25)), int(rng.integers(1, 4))
        level, shift = rng.normal(0.0, 5.0, people), rng.normal(1.0, 1.5, people)
        one = (level + shift)[:, None] + rng.normal(0.0, 1.0, (people, repeats))
        other = level[:, None] + rng.normal(0.0, 2.0, (people, repeats))
        found = agreement(one.tolist(), other.tolist(), unit="deg")
        bias.append(found.bias.interval().holds(1.0))
        limit.append(found.upper_range.holds(1.0 + 1.959964 * (1.5**2 + 1.0 + 4.0) ** 0.5))
    return [
        coverage("interval of the bias of two methods holds the truth", bias),
        coverage("range of the upper limit of agreement holds the truth", limit),
    ]


def _effect_rows(count: int, rng: Rng) -> list[dict[str, Any]]:
    return [
        coverage("interval of what a width does holds the truth, own scatter", _widths(count, rng, None)),
        coverage("interval of what a width does holds the truth, studio's SD", _widths(count, rng, 2.0)),
        coverage("interval of what a grip does holds the truth, in pairs", _pairs(count, rng)),
        coverage("interval of what a width does holds the truth, between placements", _placed(count, rng)),
    ]


def _widths(count: int, rng: Rng, known_sd: float | None) -> Iterable[bool]:
    for _ in range(count):
        n = int(rng.integers(8, 21))
        widths = rng.permutation(np.resize([300.0, 340.0, 380.0, 420.0], n))
        phases = rng.permutation(np.resize([0.0, 1.0], n))
        values = 3.0 * (widths - 300.0) / 120.0 + 1.5 * phases + 0.1 * np.arange(n) + rng.normal(0.0, 2.0, n)
        trials = [
            Trial(value=float(v), conditions={"width_mm": float(w), "phase": str(p)}, order=float(i))
            for i, (v, w, p) in enumerate(zip(values, widths, phases, strict=True))
        ]
        yield _holds(trials, "width_mm", 3.0, known_sd)


def _pairs(count: int, rng: Rng) -> Iterable[bool]:
    for _ in range(count):
        trials = []
        for pair in range(int(rng.integers(3, 9))):
            level = rng.normal(0.0, 2.0)
            for more, grip in ((0.0, "own"), (1.0, "proposed")):
                value = float(level + more + rng.normal(0.0, 1.5))
                trials.append(Trial(value=value, conditions={"grip": grip}, group=str(pair)))
        yield _holds(trials, "grip", 1.0, None)


def _placed(count: int, rng: Rng) -> Iterable[bool]:
    for _ in range(count):
        trials = []
        for placement in range(8):
            level, width = rng.normal(0.0, 2.0), 300.0 + 40.0 * (placement % 4)
            values = level + 2.0 * (width - 300.0) / 120.0 + rng.normal(0.0, 1.5, 3)
            trials += [
                Trial(value=float(v), conditions={"width_mm": width}, group=str(placement)) for v in values
            ]
        yield _holds(trials, "width_mm", 2.0, None)


def _holds(trials: list[Trial], condition: str, truth: float, known_sd: float | None) -> bool:
    found = fit_effects(trials, response="hip line", unit="deg", known_sd=known_sd)
    change = next(e.change for e in found.effects if e.condition == condition)
    return change is not None and change.interval().holds(truth)


def _repeat_rows(count: int, rng: Rng) -> list[dict[str, Any]]:
    rows = []
    for words, known, shift in (
        ("their own scatter", None, 0.0),
        ("the studio's SD", 2.0, 0.0),
        ("another observer, studied", 2.0, 1.0),
    ):
        rows.append(unchanged(words, _repeats(count, rng, known, shift)))
    return rows


def _repeats(count: int, rng: Rng, known_sd: float | None, shift_sd: float) -> Iterable[str]:
    for _ in range(count):
        level = rng.normal(0.0, 5.0)
        figures = []
        for _visit in range(2):
            values = level + rng.normal(0.0, shift_sd) + rng.normal(0.0, 2.0, int(rng.integers(3, 7)))
            figures.append(Figure(value=from_repeats(values.tolist(), unit="deg", known_sd=known_sd)))
        yield compare_figures("x", "x", *figures, matters=5.0, visit_sd=shift_sd).word


def _curve_rows(count: int, rng: Rng) -> list[dict[str, Any]]:
    """Whole hip-line curves at two visits, and the studio whose readings are as coarse as 3 deg."""
    line, width = [], []
    for i in range(count):
        player = (player_from_prior if i % 2 else player_from_shape)(rng)
        first, second = (_fit(player, rng, player.noise_deg, 10) for _ in range(2))
        best = first.families["irons"].best_width_mm
        figures = [Figure(value=_at(fit, best)) for fit in (first, second)]
        line.append(compare_figures("x", "x", *figures, matters=2.0).word)
        widths = [fit.families["irons"].width_mm for fit in (first, second)]
        if None not in widths:
            width.append(compare_figures("x", "x", *(Figure(value=w) for w in widths), matters=25.0).word)
    return [
        unchanged("hip line at the card's width", line),
        unchanged("squarest width", width) if width else _nobody("squarest width"),
        _coarse(count, rng),
    ]


def _nobody(claim: str) -> dict[str, Any]:
    return {"claim": claim, "seen": "no player", "limit": "some", "held": False}


def _coarse(count: int, rng: Rng) -> dict[str, Any]:
    answers, margins = [], set()
    draw: Callable[[Rng], HipLinePlayer] = player_from_prior
    for _ in range(count):
        fit = _fit(draw(rng), rng, 3.0, 8)
        answers.append(fit.families["irons"].answer)
        margins.add(fit.margin_deg)
    square = sum(a == "square" for a in answers) / count
    told = sum(a == "cannot tell" for a in answers) / count
    return {
        "claim": f"SEM 3 deg and eight trials: never square by a wider margin ({count})",
        "seen": f"margin {sorted(margins)}, square {square:.3f}, cannot tell {told:.2f}",
        "limit": "margin 2.0 alone, square under 0.05",
        "held": margins == {2.0} and square < 0.05,
    }


def _fit(player: HipLinePlayer, rng: Rng, noise_deg: float, trials: int) -> StanceFit:
    widths = rng.permutation(np.resize(np.linspace(0.15, 0.34, 5) * player.stature_mm, trials))
    read = [player.read(i, float(w), rng) for i, w in enumerate(widths, 1)]
    # The player's own noise is made what the studio knows, so that only the question asked is tried.
    read = [_noisy(r, player, noise_deg, rng) for r in read]
    options = StanceOptions(noise_deg=noise_deg, draws=64)
    return fit_stance(read, options=options, stature_mm=player.stature_mm, as_arrived_mm={}, rng=rng)


def _noisy(trial: Any, player: HipLinePlayer, noise_deg: float, rng: Rng) -> Any:
    from dataclasses import replace

    truth = player.truth_deg(trial.width_mm, trial.trial)
    return replace(trial, hip_line_deg=float(truth + rng.normal(0.0, noise_deg)))


def _at(fit: StanceFit, width_mm: float) -> Estimate:
    curve = next((c.curve for c in fit.conditions if "irons" in c.families), fit.curve)
    point = min(curve, key=lambda p: abs(p.width_mm - width_mm))
    return Estimate(value=point.mean_deg, se=point.sd_deg, unit="deg")


def _forecast_row(count: int, rng: Rng) -> dict[str, Any]:
    """A studio whose chances are right must be told so: its gap's interval holds 0 as often as it claims."""
    held = []
    for _ in range(count):
        said = rng.uniform(0.3, 0.98, 60)
        came = (rng.random(60) < said).astype(float)
        found = score_forecasts([Forecast(what="x", said=s, came=c) for s, c in zip(said, came, strict=True)])
        held.append(found.gap_interval.holds(0.0))
    return coverage("interval of said less come holds 0 for right chances", held)
