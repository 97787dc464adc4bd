"""Held load and practice in sentences, the same for the command line, the pages and overleaf."""

from evenground.fit.held_load import HeldLoadFit, LoadLimit, load_moment_nm
from evenground.fit.held_load_constants import FIRST_KG
from evenground.fit.practice import PracticeCompared, PracticeScore
from evenground.report.words import MINUS

__all__ = ["LOAD_CAUTIONS", "held_load_words", "limit_words", "practice_words", "score_words"]

ARM_M = 0.60

LOAD_CAUTIONS = (
    "Only for a player whom the screening cleared, standing on two feet, with sound back and shoulders.",
    f"Start with {FIRST_KG.value:g} kg, in both arms, close to the chest; breathe on, ten seconds at most.",
    "Clear floor, no socks, somebody within reach; set the mass down on a table, not on the floor.",
    "Stop at pain, dizziness, numbness, breathlessness, or the wish to stop.",
    "Nothing here is medical advice; who is unsure asks a licensed practitioner first.",
)


def limit_words(limit: LoadLimit) -> str:
    """How much this player holds at most, and what the same mass asks at arm's length."""
    moment = load_moment_nm(limit.most_kg, ARM_M)
    return (
        f"At most {limit.most_kg:.1f} kg ({limit.why}), and close: at arm's length it would ask "
        f"{moment:.0f} N m of the shoulders."
    )


def _signed(value: float) -> str:
    return f"{value:+.0f}".replace("-", MINUS)


def held_load_words(fit: HeldLoadFit) -> str:
    """Predicted and observed shift, and whether they agree."""
    seen, told = fit.observed_mm, fit.predicted_mm
    head = (
        f"{fit.load_kg:g} kg at the chest should move the balance {_signed(told.value)} mm (± "
        f"{told.half_width():.0f}) ahead if the body does not give way; it moved {_signed(seen.value)} mm (± "
        f"{seen.half_width():.0f}): {fit.word}."
    )
    if fit.body_moved_mm is not None:
        moved = fit.body_moved_mm
        way = "back" if moved.value < 0.0 else "ahead"
        return f"{head} The body itself went {abs(moved.value):.0f} mm (± {moved.half_width():.0f}) {way}."
    if fit.word == "cannot tell":
        if fit.more_pairs is None:
            return (
                f"{head} No number of pairs settles it with this load; a heavier one may, within the limit."
            )
        return f"{head} About {fit.more_pairs} more pairs would tell."
    return head


def score_words(score: PracticeScore) -> str:
    """How many passed, and what that says of the true share."""
    low, high = 100.0 * score.interval.low, 100.0 * score.interval.high
    days = f"{score.days} day{'' if score.days == 1 else 's'}"
    return (
        f"Gate {score.gate_mm:g} mm at {score.distance_m:g} m: {score.passed} of {score.rolled} passed on "
        f"{days}, that is {100.0 * score.share:.0f} in 100 ({low:.0f} to {high:.0f})."
    )


def practice_words(compared: PracticeCompared) -> str:
    """A score beside what the aim check expects of it."""
    wide = compared.expected_interval
    why = f" ({compared.why})" if compared.why else ""
    return (
        f"The aim check expects {100.0 * compared.expected:.0f} in 100 ({100.0 * wide.low:.0f} to "
        f"{100.0 * wide.high:.0f}): {compared.word}{why}."
    )
