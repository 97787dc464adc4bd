"""Sentences about ways of standing, and a figure of the sway that is the mat's own."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.findings import Finding, Findings
from evenground.measure.ground import Ground, describe, pool_placements
from evenground.measure.ground_change import TooFewPlacementsError, ground_change
from evenground.report.evidence_figures import ground_table
from evenground.report.ground_words import change_sentences
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat


def placed(width_mm: float, seeds: range, noise_kpa: float = 0.2) -> Ground:
    return pool_placements(
        [
            describe(
                simulate_mat(
                    Standing(width_mm=width_mm + 3.0 * (seed % 3)),
                    Mat(rows=50, columns=80, noise_kpa=noise_kpa),
                    Swaying(duration_s=4.0, rate_hz=20.0),
                    rng=np.random.default_rng(seed),
                ).recording,
                handed="right",
            )
            for seed in seeds
        ]
    )


def found(kind: str, value: object) -> Findings:
    finding = Finding(
        key="k", kind=kind, status="measured", value=value, reason=None, evidence=(), methods={}
    )
    return Findings(visit="v", version="0", findings=(finding,), not_measured=())


@pytest.fixture(scope="module")
def narrow() -> Ground:
    return placed(300.0, range(3))


@pytest.fixture(scope="module")
def wide() -> Ground:
    return placed(360.0, range(3, 6))


def test_a_wider_stance_is_shown_and_what_does_not_differ_is_counted(narrow: Ground, wide: Ground) -> None:
    change = ground_change(narrow, wide, names=("as arrived", "fitted"))
    by_name = {f.figure: f for f in change.figures}
    width = by_name["stance_width_mm.heel_centres"]
    assert width.shown
    assert width.difference.value == pytest.approx(60.0, abs=2.0)
    assert width.difference.interval().holds(60.0)
    (said,) = change_sentences(found("ground change.as arrived to fitted.barefoot", change), "metric")
    assert said.startswith("From as arrived to fitted (barefoot): ")
    assert "width, heel centres +" in said
    assert " others." in said


def test_swapping_the_stances_flips_every_sign(narrow: Ground, wide: Ground) -> None:
    one, back = (ground_change(*p, names=("a", "b")) for p in ((narrow, wide), (wide, narrow)))
    for there, home in zip(one.figures, back.figures, strict=True):
        assert home.difference.value == -there.difference.value
        assert home.shown == there.shown


def test_figures_of_the_sole_are_not_compared_across_footwear(narrow: Ground) -> None:
    names = {f.figure for f in ground_change(narrow, narrow, names=("a", "b"), other_footwear=True).figures}
    assert "feet.left.heel_load_percent" not in names
    assert "cop_mm.y" not in names
    assert "feet.left.load_percent" in names


def test_a_single_placement_is_not_compared(narrow: Ground) -> None:
    with pytest.raises(TooFewPlacementsError):
        ground_change(narrow, placed(300.0, range(1)), names=("a", "b"))


def test_sway_under_three_floors_is_called_the_mats_and_over_them_has_its_number(narrow: Ground) -> None:
    assert narrow.sway_floor is not None
    quiet = replace(narrow, sway_floor=replace(narrow.sway_floor, below=()))
    loud = replace(narrow, sway_floor=replace(narrow.sway_floor, below=("mean_velocity_mm_s",)))
    cells = []
    for ground in (quiet, loud):
        table = ground_table(found("ground.fitted.barefoot", ground), "metric")
        assert table is not None
        cells.append({row[0]: row[1] for row in table.rows}["mean velocity of the CoP"])
    assert "mm/s" in cells[0]
    assert cells[1] == "below this mat's floor"
