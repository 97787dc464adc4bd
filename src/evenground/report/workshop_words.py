"""What the workshop's steps and its tape say, in sentences; the same on the command line and in the app."""

from evenground.fit.tape import TapeLearned
from evenground.fit.workshop import Judgement, Standing, next_build

__all__ = ["again_sentence", "judged_sentence", "standing_sentence", "tape_sentence"]


def judged_sentence(judged: Judgement) -> str:
    """What came back beside what was ordered, with the chance that it truly is within the tolerance."""
    percent = 100.0 * judged.chance
    said = f"{percent:.0f}"
    if not 1.0 <= percent <= 99.0:
        said = "under 1" if percent < 1.0 else "over 99"
    return f"{judged.text} Chance that it truly is within: {said} %."


def standing_sentence(standing: Standing) -> str:
    """Where a club stands, and what came back beside what was ordered."""
    said = f"{standing.line.mark} is {standing.state}."
    judged = standing.judgement
    if judged is None:
        return said
    return f"{said} {judged_sentence(judged) if standing.state == 'measured' else judged.text}"


def tape_sentence(learned: TapeLearned | None) -> str:
    """What the finished grips say of the tape."""
    if learned is None:
        return "No finished grip was measured, so the tape stays as it is."
    if not learned.fits:
        return (
            "No thickness of tape explains what came back: check the grip's mark, the butt and the layers. "
            "The tape stays as it is."
        )
    double, up = learned.double_sided_mm, learned.build_up_mm
    halves = f"{double.half_width():.3f}", f"{up.half_width():.3f}"
    grips = f"{learned.pieces} finished grip{'' if learned.pieces == 1 else 's'}"
    return (
        f"By {grips} a layer of double-sided tape is {double.value:.3f} ± {halves[0]} mm thick, a layer of "
        f"build-up {up.value:.3f} ± {halves[1]} mm."
    )


def again_sentence(standing: Standing, learned: TapeLearned | None) -> str:
    """How to build a club again that is out of tolerance; empty for all others."""
    judged = standing.judgement
    if learned is None or judged is None or judged.within or standing.state not in ("measured", "back"):
        return ""
    found = next_build(standing, learned.tape)
    if found is None:
        return "Fit another grip: this one has no tape to change."
    sizes = [f"{mm:.1f}" for mm in (found.expected_mm.upper, found.expected_mm.lower) if mm is not None]
    said = (
        f"Built again with {found.layers.upper} / {found.layers.lower} layers it is expected at "
        f"{' and '.join(sizes)} mm"
    )
    return f"{said}." if found.within else f"{said}, still out of tolerance: take another grip."
