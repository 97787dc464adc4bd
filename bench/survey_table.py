"""Works the package's survey table out of the survey's public files: `python -m bench.survey_table DIR`.

DIR holds `ansur2_female.csv.gz` and `ansur2_male.csv.gz` (one line a person, millimetres, mass in tenths of a
kilogram). The data stay outside; only what is printed here goes into `evenground/body/ansur2.toml`.
"""

import csv
import gzip
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from evenground.body.sizes import SURVEY_COLUMNS

__all__ = ["PERCENTS", "column", "persons", "table_text"]

FILES = {"women": "ansur2_female.csv.gz", "men": "ansur2_male.csv.gz"}
PERCENTS = (1, 5, 50, 95, 99)
TENTHS = {"weightkg"}
FloatArray = NDArray[np.float64]


def persons(path: Path) -> list[dict[str, str]]:
    """One person a line, as the file has it."""
    with gzip.open(path, "rt", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def column(rows: list[dict[str, str]], *names: str) -> FloatArray:
    """(N,) sum of some columns of the file, millimetres or kilograms."""
    shares = [np.array([float(r[name]) for r in rows]) / (10.0 if name in TENTHS else 1.0) for name in names]
    return np.asarray(np.sum(shares, axis=0))


def table_text(folder: Path) -> str:
    """The TOML: per sex the count, each size's mean, SD and percentiles, and correlations in 1/100 000."""
    lines = [
        "# ANSUR II: Gordon et al. 2014, NATICK/TR-15/007, 2012 Anthropometric Survey of U.S. Army",
        "# Personnel, public domain; worked out of its public per-person files by bench/survey_table.py.",
        "# size = [mean, SD (n - 1), 1st, 5th, 50th, 95th, 99th percentile], millimetres or kilograms.",
        "# correlation: below the diagonal, in 1/100 000, rows in the order of the sizes.",
    ]
    for reference, file in FILES.items():
        rows = persons(folder / file)
        sizes = {name: column(rows, *columns) for name, columns in SURVEY_COLUMNS.items()}
        lines += ["", f"[{reference}]", f"n = {len(rows)}", "", f"[{reference}.sizes]"]
        for name, taken in sizes.items():
            cuts = np.percentile(taken, PERCENTS)
            figures = ", ".join(f"{v:.3f}" for v in (taken.mean(), taken.std(ddof=1), *cuts))
            lines.append(f"{name} = [{figures}]")
        r = np.corrcoef(np.array(list(sizes.values())))
        lines += ["", f"[{reference}.correlation]"]
        for i, name in enumerate(list(sizes)[1:], start=1):
            lines.append(f"{name} = [{', '.join(str(round(float(v) * 1e5)) for v in r[i, :i])}]")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(table_text(Path(sys.argv[1])))
