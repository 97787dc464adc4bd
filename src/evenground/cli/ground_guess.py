"""`evenground ground FILE --guess`: a layout proposed for an unknown export, its reasons and its picture."""

from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Literal

from evenground.cli.common import progress, show, table
from evenground.errors import CaptureError

if TYPE_CHECKING:
    from evenground.capture.guess import Guess, Stated
    from evenground.measure.recording import MatRecording

__all__ = ["GuessOptions", "PitchTextError", "draw", "guess"]

_BECAUSE = 62  # letters of a reason in one line
_TRUST = {"read": "", "likely": "likely", "check": "check this"}


class PitchTextError(CaptureError):
    """A pitch that cannot be read."""

    do = 'Give millimetres, as "8.5", or "8.5x5" for columns and rows that differ.'

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.where, self.what = "--pitch-mm", f'"{text}" is no pitch.'


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessOptions:
    """What was given on the command line beside the file."""

    write_layout: Path | None
    picture: Path | None
    pitch_mm: str | None
    rate_hz: float | None
    unit: str | None
    mass_kg: float | None
    turn: int
    mirror: bool
    handed: Literal["right", "left"]


def guess(file: Path, options: GuessOptions, *, as_json: bool) -> None:
    """Propose a layout, show its reasons and its picture, and keep it where asked."""
    from evenground.capture.guess import guess_layout, mean_of
    from evenground.capture.layout import layout_toml
    from evenground.capture.text import opened
    from evenground.capture.textgrid import oriented_geometry
    from evenground.report.mat_drawing import mat_letters

    with opened(file) as stream, progress("Looking"):
        found = guess_layout(stream, file=file.name, stated=_stated(options))
        mean, _ = mean_of(stream, found.layout, file=file.name)
    pitches, _ = oriented_geometry(found.layout)
    if options.write_layout is not None:
        options.write_layout.write_text(layout_toml(found.layout), "utf-8")
    if options.picture is not None:
        draw(mean, pitches, options.picture, options.handed)
    letters = mat_letters(mean, *pitches, options.handed)
    plain = {"layout": found.layout.model_dump(), "reasons": found.reasons}
    show(plain, as_json=as_json, text=_text(file, found, letters, options.write_layout))


def draw(mean: "MatRecording | object", pitches: tuple[float, float], path: Path, handed: str) -> None:
    """Write the picture of a mean map from above, SVG or PDF."""
    from evenground.report.charts import write_chart
    from evenground.report.mat_drawing import mat_drawing

    drawing = mat_drawing(mean, *pitches, handed)  # type: ignore[arg-type]
    write_chart(drawing, path, title="The mat seen from above: pressure as ink", wide_mm=140.0)


def _stated(options: GuessOptions) -> "Stated":
    from evenground.capture.guess import Stated

    return Stated(
        pitch_mm=_pitch(options.pitch_mm),
        rate_hz=options.rate_hz,
        unit=options.unit,
        mass_kg=options.mass_kg,
        turn_deg=options.turn,
        mirror=options.mirror,
    )


def _pitch(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    try:
        parts = [float(part) for part in text.lower().split("x")]
    except ValueError as exc:
        raise PitchTextError(text) from exc
    if len(parts) not in (1, 2) or not all(0.5 < part <= 60.0 for part in parts):
        raise PitchTextError(text)
    return parts[0], parts[-1]


def _text(file: Path, found: "Guess", letters: str, kept: Path | None) -> str:
    rows = [
        (r.key if k == 0 else "", r.value if k == 0 else "", _TRUST[r.trust] if k == 0 else "", line)
        for r in found.reasons
        for k, line in enumerate(wrap(r.why, _BECAUSE))
    ]
    parts = [letters, table(rows, header=("key", "proposed", "", "because"))]
    if any(r.trust == "check" for r in found.reasons):
        parts.append(
            "Look at the picture: toes at the top, the left foot on the left? If not, add --turn 90, 180 or\n"
            "270 (counter-clockwise), or --mirror. What is marked check this, nothing in the file can tell."
        )
    name = "LAYOUT.toml" if kept is None else str(kept)
    keep = (
        "" if kept is not None else f"Keep it: evenground ground {file.name} --guess --write-layout {name}\n"
    )
    parts.append(f"{keep}Use it:  evenground ground {file.name} --layout {name}")
    return "\n\n".join(parts)
