"""Practice since the earlier visit, held against what that visit's card let one expect."""

from collections.abc import Iterator

from evenground.assess.change_lines import Told
from evenground.fit.forecast import Forecast
from evenground.fit.practice import (
    AimForecast,
    PracticeCompared,
    PracticeScore,
    compare_practice,
    expected_shares,
    score_practice,
)
from evenground.report.extras_words import practice_words, score_words

__all__ = ["practice_forecasts", "practice_notes", "practised"]


def practised(before: Told, after: Told) -> tuple[tuple[PracticeScore, AimForecast], ...]:
    """Each gate practised between the two visits, with the earlier aims under the condition tried last."""
    forecast = _card_aim(before)
    since = [e for e in after.visit.practice if before.visit.day <= e.day <= after.visit.day]
    if forecast is None or not sum(e.rolled for e in since):
        return ()
    return tuple((score, forecast) for score in score_practice(since))


def _card_aim(told: Told) -> AimForecast | None:
    aim = told.visit.aim
    if aim is None or not aim.trials:
        return None
    conditions = dict.fromkeys(t.condition for t in aim.trials)
    found = [f for c in conditions if (f := told.finding(f"aim.{c}")) is not None and f["value"] is not None]
    if not found:
        return None
    value = found[-1]["value"]  # the condition that the player left with, as the card draws it
    return AimForecast(
        bias_deg=float(value["bias_deg"]["value"]),
        spread_deg=float(value["spread_deg"]["value"]),
        n=int(value["bias_deg"]["n"]),
        face_share=float(value["face_share"]),
    )


def practice_forecasts(before: Told, after: Told) -> Iterator[Forecast]:
    """The share that the card let one expect, and the share that passed."""
    for score, aim in practised(before, after):
        yield Forecast(
            what=f"practice: passes a {score.gate_mm:g} mm gate at {score.distance_m:g} m",
            said=float(expected_shares(aim, score.gate_mm, score.distance_m).mean()),
            came=score.share,
        )


def practice_notes(before: Told, after: Told) -> tuple[str, ...]:
    """The same in sentences, as the page of changes prints its notes."""
    return tuple(_words(compare_practice(score, aim)) for score, aim in practised(before, after))


def _words(compared: PracticeCompared) -> str:
    beside = practice_words(compared).replace("The aim check", "The earlier card", 1)
    return f"practice since then: {score_words(compared.score)} {beside}".removesuffix(".")
