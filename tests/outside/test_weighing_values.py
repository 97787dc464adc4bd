"""Offsets in two open data sets of force plates, told apart from body masses."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from evenground.estimate import Estimate
from evenground.measure.load_split import share_without_offset
from evenground.measure.weighing import Weighing, explain_weights

G = 9.80665


def bds(data_dir: Path) -> list[Weighing]:
    # Santos and Duarte 2016, PeerJ 4:e2648 (CC BY 4.0): 24 recordings of 8 people on one plate
    folder = data_dir / "bds"
    with (folder / "trials.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    return [
        Weighing(
            force_n=float(np.loadtxt(folder / f"{row['Trial']}.txt.gz", skiprows=1, usecols=3).mean()),
            mass_kg=float(row["Weight"]),
            person=f"person {row['Subject']}",
            stood_on=row["Surface"].lower(),
        )
        for row in rows
    ]


def pds(data_dir: Path) -> list[dict[str, str]]:
    # dos Santos et al. 2017, PeerJ 5:e3626 (CC BY 4.0): one person, body mass 65.35 kg, on two plates
    with (data_dir / "pds" / "trials.csv").open(encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def one_plate(data_dir: Path) -> list[Weighing]:
    return bds(data_dir)


@pytest.mark.data
def test_foam_on_one_plate_was_not_zeroed_away_and_no_body_mass_is_wrong(one_plate: list[Weighing]) -> None:
    # README of the set: over all 200 recordings foam weighs 0.77 kg (SD 0.34), the firm plate 0.01 kg
    (found,) = explain_weights(one_plate)
    assert (found.cause, found.who) == ("tare offset", "foam")
    assert found.offset_n is not None
    assert found.offset_n.interval().holds(0.77 * G)


@pytest.mark.data
@pytest.mark.parametrize(
    ("typed", "cause"),
    [(lambda kg: kg / 0.45359237, "wrong unit"), (lambda kg: kg * 1.1, "wrong mass")],
    ids=["pounds", "ten percent"],
)
def test_a_planted_fault_in_one_mass_is_found_beside_the_offset(
    one_plate: list[Weighing], typed: object, cause: str
) -> None:
    assert callable(typed)
    planted = [replace(w, mass_kg=typed(w.mass_kg)) if w.person == "person 3" else w for w in one_plate]
    found = explain_weights(planted)
    assert {(m.cause, m.who) for m in found} == {("tare offset", "foam"), (cause, "person 3")}


@pytest.mark.data
def test_foam_on_two_plates_adds_what_no_mass_of_one_person_can(data_dir: Path) -> None:
    rows = pds(data_dir)
    weighings = [
        Weighing(force_n=float(r["total_N"]), mass_kg=65.35, stood_on=r["Surface"].lower()) for r in rows
    ]
    (found,) = explain_weights(weighings)
    assert (found.cause, found.who) == ("tare offset", "foam")
    assert found.offset_n is not None
    # README of the set: 14.7 N (foam 650.5 N, rigid 635.8 N in its rounding of the means)
    assert found.offset_n.value == pytest.approx(14.7, abs=0.3)


@pytest.mark.data
def test_taking_the_foam_off_moves_the_share_away_from_fifty(data_dir: Path) -> None:
    for row in (r for r in pds(data_dir) if r["Surface"] == "Foam"):
        total, naive = float(row["total_N"]), float(row["left_pct_of_mean_force"])
        left = Estimate(value=total * naive / 100.0, se=0.0, unit="N")
        right = Estimate(value=total - left.value, se=0.0, unit="N")
        share = share_without_offset(left, right, Estimate(value=14.7, se=2.0, unit="N"))
        # by hand: away from fifty by 14.7 (p - 1/2) / 650, some 0.04 points: said, and small
        assert share.value - naive == pytest.approx(14.7 * (naive - 50.0) / (total - 14.7), rel=1e-6)
        assert share.value - 50.0 > naive - 50.0 > 0.0


@pytest.mark.data
def test_eight_people_on_two_plates_agree_with_their_masses(data_dir: Path) -> None:
    with (data_dir / "pds" / "twoplate" / "trials.csv").open(encoding="utf-8") as stream:
        weighings = [
            Weighing(force_n=float(r["total_n"]), mass_kg=float(r["mass_kg"]), person=r["person"])
            for r in csv.DictReader(stream)
        ]
    assert explain_weights(weighings) == ()
