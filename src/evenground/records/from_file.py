"""The readings that a hand-typed `visit.toml` amounts to: the way back from `assemble`."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, time
from typing import Any
from uuid import UUID, uuid5

from evenground.capture.fields import Typed
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.errors import RecordsError
from evenground.records.assemble import assemble
from evenground.records.entries import Entry
from evenground.records.reading_kinds import KINDS

__all__ = ["TwiceInTheFileError", "entries_from"]

Said = tuple[str, dict[str, Any]]
ENTRIES = ("trials", "eyes", "full_swing", "allowed_mm")
"""Fields of a check that hold entries of their own."""


class TwiceInTheFileError(RecordsError):
    """A visit file that says one thing twice, so that one of the two would be lost as readings."""

    do = "Give every trial its own number, every hand-typed recording its own name; then import it again."

    def __init__(self, visit: str) -> None:
        super().__init__(visit)
        self.where = visit
        self.what = "Two entries of the visit stand for the same trial or recording."


def entries_from(file: VisitFile, visit_id: UUID, digests: Mapping[str, str], *, by: str = "") -> list[Entry]:
    """A log of readings that assembles to the same visit; the same file always gives the same log.

    Raises
    ------
    TwiceInTheFileError
        When the file holds two entries that one log cannot tell apart.
    """
    noon = datetime.combine(file.date, time(12), tzinfo=UTC)
    entries = []
    for seq, (kind, payload) in enumerate(_said(file), start=1):
        checked = KINDS[kind].checked(payload)
        entries.append(
            Entry(
                id=uuid5(visit_id, f"{seq} {kind}"),
                seq=seq,
                kind=kind,
                version=KINDS[kind].version,
                payload=checked,
                at=noon,
                by=by,
                blobs={name: digests[name] for name in KINDS[kind].files_in(checked)},
            )
        )
    told = visit_from(file)
    told = replace(told, ball=tuple(b for b in told.ball if b.inside_lead_heel_mm or b.from_toe_line_mm))
    if assemble(entries) != told:  # a ball's place without a single reading says nothing and is no reading
        raise TwiceInTheFileError(file.visit)
    return entries


def _said(file: VisitFile) -> Iterator[Said]:
    head = {"visit": file.visit, "date": file.date.isoformat(), "teacher": file.teacher}
    yield "visit", head | {"width_convention": file.width_convention}
    yield "player", _plain(file.player)
    for kind, table in (("shoes", file.shoes), ("safety", file.safety)):
        if table is not None:
            yield kind, _plain(table)
    yield from (("as arrived", _plain(t)) for t in file.as_arrived)
    yield from _body(file)
    yield from _hands_and_clubs(file)
    yield from _ball(file)
    yield from (("placement", _plain(t)) for t in file.ground)
    for set_up, trial, check in (
        ("hip-line set-up", "hip-line trial", file.hip_line),
        ("grip set-up", "grip trial", file.grip),
        ("aim set-up", "aim trial", file.aim),
    ):
        if check is not None:
            yield set_up, {k: v for k, v in _plain(check).items() if k not in ENTRIES}
            yield from ((trial, _plain(t)) for t in check.trials)
    if file.hip_line is not None:
        listed = enumerate(file.hip_line.allowed_mm, start=1)
        yield from (("allowed width", {"number": n, "width_mm": w}) for n, w in listed)
    yield from _counted("posture", "family", [_plain(t) for t in file.posture])
    for view in map(_plain, file.posture_views):
        yield "side view", {k: v for k, v in view.items() if k != "placed"}
        for point, (x, y) in view["placed"].items():
            yield "side point", {"view": view["view"], "point": point, "x_px": x, "y_px": y}
    yield from _counted("turn", "toward", [_plain(t) for t in file.turn])
    if file.aim is not None:
        eyes = enumerate(file.aim.eyes, start=1)
        yield from (("eye line", _plain(t) | {"repeat": n}) for n, t in eyes)
        yield from (("full-swing aim", _plain(t)) for t in file.aim.full_swing)
    for kind, found in (
        ("routine", file.routine),
        ("held load", file.held_load),
        ("aim practice", file.practice),
    ):
        yield from ((kind, _plain(t)) for t in found)
    if file.cue_choice is not None:
        yield "cue choice", _plain(file.cue_choice)
    yield from (("skip", {"check": check, "why": why}) for check, why in file.skipped.items())


def _body(file: VisitFile) -> Iterator[Said]:
    if file.body is None:
        return
    for size in file.body.check().sizes:
        for repeat, size_mm in enumerate(size.readings_mm, start=1):
            said = {"name": size.name, "repeat": repeat, "size_mm": size_mm}
            yield "body size", said if size.side is None else said | {"side": size.side}
    if file.body.mass_kg is not None:
        yield "body mass", {"mass_kg": file.body.mass_kg}
    if file.body.shoe_size is not None:
        yield "shoe size", {"shoe_size": file.body.shoe_size}
    yield "seated", {"seated": file.body.seated}
    yield from (("limb", {"limb": limb, "state": state}) for limb, state in file.body.limbs.items())


def _hands_and_clubs(file: VisitFile) -> Iterator[Said]:
    if file.hands is not None:
        for side, hand in (("left", file.hands.left), ("right", file.hands.right)):
            if hand is not None:
                yield "hand", {"side": side, **_plain(hand)}
    for club in file.own_clubs:
        yield "own club", {"club": club.mark, **_plain(club)}


def _ball(file: VisitFile) -> Iterator[Said]:
    for place in file.ball:
        for name in ("inside_lead_heel_mm", "from_toe_line_mm"):
            for repeat, value in enumerate(getattr(place, name), start=1):
                yield "ball", {"family": place.family, "repeat": repeat, name: value}


def _counted(kind: str, key: str, tables: list[dict[str, Any]]) -> Iterator[Said]:
    seen: Counter[Any] = Counter()
    for table in tables:
        seen[table[key]] += 1
        yield kind, table | {"repeat": seen[table[key]]}


def _plain(table: Typed) -> dict[str, Any]:
    return table.model_dump(mode="json")
