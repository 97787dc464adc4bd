"""The figures of an instrument's check in words, for the screen and the command line alike."""

from collections.abc import Sequence

from evenground.instruments import Cell, DeadWeight, EmptyMat, Figures, FlippedBar, KnownWeight
from evenground.measure.instrument_bar import bar_error_deg, print_scale

__all__ = ["figure_lines"]

_MOST_CELLS = 6


def figure_lines(figures: Figures) -> list[tuple[str, str]]:
    """What was found, as (what, how much), most telling first."""
    if isinstance(figures, EmptyMat):
        return _empty(figures)
    if isinstance(figures, DeadWeight):
        return _dead(figures)
    if isinstance(figures, KnownWeight):
        return _known(figures)
    if isinstance(figures, FlippedBar):
        error = bar_error_deg(figures)
        return [
            ("the bar's own error", f"{error.value:+.2f} ± {error.half_width():.2f} deg, as it usually lies"),
            ("readings", f"{len(figures.normal_deg)} as always, {len(figures.flipped_deg)} flipped"),
        ]
    scale = print_scale(figures)
    half = scale.half_width() * figures.nominal_mm
    return [
        (f"{figures.nominal_mm:g} mm came out as", f"{scale.value * figures.nominal_mm:.2f} ± {half:.2f} mm"),
        ("a strip of 500 mm would be off by", f"{500.0 * (scale.value - 1.0):+.1f} mm"),
    ]


def _empty(figures: EmptyMat) -> list[tuple[str, str]]:
    kinds = (
        ("dead", figures.dead),
        ("stuck", figures.stuck),
        ("noisy", figures.noisy),
        ("drifting", figures.drifting),
    )
    return [
        ("noise of a cell", f"{figures.noise:.3g} {figures.unit}"),
        ("offset of a cell", f"{_plain(figures.offset)} {figures.unit}"),
        ("drift of all cells", f"{_plain(figures.drift_per_min)} {figures.unit} a minute"),
        *((f"{name} cells", _cells(cells)) for name, cells in kinds),
    ]


def _plain(value: float, digits: int = 2) -> str:
    """A number with its sign; nothing has none."""
    return f"{round(value, digits) + 0.0:.{digits}f}"


def _cells(cells: Sequence[Cell]) -> str:
    if not cells:
        return "none"
    shown = ", ".join(f"row {r + 1} column {c + 1}" for r, c in cells[:_MOST_CELLS])
    more = f" and {len(cells) - _MOST_CELLS} more" if len(cells) > _MOST_CELLS else ""
    return f"{len(cells)}: {shown}{more}"


def _dead(figures: DeadWeight) -> list[tuple[str, str]]:
    lines = [
        ("velocity of the CoP", f"{figures.velocity_mm_s:.2f} mm/s at {figures.rate_hz:g} Hz"),
        ("path", f"{figures.path_mm:.0f} mm in {figures.duration_s:.0f} s"),
        ("95 % ellipse", f"{figures.ellipse95_mm2:.3g} mm^2"),
        ("CoP wandered", f"{figures.crept_mm:.2f} mm"),
        ("force crept", f"{_plain(figures.crept_percent, 1)} %"),
    ]
    if figures.reads_n is not None:
        lines.insert(0, (f"{figures.mass_kg:g} kg reads", f"{figures.reads_n:.1f} N"))
    return lines


def _known(figures: KnownWeight) -> list[tuple[str, str]]:
    lines = [
        (
            f"{mass:g} kg at {x:.0f}, {y:.0f} mm",
            f"{100.0 * (gain - 1.0):+.1f} ± {196.0 * se:.1f} %",
        )
        for x, y, mass, gain, se in zip(
            figures.x_mm, figures.y_mm, figures.mass_kg, figures.gain, figures.gain_se, strict=True
        )
    ]
    if figures.counts_per_n is not None:
        lines.append(("counts a newton", f"{figures.counts_per_n:.3g}"))
    return lines
