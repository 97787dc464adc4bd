"""Finding keys change with whatever a finding stands on; findings are found by kind."""

import math
import string
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.findings import Finding, Findings, finding_key
from evenground.visit import StudioSettings, StudioSnapshot

STUDIO = StudioSnapshot()
WIDTH = Estimate(value=410.0, se=2.0, unit="mm")
KEY = finding_key("stance", [STUDIO, WIDTH], {"stance": 1})
FOUND = Finding(
    key=KEY,
    kind="stance",
    status="measured",
    value=WIDTH,
    reason=None,
    evidence=("trial 1",),
    methods={"stance": 1},
)
GONE = replace(FOUND, kind="turn", status="not measured", value=None, reason="not done")


def test_key_is_sixteen_hexadecimal_digits_and_stays_the_same() -> None:
    assert len(KEY) == 16
    assert set(KEY) <= set(string.hexdigits.lower())
    assert finding_key("stance", [STUDIO, replace(WIDTH)], {"stance": 1}) == KEY


def test_key_changes_with_kind_reading_snapshot_and_method_version() -> None:
    margin = replace(STUDIO, settings=StudioSettings(margin_deg=3.0))
    others = {
        finding_key("turn", [STUDIO, WIDTH], {"stance": 1}),
        finding_key("stance", [margin, WIDTH], {"stance": 1}),
        finding_key("stance", [STUDIO, WIDTH.shifted(1e-9)], {"stance": 1}),
        finding_key("stance", [STUDIO, replace(WIDTH, dof=3.0)], {"stance": 1}),
        finding_key("stance", [STUDIO, WIDTH], {"stance": 2}),
        finding_key("stance", [STUDIO, WIDTH, None], {"stance": 1}),
    }
    assert len(others | {KEY}) == 7


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), max_size=4), st.floats(-1e6, 1e6))
def test_two_lists_of_readings_share_a_key_only_when_they_are_the_same(one: list[float], more: float) -> None:
    assert finding_key("aim", [one], {}) != finding_key("aim", [[*one, more]], {})


def test_findings_are_found_by_kind() -> None:
    findings = Findings(visit="v", version="0", findings=(FOUND, GONE))
    assert findings.of("stance") is FOUND
    assert findings.value("stance") == WIDTH
    assert findings.of("turn") is GONE
    assert findings.value("turn") is None
    assert findings.of("aim") is None
    assert findings.value("aim") is None
    assert math.isinf(WIDTH.dof)
