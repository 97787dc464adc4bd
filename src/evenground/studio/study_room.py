"""Measurement studies taken in, worked out again when looked at, and put into use from the next visit on."""

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from uuid import UUID

from django.db import transaction

from evenground.assess.change_lines import Told
from evenground.assess.changes import VisitChange, compare_visits, forecasts_of
from evenground.assess.studying import StudyResult, assess_study
from evenground.capture.fields import checked
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.capture.study_table import StudyTable, study_from
from evenground.errors import EvengroundError
from evenground.fit.forecast import Forecast
from evenground.measure.suspects import Reading
from evenground.plain import to_plain
from evenground.records.answers import answered
from evenground.records.assessing import inputs_of
from evenground.records.audit import note
from evenground.records.models import FindingsRow, Person, Player, Study
from evenground.records.visits import current_snapshot, studio_file, use_snapshot
from evenground.studies import studied, with_study

__all__ = ["change_of", "studio_forecasts", "study_in_use", "take_study", "use_study", "worked_out"]

SEED = 1


def take_study(kind: str, raw: bytes, name: str, person: Person | None) -> Study:
    """Keep a study and what came of it; nothing is put into use.

    Raises
    ------
    EvengroundError
        When the text is no study, or its readings do not hold one; nothing is kept.
    """
    table = study_from(raw, file=name)
    worked = assess_study(table, unit=studied(kind).unit, change=None, seed=SEED)
    rows = [[m, r.person, r.observer, r.repeat, r.value] for m, every in table.methods.items() for r in every]
    with answered(), transaction.atomic():
        kept = Study.objects.create(kind=kind, person=person, repeats=rows, result=to_plain(worked))
        note(person, "made", what="study", object_id=str(kept.pk), detail={"readings": len(rows)})
    return kept


def worked_out(row: Study) -> StudyResult:
    """A kept study worked out by the methods of today."""
    methods: dict[str, list[Reading]] = {}
    for method, person, observer, repeat, value in row.repeats:
        reading = Reading(person=person, observer=observer, repeat=repeat, value=value)
        methods.setdefault(method, []).append(reading)
    table = StudyTable(methods={m: tuple(r) for m, r in methods.items()}, not_taken=0)
    return assess_study(table, unit=studied(row.kind).unit, change=None, seed=SEED)


def use_study(row: Study, person: Person | None) -> None:
    """Decide with a study's errors from the next visit on; visits keep the ones they started with.

    Raises
    ------
    StudyNotUsedError
        When it must not decide anything yet.
    """
    sd, between = worked_out(row).errors()
    kind, now = studied(row.kind), current_snapshot()
    file = studio_file(now)
    errors = with_study(studio_from(file).errors, kind, sd, between)
    body = file.model_dump(mode="json") | {
        "errors": {k: v for k, v in to_plain(errors).items() if v is not None}
    }
    changed = checked(StudioFile, body, file="studio.toml")
    with answered(), transaction.atomic():
        use_snapshot(changed, stock=None if now is None else now.stock)
        note(person, "changed", what="errors", object_id=str(row.pk), detail={"kind": row.kind})


def study_in_use(row: Study) -> bool:
    """Whether the studio decides with this study's error now."""
    try:
        sd, _ = worked_out(row).errors()
    except EvengroundError:
        return False
    now = getattr(studio_from(studio_file(current_snapshot())).errors, studied(row.kind).one)
    return bool(now == float(f"{sd:.3g}"))


def change_of(player: Player) -> VisitChange | None:
    """What changed between a player's last two visits that were worked out; None before there are two."""
    rows = FindingsRow.objects.filter(visit__player=player).order_by("-visit__day", "-visit__created_at")
    known = _as_kept(rows.values_list("visit_id", flat=True)[:2])
    if len(known) < 2:
        return None
    before, after = sorted(known.values(), key=lambda t: (t.visit.day, t.visit.visit))
    named = replace(before.visit.player, name=after.visit.player.name)  # a corrected name is no other player
    return compare_visits(replace(before, visit=replace(before.visit, player=named)), after)


def studio_forecasts(most: int = 40) -> list[Forecast]:
    """What cards claimed, held against each player's next visit: the newest pairs, findings as kept."""
    rows = FindingsRow.objects.order_by("-visit__day", "-visit__created_at")
    players: dict[UUID, list[UUID]] = {}
    for player_id, visit_id in rows.values_list("visit__player_id", "visit_id")[: 20 * most]:
        players.setdefault(player_id, []).append(visit_id)
    pairs = [pair for visits in players.values() for pair in pairwise(visits)][:most]
    kept = _as_kept({v for pair in pairs for v in pair})
    return [
        f
        for later, earlier in pairs
        if later in kept and earlier in kept
        for f in forecasts_of(kept[earlier], kept[later])
    ]


def _as_kept(visit_ids: Iterable[UUID]) -> dict[UUID, Told]:
    """Visits with their findings as they were last worked out; one without findings is left out."""
    told = {}
    for visit_id, row in FindingsRow.objects.in_bulk(list(visit_ids)).items():
        if "findings" in row.body:
            inputs = inputs_of(visit_id)
            told[visit_id] = Told(visit=inputs.visit, studio=inputs.studio, findings=row.body)
    return told
