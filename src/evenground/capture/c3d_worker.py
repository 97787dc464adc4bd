"""Reads one C3D file in a process of its own: the reader is a library in C++ that a damaged file can crash.

Called as ``python -I -m evenground.capture.c3d_worker FILE``; the force plates go to standard output as an
npz archive. The exit status says why there is none; memory and time are bounded.
"""

import io
import math
import signal
import sys
from pathlib import Path
from typing import Any

__all__ = ["FAILED", "LIBRARY_MISSING", "NO_PLATES", "main"]

FAILED, NO_PLATES, LIBRARY_MISSING = 3, 4, 5
_MEMORY_BYTES = 450_000_000
_SECONDS, _BYTES_A_SECOND = 1.6, 20_000_000


def main(path: str) -> int:
    """Read a file's plates and print them; gives the exit status."""
    try:
        import ezc3d  # type: ignore[import-untyped]
        import numpy as np
    except ImportError:
        return LIBRARY_MISSING
    _bound(Path(path).stat().st_size)
    try:
        found = _plates(ezc3d.c3d(path), np)
    except Exception:  # noqa: BLE001 - whatever the library says of a damaged file, it is damaged
        return FAILED
    if found is None:
        return NO_PLATES
    packed = io.BytesIO()
    np.savez(packed, **found)
    sys.stdout.buffer.write(packed.getvalue())
    return 0


def _bound(size: int) -> None:
    """Let a damaged file ask for so much memory and time and no more."""
    try:
        import resource
    except ImportError:  # not on this system; the caller's time limit holds
        return
    before = _virtual_bytes()
    limit = before + _MEMORY_BYTES + 4 * size
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
    seconds = _SECONDS + size / _BYTES_A_SECOND
    # The limit on the processor counts whole seconds: the timer stops in between, the limit what outlives it.
    signal.setitimer(signal.ITIMER_PROF, seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(seconds) + 1, math.ceil(seconds) + 2))


def _virtual_bytes() -> int:
    try:
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
    except (OSError, ValueError):
        return 2_000_000_000
    return pages * 4096


def _plates(file: Any, np: Any) -> dict[str, Any] | None:
    """Analog channels and what describes the plates; None without any plate."""
    parameters = file["parameters"]
    plates = parameters.get("FORCE_PLATFORM", {})
    used = int(np.ravel(plates["USED"]["value"])[0]) if "USED" in plates else 0
    if used < 1:
        return None

    def value(group: str, name: str) -> Any:
        return parameters.get(group, {}).get(name, {}).get("value", [])

    return {
        "analogs": np.asarray(file["data"]["analogs"][0], np.float64),
        "rate_hz": np.asarray(value("ANALOG", "RATE"), np.float64).ravel(),
        "units": np.asarray([str(u) for u in value("ANALOG", "UNITS")]),
        "point_units": np.asarray([str(u) for u in value("POINT", "UNITS")]),
        "points": np.asarray(file["data"]["points"][:3], np.float64),
        "used": np.asarray(used),
        "type": np.asarray(value("FORCE_PLATFORM", "TYPE"), np.int64).ravel(),
        "channel": np.atleast_2d(np.asarray(value("FORCE_PLATFORM", "CHANNEL"), np.int64)),
        "corners": np.asarray(value("FORCE_PLATFORM", "CORNERS"), np.float64),
        "origin": np.asarray(value("FORCE_PLATFORM", "ORIGIN"), np.float64),
        "cal_matrix": np.asarray(value("FORCE_PLATFORM", "CAL_MATRIX"), np.float64),
    }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
