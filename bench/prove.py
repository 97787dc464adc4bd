"""`make prove`: every claim about errors and probabilities at its full count, written to docs/proof.md.

Each `bench/prove_<topic>.py` offers ``prove(count, seed) -> list[dict]`` with the keys ``claim``, ``seen``,
``limit`` and ``held``. Run with ``--count`` for a smaller or larger number of simulations.
"""

import argparse
import importlib
import pkgutil
import platform
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import scipy

import bench

PAGE = Path(__file__).parents[1] / "docs" / "proof.md"
FULL_COUNT = 2000
SEED = 20261125


def topics() -> list[str]:
    """Names of the modules that prove something."""
    names = (m.name for m in pkgutil.iter_modules(bench.__path__))
    return sorted(n for n in names if n.startswith("prove_"))


def prove(count: int, seed: int, only: str | None = None) -> list[dict[str, Any]]:
    """Run every topic and collect its rows."""
    rows: list[dict[str, Any]] = []
    for name in topics():
        if only is not None and only not in name:
            continue
        started = time.monotonic()
        found = importlib.import_module(f"bench.{name}").prove(count, seed)
        print(f"{name}: {len(found)} claims in {time.monotonic() - started:.0f} s", file=sys.stderr)
        rows += [{"topic": name.removeprefix("prove_"), **row} for row in found]
    return rows


def page(rows: list[dict[str, Any]], count: int, seed: int) -> str:
    """The report as Markdown."""
    lines = [
        "# Proof",
        "",
        f"Made by `make prove`: {count} simulations a claim, seed {seed},",
        f"Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}.",
        "Run it again with any seed; nothing here is typed by hand.",
        "",
        "| topic | claim | seen | limit | held |",
        "| --- | --- | --- | --- | --- |",
    ]
    for r in rows:
        held = "yes" if r["held"] else "**no**"
        lines.append(f"| {r['topic']} | {r['claim']} | {r['seen']} | {r['limit']} | {held} |")
    return "\n".join(lines) + "\n"


def main() -> int:
    """Prove everything and write the page; exit status 1 when a claim did not hold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=FULL_COUNT)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only")
    asked = parser.parse_args()
    rows = prove(asked.count, asked.seed, asked.only)
    text = page(rows, asked.count, asked.seed)
    if asked.only is None:
        PAGE.write_text(text, "utf-8")
    print(text)
    return 0 if rows and all(r["held"] for r in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
