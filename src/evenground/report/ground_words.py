"""What the placements say together, in sentences: ways of standing compared, and the player weighed."""

from collections.abc import Iterator
from typing import Any

from evenground.estimate import Estimate
from evenground.findings import Findings
from evenground.report.words import estimate_text, joined
from evenground.units import LengthSystem

__all__ = ["FIGURE_WORDS", "change_sentences", "ground_sentences", "signed_text", "weight_sentences"]

FIGURE_WORDS = {
    "feet.left.load_percent": "load on the left foot",
    "feet.left.toe_out_deg": "toe-out, left",
    "feet.right.toe_out_deg": "toe-out, right",
    "feet.left.heel_load_percent": "load on the left heel",
    "feet.right.heel_load_percent": "load on the right heel",
    "stance_width_mm.heel_centres": "width, heel centres",
    "fore_aft_offset_mm": "lead foot ahead",
    "heel_line_deg": "heel line, + open",
    "load_line_deg": "load line to heel line, + open",
    "cop_mm.x": "CoP to the right",
    "cop_mm.y": "CoP ahead of the heels",
}


def ground_sentences(findings: Findings, system: LengthSystem) -> Iterator[str]:
    """Comparisons first, then the player's weight by the mat where it disagrees."""
    yield from change_sentences(findings, system)
    yield from weight_sentences(findings)


def change_sentences(findings: Findings, system: LengthSystem) -> Iterator[str]:
    """One sentence a comparison: what differs with its range, and in how much else nothing shows."""
    for finding in findings.findings:
        if finding.kind.startswith("ground change.") and finding.value is not None:
            yield _compared(finding.kind, finding.value, system)


def _compared(kind: str, value: Any, system: LengthSystem) -> str:
    under = ", ".join(kind.split(".")[2:])
    head = f"From {value.before} to {value.after} ({under}): "
    shown = [
        f"{FIGURE_WORDS[f.figure]} {signed_text(f.difference, system)}" for f in value.figures if f.shown
    ]
    rest = len(value.figures) - len(shown)
    if not shown:
        return f"{head}no difference shows in {rest} figures."
    return f"{head}{joined(shown)}; no difference shows in {rest} others."


def signed_text(difference: Estimate, system: LengthSystem) -> str:
    """A difference with its sign and its range."""
    text = estimate_text(difference, system)
    return f"+{text}" if difference.value > 0.0 else text


def weight_sentences(findings: Findings) -> Iterator[str]:
    """What is wrong with force or mass, one sentence a thing; nothing where they agree."""
    weighed = findings.value("weight")
    if weighed is not None:
        yield from (mismatch.text for mismatch in weighed.mismatches)
