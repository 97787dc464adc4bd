"""The table that invented bodies are drawn from, against the survey's own public file."""

import csv
import gzip
from pathlib import Path

import numpy as np
import pytest

from evenground.simulate.survey import SIZES, Reference, survey

# Gordon et al. 2014, NATICK/TR-15/007: columns of the public per-subject file for each of our sizes.
COLUMNS = {
    "stature_mm": ("stature",),
    "shoulder_height_mm": ("acromialheight",),
    "biacromial_breadth_mm": ("biacromialbreadth",),
    "hip_breadth_mm": ("hipbreadth",),
    "crotch_height_mm": ("crotchheight",),
    "wrist_height_mm": ("wristheight",),
    "arm_length_mm": ("acromionradialelength", "radialestylionlength"),
    "foot_length_mm": ("footlength",),
    "foot_breadth_mm": ("footbreadthhorizontal",),
    "hand_length_mm": ("handlength",),
    "palm_length_mm": ("palmlength",),
    "mass_kg": ("weightkg",),  # in tenths of a kilogram
}


@pytest.mark.data
@pytest.mark.parametrize(("reference", "file"), [("women", "female"), ("men", "male")])
def test_table_is_the_surveys(data_dir: Path, reference: Reference, file: str) -> None:
    with gzip.open(data_dir / "ansur2" / f"ansur2_{file}.csv.gz", "rt", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    measured = np.array([[sum(float(r[c]) for c in COLUMNS[name]) for name in SIZES] for r in rows])
    measured[:, SIZES.index("mass_kg")] /= 10.0
    table = survey(reference)
    assert table.mean == pytest.approx(measured.mean(axis=0), abs=0.051)  # half the last digit kept
    assert table.sd == pytest.approx(measured.std(axis=0, ddof=1), abs=0.051)
    assert table.correlation == pytest.approx(np.corrcoef(measured.T), abs=0.0051)
