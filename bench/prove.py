"""`make prove`: every claim about errors and probabilities at its full count, written to docs/proof.md.

Each `bench/prove_<topic>.py` offers ``prove(count, seed) -> list[dict]`` with the keys ``claim``, ``seen``,
``limit`` and ``held``. A topic whose module says ``ALONE = True`` watches the clock and runs beside no other.
With ``--only`` one topic is run again and the others keep their rows: the page says of each topic how often,
with which seed, on which day and on which state of the code it was run.
"""

import argparse
import hashlib
import importlib
import json
import pkgutil
import platform
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import scipy

import bench

PAGE = Path(__file__).parents[1] / "docs" / "proof.md"
RESULTS = Path(__file__).parents[1] / "docs" / "proof"
SOURCE = Path(__file__).parents[1] / "src" / "evenground"
FULL_COUNT = 2000
SEED = 20261125
AT_ONCE = 2


def topics(only: str | None = None) -> list[str]:
    """Names of the modules that prove something, or of those whose name holds `only`."""
    names = (m.name for m in pkgutil.iter_modules(bench.__path__))
    return sorted(n for n in names if n.startswith("prove_") and (only is None or only in n))


def code_state(source: Path = SOURCE) -> str:
    """Ten digits that change with any line of the package's code or tables."""
    told = hashlib.sha256()
    for file in sorted(f for f in source.rglob("*") if f.suffix in {".py", ".toml"}):
        told.update(str(file.relative_to(source)).encode() + b"\0" + file.read_bytes() + b"\0")
    return told.hexdigest()[:10]


def prove_topic(name: str, count: int, seed: int) -> dict[str, Any]:
    """Run one topic: its rows, and what they were found with."""
    started = time.monotonic()
    rows = importlib.import_module(f"bench.{name}").prove(count, seed)
    told = {
        "count": count,
        "seed": seed,
        "day": datetime.now(UTC).date().isoformat(),
        "code": code_state(),
        "python": platform.python_version(),
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "seconds": round(time.monotonic() - started),
    }
    return {**told, "rows": [{**r, "held": bool(r["held"])} for r in rows]}


def prove(names: list[str], count: int, seed: int) -> dict[str, dict[str, Any]]:
    """Run topics, two at a time but for those that want the machine to themselves."""
    alone = {n for n in names if getattr(importlib.import_module(f"bench.{n}"), "ALONE", False)}
    found: dict[str, dict[str, Any]] = {}
    with ProcessPoolExecutor(AT_ONCE) as workers:
        running = {n: workers.submit(prove_topic, n, count, seed) for n in names if n not in alone}
        for name, done in running.items():
            found[name] = keep(name, done.result())
    for name in sorted(alone):
        found[name] = keep(name, prove_topic(name, count, seed))
    return found


def keep(name: str, told: dict[str, Any]) -> dict[str, Any]:
    """Write a topic's result and say that it is there."""
    RESULTS.mkdir(exist_ok=True)
    result_file(name).write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", "utf-8")
    print(f"{name}: {len(told['rows'])} claims in {told['seconds']} s", file=sys.stderr, flush=True)
    return told


def kept() -> dict[str, dict[str, Any]]:
    """The newest result of each topic that there is."""
    files = {n: result_file(n) for n in topics()}
    return {n: json.loads(f.read_text("utf-8")) for n, f in files.items() if f.is_file()}


def result_file(name: str) -> Path:
    """Where a topic's newest result is kept."""
    return RESULTS / f"{name.removeprefix('prove_')}.json"


def page(results: dict[str, dict[str, Any]]) -> str:
    """The report as Markdown."""
    lines = [
        "# Proof",
        "",
        "Made by `make prove`; nothing here is typed by hand. Run it again with any seed, or one topic with",
        "`python -m bench.prove --only TOPIC`. *Code* is ten digits that change with any line of it.",
        "",
        "| topic | count | seed | day | code | Python, numpy, scipy |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for name, told in results.items():
        of = ", ".join(told[k] for k in ("python", "numpy", "scipy"))
        cells = (name.removeprefix("prove_"), told["count"], told["seed"], told["day"], told["code"], of)
        lines.append("| " + " | ".join(str(c) for c in cells) + " |")
    lines += ["", "| topic | claim | seen | limit | held |", "| --- | --- | --- | --- | --- |"]
    for name, told in results.items():
        for r in told["rows"]:
            held = "yes" if r["held"] else "**no**"
            claim = (name.removeprefix("prove_"), r["claim"], r["seen"], r["limit"], held)
            lines.append("| " + " | ".join(str(c) for c in claim) + " |")
    return "\n".join(lines) + "\n"


def main() -> int:
    """Prove what is asked for and write the page; exit status 1 when a claim did not hold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=FULL_COUNT)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only")
    asked = parser.parse_args()
    found = prove(topics(asked.only), asked.count, asked.seed)
    PAGE.write_text(page(kept()), "utf-8")
    print(page(found))
    return 0 if found and all(r["held"] for told in found.values() for r in told["rows"]) else 1


if __name__ == "__main__":
    sys.exit(main())
