"""Held load and practice in the recipe: gated, limited, from typed figures or recordings, beside the aims."""

import io
from dataclasses import replace
from datetime import date
from typing import BinaryIO

import pytest

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.example import example_bundle
from evenground.findings import Finding
from evenground.visit import AimPractice, BodyCheck, HeldLoadPair, StudioSnapshot, Visit

PAIRS = tuple(
    HeldLoadPair(pair=i, load_kg=4.0, load_ahead_mm=320.0, without_mm=90.0, with_mm=90.0 + s)
    for i, s in enumerate((10.8, 11.0, 11.1), 1)
)


def plain(**changed: object) -> Visit:
    """The example's player with nothing but what is asked here."""
    visit = read_bundle(example_bundle()).visit
    bare = Visit(visit=visit.visit, day=visit.day, player=visit.player, screening="cleared")
    bare = replace(bare, player=replace(bare.player, birth_year=1980), body=BodyCheck(mass_kg=80.0))
    return replace(bare, **changed)  # type: ignore[arg-type]


def found(visit: Visit, head: str, blobs: dict[str, bytes] | None = None) -> list[Finding]:
    def open_blob(name: str) -> BinaryIO:
        return io.BytesIO((blobs or {})[name])

    findings = assess(visit, StudioSnapshot(), open_blob)
    return [f for f in findings.findings if f.kind.startswith(head)]


def test_a_rigid_body_agrees() -> None:
    (finding,) = found(plain(held_load=PAIRS), "held load")
    assert finding.kind == "held load.4000 g"
    assert finding.value is not None
    assert finding.value.word == "agrees"


def test_predicted_and_observed_stand_overleaf() -> None:
    from evenground.report.evidence_figures import figure_rows

    findings = assess(plain(held_load=PAIRS), StudioSnapshot(), lambda _: io.BytesIO())
    rows = {r.what: r.figure for r in figure_rows(findings, "metric") if r.group == "Held load, 4000 g"}
    assert len(rows) == 3
    assert rows["shift ahead, observed"].startswith("11")


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"screening": "measuring only"}, "did not clear"),
        ({"screening": None}, "not answered"),
        ({"body": BodyCheck(mass_kg=80.0, seated=True)}, "seated"),
        ({"body": BodyCheck(mass_kg=80.0, limbs={"left arm": "absent"})}, "left arm absent"),
        ({"body": BodyCheck(mass_kg=35.0)}, "a tenth of the body"),
        ({"body": None}, "the mass of the body is not known"),
    ],
)
def test_a_load_that_should_not_have_been_held_is_not_told(changed: dict[str, object], why: str) -> None:
    (finding,) = found(plain(held_load=PAIRS, **changed), "held load")
    assert finding.value is None
    assert why in (finding.reason or "")


def test_recordings_tell_where_the_weight_was() -> None:
    bundle = read_bundle(example_bundle())
    name = next(p.recording for p in bundle.visit.ground if p.footwear == "barefoot")
    with bundle.open_blob(name) as stream:
        raw = stream.read()
    pair = HeldLoadPair(
        pair=1, load_kg=1.0, load_ahead_mm=320.0, without_recording="a.parquet", with_recording="b.parquet"
    )
    mass = bundle.visit.body.mass_kg if bundle.visit.body is not None else None
    visit = plain(held_load=(pair,), body=BodyCheck(mass_kg=mass))
    (finding,) = found(visit, "held load", {"a.parquet": raw, "b.parquet": raw})
    assert finding.value is not None, finding.reason
    assert finding.value.observed_mm.value == pytest.approx(0.0, abs=1e-6)
    assert finding.value.word == "cannot tell"


def test_practice_stands_beside_the_aims_of_the_visit_and_alone_without_them() -> None:
    line = AimPractice(entry=1, day=date(2026, 5, 1), distance_m=1.5, gate_mm=80.0, rolled=40, passed=2)
    (alone,) = found(plain(practice=(line,)), "practice")
    assert alone.value is not None
    assert alone.value.compared is None
    example = read_bundle(example_bundle()).visit
    (beside,) = found(plain(practice=(line,), aim=example.aim), "practice")
    assert beside.value is not None
    assert beside.value.compared.word == "fewer than expected"
    assert example.aim is not None
    assert beside.value.condition == example.aim.trials[-1].condition
