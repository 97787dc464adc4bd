"""Drift in open recordings of standing people: seldom said of ten quiet seconds."""

import csv
from pathlib import Path

import numpy as np
import pytest

from evenground.measure.quiet import drift_flags


@pytest.mark.data
def test_ten_seconds_of_quiet_standing_are_seldom_called_a_drift(data_dir: Path) -> None:
    # Santos and Duarte 2016, PeerJ 4:e2648 (CC BY 4.0), 24 recordings of 60 s at 100 Hz; CoP in cm,
    # front-back and left-right. 5 of 144 are called a drift; ours: no more than one in twenty may be.
    folder = data_dir / "bds"
    with (folder / "trials.csv").open(encoding="utf-8") as stream:
        names = [row["Trial"] for row in csv.DictReader(stream)]
    said = 0
    for name in names:
        cop_mm = 10.0 * np.loadtxt(folder / f"{name}.txt.gz", skiprows=1, usecols=(8, 7))
        for part in np.split(cop_mm, 6):
            said += bool(drift_flags(np.full(len(part), 50.0), part, name))
    assert 0 < said <= len(names) * 6 / 20


@pytest.mark.data
def test_the_load_share_of_quiet_standing_is_seldom_called_a_drift(data_dir: Path) -> None:
    # dos Santos et al. 2017, PeerJ 5:e3626 (CC BY 4.0), 16 recordings of 8 people on two plates
    said = parts = 0
    for path in sorted((data_dir / "pds" / "twoplate").glob("person*.csv.gz")):
        left, right = np.loadtxt(path, delimiter=",", skiprows=1, usecols=(1, 2)).T
        for share in np.split(100.0 * left / (left + right), 6):
            said += bool(drift_flags(share, np.zeros((len(share), 2)), path.name))
            parts += 1
    assert parts == 96
    assert said <= parts / 20
