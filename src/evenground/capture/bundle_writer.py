"""Writes a visit, its studio and its recordings as a bundle folder that `read_bundle` reads back the same."""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

from evenground.capture.bundle_files import safe_name
from evenground.capture.fields import read_toml
from evenground.capture.instrument_file import instruments_lines
from evenground.capture.library_file import cues_lines, routine_lines
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.capture.toml_text import entries as _entries
from evenground.capture.toml_text import entry as _entry
from evenground.capture.toml_text import given as _given
from evenground.capture.toml_text import table as _table
from evenground.capture.toml_text import value as _value
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.errors import CaptureError
from evenground.floor import Side
from evenground.visit import BodyCheck, HandSize, StudioSnapshot, Visit

__all__ = ["FolderTakenError", "Tape", "UnwritableVisitError", "studio_toml", "visit_toml", "write_bundle"]

Tape = Literal["metric", "inch"]
"""How sizes off a tape are written: in millimetres, or in feet and inches wherever those are exact."""

_INCH_MM = Fraction(254, 10)
_EIGHTHS = 8
_TABLES = ("settings", "errors", "grip_model", "instruments", "routine")
"""What `studio.toml` holds as tables."""


class FolderTakenError(CaptureError):
    """There is something in the folder already, and a bundle never replaces readings."""

    do = "Name a new or an empty folder."

    def __init__(self, folder: str) -> None:
        super().__init__(folder)
        self.where = folder
        self.what = "This is not an empty folder."


class UnwritableVisitError(CaptureError):
    """The visit holds what `visit.toml` has no place for."""

    do = "Leave that reading out, or keep the visit as readings instead."

    def __init__(self, visit: str, what: str) -> None:
        super().__init__(visit, what)
        self.where = visit
        self.what = f"The visit cannot be written as a file: {what}."


def write_bundle(
    folder: Path,
    visit: Visit,
    studio: StudioSnapshot,
    blobs: Mapping[str, bytes],
    *,
    tape: Tape = "metric",
) -> None:
    """Write a bundle folder.

    Parameters
    ----------
    folder
        Made when it is not there; has to be empty.
    visit, studio
        What to write. Nothing is rounded: reading the bundle gives both back equal.
    blobs
        Recordings, layouts, stock list by their name in the bundle; every one that is named has to be there.
    tape
        ``inch`` writes body sizes and club lengths that are whole eighths of an inch as text.

    Raises
    ------
    FolderTakenError
        When the folder holds something, or is a file.
    UnwritableVisitError
        When the visit or the studio could not be read back the same, or a file they name is not in `blobs`.
    """
    texts = {"visit.toml": visit_toml(visit, tape=tape), "studio.toml": studio_toml(studio)}
    _check(texts, visit, studio, blobs)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FolderTakenError(str(folder))
    for name, content in {**blobs, **{n: t.encode() for n, t in texts.items()}}.items():
        path = folder / safe_name(visit.visit, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _check(
    texts: Mapping[str, str], visit: Visit, studio: StudioSnapshot, blobs: Mapping[str, bytes]
) -> None:
    named = {name for p in visit.ground for name in (p.recording, p.layout) if name is not None}
    named |= {v.photo for v in visit.posture_views if v.photo is not None}
    named |= {n for p in visit.held_load for n in p.recordings}
    named |= set() if studio.stock is None else {studio.stock}
    if not named <= set(blobs):
        raise UnwritableVisitError(
            visit.visit, f"{', '.join(sorted(named - set(blobs)))} is not among its files"
        )
    try:
        again = visit_from(read_toml(texts["visit.toml"].encode(), VisitFile, file="visit.toml"))
        room = studio_from(read_toml(texts["studio.toml"].encode(), StudioFile, file="studio.toml"))
    except CaptureError as exc:
        raise UnwritableVisitError(visit.visit, str(exc).removesuffix(".")) from exc
    for one, other, what in ((visit, again, "visit"), (studio, room, "studio")):
        for name in (f.name for f in fields(one)):
            if getattr(one, name) != getattr(other, name):
                raise UnwritableVisitError(visit.visit, f"{what}.{name} would be read back differently")


def visit_toml(visit: Visit, *, tape: Tape = "metric") -> str:
    """The text of `visit.toml`, widths between heel centres."""
    lines = [
        "format = 1",
        f"visit = {_value(visit.visit)}",
        f"date = {visit.day.isoformat()}",
        f"teacher = {_value(visit.teacher)}",
        'width_convention = "heel centres"',
    ]
    lines += _table("player", _given(visit.player))
    lines += [] if visit.shoes is None else _table("shoes", _given(visit.shoes))
    lines += [] if visit.screening is None else _table("safety", {"screening": visit.screening})
    lines += _entries("as_arrived", visit.as_arrived)
    lines += [] if visit.body is None else _body(visit.body, tape)
    for hand in visit.hands:
        lines += _table(f"hands.{hand.side}", _hand(hand))
    for club in visit.own_clubs:
        lines += _entry("own_clubs", _taped(_given(club), ("length_mm",), tape))
    lines += _entries("ball", visit.ball)
    lines += _entries("ground", visit.ground)
    for name, check in (("hip_line", visit.hip_line), ("grip", visit.grip), ("aim", visit.aim)):
        if check is not None:
            plain = _given(check)
            lists = {k: plain.pop(k) for k in ("trials", "eyes", "full_swing") if k in plain}
            lines += _table(name, plain)
            lines += [line for k, found in lists.items() for line in _entries(f"{name}.{k}", found)]
    lines += _entries("posture", visit.posture)
    lines += _entries("posture_views", visit.posture_views)
    lines += _entries("turn", visit.turn)
    lines += _entries("routine", visit.routine)
    lines += _entries("held_load", visit.held_load)
    lines += _entries("practice", visit.practice)
    lines += [] if visit.cue_choice is None else _table("cue_choice", _given(visit.cue_choice))
    lines += _table("skipped", dict(visit.skipped)) if visit.skipped else []
    return "\n".join(lines) + "\n"


def studio_toml(studio: StudioSnapshot) -> str:
    """The text of `studio.toml`."""
    plain = {k: v for k, v in _given(studio).items() if k not in _TABLES}
    lines = ["format = 1", *(f"{k} = {_value(v)}" for k, v in plain.items())]
    lines += _table("settings", {k: v for k, v in _given(studio.settings).items() if k != "cues"})
    lines += [] if studio.settings.cues is None else cues_lines(studio.settings.cues)
    lines += _table("errors", _given(studio.errors))
    lines += [] if studio.grip_model is None else _table("grip_model", _given(studio.grip_model))
    lines += instruments_lines(studio.instruments)
    lines += [] if studio.routine is None else routine_lines(studio.routine)
    return "\n".join(lines) + "\n"


def _hand(hand: HandSize) -> dict[str, Any]:
    return {k: v for k, v in _given(hand).items() if k != "side"}


def _body(body: BodyCheck, tape: Tape) -> list[str]:
    values: dict[str, Any] = _sizes(body, None)
    plain = {k: getattr(body, k) for k in ("mass_kg", "shoe_size")}
    values |= {k: v for k, v in plain.items() if v is not None}
    if body.seated:
        values["seated"] = True
    lines = _table("body", _taped(values, tuple(values), tape))
    for side in ("left", "right"):
        sided = _sizes(body, side)
        lines += _table(f"body.{side}", _taped(sided, tuple(sided), tape)) if sided else []
    return lines + (_table("body.limbs", dict(body.limbs)) if body.limbs else [])


def _sizes(body: BodyCheck, side: Side | None) -> dict[str, Any]:
    """The sizes of one side by key; of a size twice there the later, which is refused on reading back."""
    return {
        f"{s.name}_mm": s.readings_mm if len(s.readings_mm) != 1 else s.readings_mm[0]
        for s in body.sizes
        if s.side == side
    }


def _taped(values: Mapping[str, Any], names: Iterable[str], tape: Tape) -> dict[str, Any]:
    """The same values, those among `names` as feet and inches under the name without a unit if they fit."""
    wanted = {n for n in names if n.endswith("_mm")} if tape == "inch" else set()
    written: dict[str, Any] = {}
    for name, value in values.items():
        text = _inches(value) if name in wanted else None
        written |= {name: value} if text is None else {name.removesuffix("_mm"): text}
    return written


def _inches(value: Any) -> Any:
    """``5 ft 10 1/4 in`` for a length that is exactly that, for each of several; None if one is not."""
    if isinstance(value, tuple):
        texts = [_inches(v) for v in value]
        return None if None in texts else texts
    eighths = round(Fraction(value) / _INCH_MM * _EIGHTHS)
    if eighths <= 0 or float(Fraction(eighths, _EIGHTHS) * _INCH_MM) != value:
        return None
    feet, rest = divmod(eighths, 12 * _EIGHTHS) if eighths >= 48 * _EIGHTHS else (0, eighths)
    whole, part = divmod(rest, _EIGHTHS)
    fraction = f" {Fraction(part, _EIGHTHS)}" if part else ""
    return f"{f'{feet} ft ' if feet else ''}{whole}{fraction} in"
