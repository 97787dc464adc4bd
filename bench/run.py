"""`make bench`: every speed promise beside its peer or limit, measured in one run.

Each `bench/bench_<topic>.py` offers ``run() -> dict`` whose ``promises`` is a list of rows with ``promise``,
``ours``, ``beside``, ``limit`` and ``held``; correctness is asserted before anything is timed.
"""

import argparse
import importlib
import json
import os
import pkgutil
import platform
import sys
from pathlib import Path
from typing import Any

import numpy as np
import scipy

import bench

RESULTS = Path(__file__).parent / "results"


def machine() -> dict[str, str]:
    """What the numbers were measured on."""
    return {
        "python": platform.python_version(),
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "cores": str(os.cpu_count()),
        "machine": platform.machine(),
        "threads": os.environ.get("OMP_NUM_THREADS", "not set"),
        "kernel": os.environ.get("OPENBLAS_CORETYPE", "chosen by the library"),
    }


def main() -> int:
    """Run all benchmarks or the named ones; exit status 1 when a promise was not held."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*")
    asked = parser.parse_args().names
    names = sorted(m.name for m in pkgutil.iter_modules(bench.__path__) if m.name.startswith("bench_"))
    kept = True
    RESULTS.mkdir(exist_ok=True)
    print(json.dumps(machine()))
    for name in names:
        if asked and not any(a in name for a in asked):
            continue
        result: dict[str, Any] = importlib.import_module(f"bench.{name}").run()
        (RESULTS / f"{name}.json").write_text(json.dumps({"machine": machine(), **result}, indent=2), "utf-8")
        for row in result["promises"]:
            kept &= bool(row["held"])
            state = "held" if row["held"] else "NOT HELD"
            print(
                f"{name}: {row['promise']}: {row['ours']} beside {row['beside']}, "
                f"limit {row['limit']}: {state}"
            )
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
