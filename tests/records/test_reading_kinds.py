"""Every version of every kind that was ever stored has a sample here, kept for good."""

import json
from pathlib import Path
from typing import Any, get_args

import pytest

from evenground.capture.fields import UnreadableFieldError
from evenground.records.reading_kinds import KINDS, DataFromNewerVersionError, Kind, MassReading
from evenground.visit import CHECKS, Check

SAMPLES = Path(__file__).parent / "samples" / "readings"


def samples() -> list[Path]:
    return sorted(SAMPLES.glob("*.json"))


@pytest.mark.parametrize("path", samples(), ids=lambda p: p.stem)
def test_a_payload_of_any_version_reads_as_it_did(path: Path) -> None:
    sample = json.loads(path.read_text("utf-8"))
    kind = KINDS[sample["kind"]]
    before = json.dumps(sample["payload"])
    current = kind.upcast(sample["version"], sample["payload"])
    assert kind.checked(current) == sample["reads as"]
    assert json.dumps(sample["payload"]) == before  # the stored payload is left as it is


def test_every_version_of_every_kind_has_a_sample() -> None:
    kept = {(s["kind"], s["version"]) for s in (json.loads(p.read_text("utf-8")) for p in samples())}
    assert kept == {(kind.name, v) for kind in KINDS.values() for v in range(1, kind.version + 1)}


def test_every_check_of_the_hour_has_a_kind_of_reading() -> None:
    assert {kind.check for kind in KINDS.values()} - {"visit"} == set(CHECKS) == set(get_args(Check))


def test_every_key_number_and_file_is_a_field_of_its_table() -> None:
    for kind in KINDS.values():
        fields = set(kind.table.model_fields)
        assert {*kind.keys, *kind.files} <= fields
        assert kind.number is None or kind.number in kind.keys


def test_an_older_payload_passes_through_every_upcaster_in_turn() -> None:
    def grams(payload: Any) -> dict[str, Any]:
        return {"mass_g": payload["mass"] * 1000}

    def kilograms(payload: Any) -> dict[str, Any]:
        return {"mass_kg": payload["mass_g"] / 1000}

    kind = Kind(
        name="body mass", check="body", table=MassReading, version=3, upcasters={1: grams, 2: kilograms}
    )
    assert kind.upcast(1, {"mass": 71}) == {"mass_kg": 71.0}
    assert kind.upcast(2, {"mass_g": 71000}) == {"mass_kg": 71.0}
    assert kind.upcast(3, {"mass_kg": 71}) == {"mass_kg": 71}
    with pytest.raises(DataFromNewerVersionError):
        kind.upcast(4, {})


def test_a_wrong_value_is_named_with_its_field_and_what_is_allowed() -> None:
    with pytest.raises(UnreadableFieldError) as caught:
        KINDS["hip-line trial"].checked({"trial": 1, "width": "16 1/4"})
    assert "hip-line trial, width" in str(caught.value)
