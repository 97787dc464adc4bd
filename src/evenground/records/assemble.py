"""A visit folded from its log of readings, the one way: through the tables of `visit.toml`.

So the app and a bundle can never differ. What is not whole yet (a trial with a width and no angle) or does
not fit together is left out of the visit and named, never guessed and never a failed visit.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from pydantic import BaseModel, ValidationError

from evenground.capture.fields import Typed, UnreadableFieldError, checked
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.errors import CaptureError, RecordsError
from evenground.records.entries import Entry
from evenground.records.merge import Merged, Slot, merged
from evenground.visit import Check, Visit

__all__ = ["Folded", "Unfinished", "VisitNotBegunError", "assemble", "fold", "fold_merged", "whole"]


class VisitNotBegunError(RecordsError):
    """A log of readings that does not say whose visit it is or when."""

    do = "Start the visit for a player first; then readings can be added."

    def __init__(self, missing: str) -> None:
        super().__init__(missing)
        self.where = "readings"
        self.what = f"The log does not hold the visit's {missing}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """An entry that is left out of the visit for now: which, why, and the readings it has so far."""

    check: Check | str
    kind: str
    key: tuple[Any, ...]
    reason: str
    readings: tuple[UUID, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """A visit as a `visit.toml` would say it, and what could not go into it yet."""

    file: VisitFile
    unfinished: tuple[Unfinished, ...]


def assemble(entries: Iterable[Entry]) -> Visit:
    """The visit that a log of readings tells, the same in whatever order the readings arrive.

    Raises
    ------
    VisitNotBegunError
        When the log does not say whose visit it is.
    """
    return visit_from(fold(entries).file)


def fold(entries: Iterable[Entry]) -> Folded:
    """The visit as the tables of `visit.toml`, and what is unfinished. Errors as in `assemble`."""
    return fold_merged(merged(entries))


def fold_merged(log: Merged) -> Folded:
    """As `fold`, from readings that are merged already."""
    return _Fold(log).folded()


def whole(slot: Slot) -> Typed | str:
    """The entry's table, or why it is not one yet."""
    try:
        return checked(slot.kind.table, slot.values, file="")
    except UnreadableFieldError as exc:
        missing = _all_missing(exc)
        return f"{' and '.join(missing)} still missing" if missing else str(exc)


def _all_missing(exc: UnreadableFieldError) -> list[str]:
    cause = exc.__cause__
    details = cause.errors(include_url=False) if isinstance(cause, ValidationError) else []
    missing = [str(d["loc"][-1]) for d in details if d["type"] == "missing"]
    return missing if len(missing) == len(details) else []


def _own_errors(slot: Slot, table: Typed) -> Typed:
    """The table without a photo's errors when its angle was typed over since."""
    angle = next((n for n in ("hip_line_deg", "face_deg") if n in slot.shown), None)
    if angle is None or "se_deg" not in slot.shown:
        return table
    if slot.shown[angle].reading == slot.shown["se_deg"].reading:
        return table
    return table.model_copy(update={"se_deg": None, "shared_se_deg": None})


class _Fold:
    """One pass over a merged log; collects what is left out as it goes."""

    def __init__(self, log: Merged) -> None:
        self._log = log
        self._left_out: list[Unfinished] = []

    def folded(self) -> Folded:
        head = self._one("visit")
        player = self._one("player")
        if head is None or player is None:
            missing = "name and day" if head is None else "player"
            raise VisitNotBegunError(missing)
        shoes, safety = self._one("shoes"), self._one("safety")
        parts: dict[str, Any] = {
            "format": 1,
            **_plain(head),
            "player": _plain(player),
            "shoes": None if shoes is None else _plain(shoes),
            "safety": None if safety is None else _plain(safety),
        }
        parts |= {
            "as_arrived": self._widths("as arrived", parts),
            "body": self._body(),
            "hands": self._hands(),
            "own_clubs": self._own_clubs(),
            "ball": self._ball(),
            "ground": [_plain(t) for _, t in self._wholes("placement")],
            "hip_line": self._hip_line(parts),
            "posture": [_plain(t, "repeat") for _, t in self._wholes("posture")],
            "posture_views": self._posture_views(),
            "turn": [_without(t, "repeat") for t in self._widths("turn", parts)],
            "grip": self._grip(),
            "aim": self._aim(),
            "routine": self._counted("routine", "run"),
            "held_load": self._counted("held load", "pair"),
            "practice": self._counted("aim practice", "entry"),
            "cue_choice": self._cue_choice(),
            "skipped": {t["check"]: t["why"] for t in map(_plain, self._tables("skip"))},
        }
        file = VisitFile.model_validate(parts)
        return Folded(file=file, unfinished=tuple(self._left_out))

    def _wholes(self, kind: str) -> list[tuple[Slot, Typed]]:
        """The whole entries of a kind; the others are noted as unfinished."""
        found = []
        for slot in self._log.of(kind):
            table = whole(slot)
            if isinstance(table, str):
                self._leave_out(slot, table)
            else:
                found.append((slot, _own_errors(slot, table)))
        return found

    def _tables(self, kind: str) -> list[Typed]:
        return [table for _, table in self._wholes(kind)]

    def _one(self, kind: str) -> Typed | None:
        return next(iter(self._tables(kind)), None)

    def _leave_out(self, slot: Slot, reason: str) -> None:
        self._left_out.append(
            Unfinished(
                check=slot.kind.check,
                kind=slot.kind.name,
                key=slot.key,
                reason=reason,
                readings=slot.readings,
            )
        )

    def _widths(self, kind: str, parts: dict[str, Any]) -> list[dict[str, Any]]:
        """Entries with a stance width, those left out whose width cannot be converted in these shoes."""
        kept = []
        for slot, table in self._wholes(kind):
            plain = _plain(table)
            if parts.get("width_convention") == "heel centres" or plain["width_mm"] is None:  # as it is
                kept.append(plain)
                continue
            trial = _alone(kind, plain)
            try:
                visit_from(VisitFile.model_validate(parts | trial), where="")
            except CaptureError as exc:
                self._leave_out(slot, f"{exc.what} {exc.do}")
            else:
                kept.append(plain)
        return kept

    def _body(self) -> dict[str, Any] | None:
        sizes: dict[str | None, dict[str, list[tuple[int, float]]]] = {}
        for size in map(_plain, self._tables("body size")):
            of_side = sizes.setdefault(size["side"], {})
            of_side.setdefault(f"{size['name']}_mm", []).append((size["repeat"], size["size_mm"]))
        taken = {
            side: {name: [mm for _, mm in sorted(found)] for name, found in of_side.items()}
            for side, of_side in sizes.items()
        }
        body: dict[str, Any] = {**taken.pop(None, {}), **{str(side): t for side, t in taken.items()}}
        kinds = ("body mass", "shoe size", "seated")
        body |= {k: v for kind in kinds for t in self._tables(kind) for k, v in _plain(t).items()}
        limbs = {t["limb"]: t["state"] for t in map(_plain, self._tables("limb")) if t["state"] is not None}
        if limbs:
            body["limbs"] = limbs
        return body or None

    def _hands(self) -> dict[str, Any] | None:
        hands = {t["side"]: _without(t, "side") for t in map(_plain, self._tables("hand"))}
        return hands or None

    def _own_clubs(self) -> list[dict[str, Any]]:
        clubs: dict[str, dict[str, Any]] = {}
        for slot, table in self._wholes("own club"):
            club = _plain(table, "club")
            if club["mark"] in clubs:
                self._leave_out(slot, f"another club is marked {club['mark']} already")
            else:
                clubs[club["mark"]] = club
        return list(clubs.values())

    def _ball(self) -> list[dict[str, Any]]:
        places: dict[str, list[dict[str, Any]]] = {}
        for table in map(_plain, self._tables("ball")):
            places.setdefault(table["family"], []).append(table)
        return [
            {
                "family": family,
                **{name: _repeats(tables, name) for name in ("inside_lead_heel_mm", "from_toe_line_mm")},
            }
            for family, tables in places.items()
        ]

    def _hip_line(self, parts: dict[str, Any]) -> dict[str, Any] | None:
        trials = sorted(self._widths("hip-line trial", parts), key=lambda t: int(t["trial"]))
        check = self._with_trials("hip-line set-up", "hip-line trial", trials)
        listed = [t["width_mm"] for t in self._counted("allowed width", "number")]
        allowed = [mm for mm in listed if mm is not None]
        return None if check is None else check | {"allowed_mm": allowed}

    def _posture_views(self) -> list[dict[str, Any]]:
        views = {t["view"]: t | {"placed": {}} for t in map(_plain, self._tables("side view"))}
        for slot, table in self._wholes("side point"):
            point = _plain(table)
            if point["view"] in views:
                views[point["view"]]["placed"][point["point"]] = (point["x_px"], point["y_px"])
            else:
                self._leave_out(slot, "the side view is still missing")
        return list(views.values())

    def _grip(self) -> dict[str, Any] | None:
        trials = [_plain(t) for t in self._tables("grip trial")]
        set_up = self._one("grip set-up")
        if set_up is None and not trials:
            return None
        return ({} if set_up is None else _plain(set_up)) | {"trials": trials}

    def _aim(self) -> dict[str, Any] | None:
        aim = self._with_trials("aim set-up", "aim trial", [_plain(t) for t in self._tables("aim trial")])
        eyes = [_plain(t, "repeat") for t in self._tables("eye line")]
        swings = [_plain(t) for t in self._tables("full-swing aim")]
        if aim is not None:
            return aim | {"eyes": eyes, "full_swing": swings}
        for kind in ("eye line", "full-swing aim"):
            for slot in self._log.of(kind):
                self._leave_out(slot, "the aim set-up is still missing")
        return None

    def _counted(self, kind: str, number: str) -> list[dict[str, Any]]:
        return sorted(map(_plain, self._tables(kind)), key=lambda t: int(t[number]))

    def _cue_choice(self) -> dict[str, Any] | None:
        choice = self._one("cue choice")
        return None if choice is None else _plain(choice)

    def _with_trials(
        self, set_up_kind: str, kind: str, trials: Sequence[dict[str, Any]]
    ) -> dict[str, Any] | None:
        set_up = self._one(set_up_kind)
        if set_up is not None:
            return _plain(set_up) | {"trials": list(trials)}
        for slot in self._log.of(kind) if trials else ():
            self._leave_out(slot, f"the {set_up_kind} is still missing")
        return None


def _alone(kind: str, plain: dict[str, Any]) -> dict[str, Any]:
    """A visit's tables with nothing but one entry that has a width."""
    if kind == "hip-line trial":
        return {"hip_line": {"landmark": "any", "trials": [plain]}}
    return {"as_arrived": [plain]} if kind == "as arrived" else {"turn": [_without(plain, "repeat")]}


def _repeats(tables: Sequence[dict[str, Any]], name: str) -> list[float]:
    ordered = sorted(tables, key=lambda t: int(t["repeat"]))
    return [t[name] for t in ordered if t[name] is not None]


def _without(plain: dict[str, Any], *names: str) -> dict[str, Any]:
    return {k: v for k, v in plain.items() if k not in names}


def _plain(table: BaseModel, *without: str) -> dict[str, Any]:
    return _without(table.model_dump(), *without)
