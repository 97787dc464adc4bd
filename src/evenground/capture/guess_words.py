"""What the words at the top of an unknown export say of its mat: size, pitch, unit, rate."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Said", "said_in"]

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_BY = r"\s*(?:x|\u00d7|\*|by)\s*"
_ROWS = re.compile(r"\b(?:rows?|lines per frame|zeilen|reihen)\b\W{0,4}(\d+)", re.I)
_COLUMNS = re.compile(r"\b(?:col(?:umn)?s?|spalten)\b\W{0,4}(\d+)", re.I)
_GRID = re.compile(rf"\b(\d{{1,4}}){_BY}(\d{{1,4}})\b(?!\s*(?:mm|cm|[.,]\d))", re.I)
_PITCH = re.compile(
    rf"(?:pitch|spacing|cell|sensel|resolution|raster|abstand)[^\d\n]{{0,30}}{_NUMBER}(?:{_BY}{_NUMBER})?\s*(mm|cm)\b",
    re.I,
)
_RATE = re.compile(rf"{_NUMBER}\s*(?:hz\b|fps\b|frames\s*(?:/|per)\s*s|samples\s*(?:/|per)\s*s)", re.I)
_RATE_AHEAD = re.compile(
    rf"(?:rate|frequency|frequenz|fps|hz)[^\d\n]{{0,20}}{_NUMBER}(?!\s*(?:ms|s)\b)", re.I
)
_STEP = re.compile(rf"(?:interval|period|time step)[^\d\n]{{0,20}}{_NUMBER}\s*(ms|s)\b", re.I)
_UNITS = (
    ("kPa", re.compile(r"\bkpa\b|\bkn\s*/\s*m(?:2|\u00b2)", re.I)),
    ("N/cm2", re.compile(r"\bn\s*/\s*(?:sq\s*)?cm\s*(?:2|\u00b2|\^2)?(?![a-z])", re.I)),
    ("psi", re.compile(r"\bpsi\b", re.I)),
    ("counts", re.compile(r"\b(?:raw|counts?|digits?|adc)\b", re.I)),
    ("N", re.compile(r"\bnewtons?\b|[\[(]\s*N\s*[\])]|\bunits?\W{1,3}N\b")),
)
_MILLISECONDS = re.compile(r"\bms\b|millisec", re.I)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What words say, each with the words that said it; None for what they don't."""

    rows: tuple[int, str] | None = None
    columns: tuple[int, str] | None = None
    pitch_mm: tuple[list[float], str] | None = None
    rate_hz: tuple[float, str] | None = None
    unit: tuple[str, str] | None = None
    milliseconds: str | None = None


def said_in(lines: Sequence[str]) -> Said:
    """Look for sizes, pitch, unit and rate in lines of words.

    Examples
    --------
    >>> said_in(["rows: 48, columns: 64", "pitch 8.5 mm, 50 Hz"]).rate_hz
    (50.0, '50 Hz')
    """
    text = "\n".join(line[:400] for line in lines)
    rows, columns = _first(_ROWS, text), _first(_COLUMNS, text)
    grid = _GRID.search(text)
    if grid is not None and rows is None and columns is None:
        rows, columns = (int(grid[1]), grid[0]), (int(grid[2]), grid[0])
    millis = _MILLISECONDS.search(text)
    return Said(
        rows=rows,
        columns=columns,
        pitch_mm=_pitch(text),
        rate_hz=_rate(text),
        unit=next(((unit, m[0].strip()) for unit, m in ((u, p.search(text)) for u, p in _UNITS) if m), None),
        milliseconds=None if millis is None else millis[0],
    )


def _first(pattern: re.Pattern[str], text: str) -> tuple[int, str] | None:
    found = pattern.search(text)
    return None if found is None else (int(found[1]), found[0])


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def _pitch(text: str) -> tuple[list[float], str] | None:
    found = _PITCH.search(text)
    if found is None:
        return None
    factor = 10.0 if found[3].lower() == "cm" else 1.0
    across = _value(found[1]) * factor
    along = across if found[2] is None else _value(found[2]) * factor
    return ([across, along], found[0]) if min(across, along) > 0.5 and max(across, along) <= 60.0 else None


def _rate(text: str) -> tuple[float, str] | None:
    step = _STEP.search(text)
    if step is not None and _value(step[1]) > 0.0:
        seconds = _value(step[1]) * (0.001 if step[2].lower() == "ms" else 1.0)
        return 1.0 / seconds, step[0]
    found = _RATE.search(text) or _RATE_AHEAD.search(text)
    if found is None or not 0.0 < _value(found[1]) <= 10_000.0:
        return None
    return _value(found[1]), found[0]
