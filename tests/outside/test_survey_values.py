"""The survey's table in the package, and its summary, against the survey's own public files."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bench.survey_table import FILES, PERCENTS, column, persons, table_text

from evenground.body.sizes import SURVEY_COLUMNS
from evenground.body.survey import Reference, survey_table

ROOT = Path(__file__).parents[2]
# Names of the summary that are not the file's own: see ansur2/README.md.
RENAMED = {
    "weight_kg": ("weightkg",),
    "arm_length": ("acromionradialelength", "radialestylionlength"),
}
SEXES = {"women": "female", "men": "male"}


@pytest.fixture(scope="module")
def summary(data_dir: Path) -> dict[str, Any]:
    return tomllib.loads((data_dir / "ansur2" / "summary.toml").read_text("utf-8"))


@pytest.mark.data
@pytest.mark.parametrize("reference", ["women", "men"])
def test_every_figure_of_the_summary_is_the_raw_file_s(
    data_dir: Path, summary: dict[str, Any], reference: Reference
) -> None:
    """Means, SDs, ranges and all five percentiles of every column, to the three decimals printed."""
    rows = persons(data_dir / "ansur2" / FILES[reference])
    part = summary[SEXES[reference]]
    checked = 0
    for name, printed in part.items():
        if not isinstance(printed, dict) or "p50" not in printed:
            continue
        taken = column(rows, *RENAMED.get(name, (name,)))
        cuts = np.percentile(taken, PERCENTS)
        worked_out = {f"p{p}": cut for p, cut in zip(PERCENTS, cuts, strict=True)}
        worked_out |= {"mean": taken.mean(), "sd": taken.std(ddof=1), "min": taken.min(), "max": taken.max()}
        for key, value in worked_out.items():
            assert printed[key] == pytest.approx(value, abs=0.00051), (name, key)
            checked += 1
    assert checked >= 9 * 40


@pytest.mark.data
def test_the_table_in_the_package_is_what_the_raw_files_give(data_dir: Path) -> None:
    made = tomllib.loads(table_text(data_dir / "ansur2"))
    kept = tomllib.loads((ROOT / "src" / "evenground" / "body" / "ansur2.toml").read_text("utf-8"))
    assert made == kept


@pytest.mark.data
@pytest.mark.parametrize("reference", ["women", "men"])
def test_correlations_are_the_summary_s(summary: dict[str, Any], reference: Reference) -> None:
    """The summary prints a matrix of fifteen measures by another program, to four decimals."""
    part = summary[SEXES[reference]]["correlation"]
    table = survey_table(reference)
    ours = {"weight_kg": "mass", "arm_length": "arm_length"}
    by_column = {columns[0]: name for name, columns in SURVEY_COLUMNS.items() if len(columns) == 1} | ours
    names = part["columns"]
    shared = [(i, table.names.index(by_column[n])) for i, n in enumerate(names) if n in by_column]
    assert len(shared) >= 12
    for i, a in shared:
        for j, b in shared:
            assert part["matrix"][i][j] == pytest.approx(table.correlation[a, b], abs=0.00006)
