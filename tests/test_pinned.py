"""The example visit, pinned: a result that changes needs a new method version, and a line in CHANGELOG.

A pin says "the same as last time" and nothing about being right; the tests in `outside/` and the proofs say
that. Run with ``EVENGROUND_REPIN=1`` to write the pins again, after raising the versions of the methods
that changed.
"""

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.example import example_bundle
from evenground.findings import Findings
from evenground.plain import to_plain

PINS = Path(__file__).parent / "pinned" / "example.json"
RELATIVE = 1e-4  # other processors round the last digits of a sum differently; printed digits stay the same


@pytest.fixture(scope="module")
def findings() -> Findings:
    bundle = read_bundle(example_bundle())
    return assess(bundle.visit, bundle.studio, bundle.open_blob, digests=bundle.digests)


def estimates(plain: Any, path: str = "") -> Iterator[tuple[str, float, float]]:
    """Every estimate below a plain value: where it stands, its value, its standard error."""
    if isinstance(plain, dict):
        if {"value", "se", "unit"} <= plain.keys():
            yield path, plain["value"], plain["se"]
            return
        for key, inner in plain.items():
            yield from estimates(inner, f"{path}/{key}")
    elif isinstance(plain, list):
        for i, inner in enumerate(plain):
            yield from estimates(inner, f"{path}/{i}")


def pinned_form(findings: Findings) -> dict[str, Any]:
    """Each kind's method versions and estimates, and the words of the card."""
    kinds = {
        f.kind: {
            "methods": dict(f.methods),
            "estimates": {where: [value, se] for where, value, se in estimates(to_plain(f.value))},
        }
        for f in findings.findings
        if not f.kind.startswith("placement")
    }
    return {"kinds": kinds, "card": {line.key: [line.answer, line.now] for line in findings.card}}


@pytest.fixture(scope="module")
def pins(findings: Findings) -> dict[str, Any]:
    if os.environ.get("EVENGROUND_REPIN"):
        PINS.parent.mkdir(exist_ok=True)
        PINS.write_text(json.dumps(pinned_form(findings), indent=1, ensure_ascii=False) + "\n", "utf-8")
    pinned: dict[str, Any] = json.loads(PINS.read_text("utf-8"))
    return pinned


def test_the_same_kinds_are_found_with_the_same_words_on_the_card(
    findings: Findings, pins: dict[str, Any]
) -> None:
    now = pinned_form(findings)
    assert now["kinds"].keys() == pins["kinds"].keys()
    assert now["card"] == pins["card"]


def test_no_result_changed_while_its_method_versions_stayed(findings: Findings, pins: dict[str, Any]) -> None:
    now = pinned_form(findings)["kinds"]
    same_version = [k for k, pin in pins["kinds"].items() if now[k]["methods"] == pin["methods"]]
    assert same_version == list(pins["kinds"]), "versions were raised: pin the new results"
    for kind in same_version:
        assert now[kind]["estimates"].keys() == pins["kinds"][kind]["estimates"].keys(), kind
        for where, pinned in pins["kinds"][kind]["estimates"].items():
            assert now[kind]["estimates"][where] == pytest.approx(pinned, rel=RELATIVE, abs=1e-6), (
                kind,
                where,
            )


def test_two_runs_over_one_visit_give_one_answer(findings: Findings) -> None:
    bundle = read_bundle(example_bundle())
    again = assess(bundle.visit, bundle.studio, bundle.open_blob, digests=bundle.digests)
    assert to_plain(again) == to_plain(findings)
