"""Commands that serve, started as a person starts them and ended as the system would."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["PATIENCE_S", "RUN", "clean_environment", "served"]

RUN = [sys.executable, "-m", "evenground"]
PATIENCE_S = 60.0
"""A machine that runs other tests beside answers late; speed is measured in bench/."""


def clean_environment() -> dict[str, str]:
    ours = ("EVENGROUND_", "DJANGO_", "HEADLESS")
    return {k: v for k, v in os.environ.items() if not k.startswith(ours)}


@contextmanager
def served(*options: str, until: str, **environ: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Start a command, wait for a line of its own, give all it said; end it as the system would."""
    process = subprocess.Popen(
        [*RUN, *options], stdout=subprocess.PIPE, text=True, env=clean_environment() | environ, bufsize=1
    )
    assert process.stdout is not None
    said: list[str] = []
    try:
        for line in process.stdout:
            said.append(line)
            if line.startswith(until):
                break
        yield "".join(said), process
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=PATIENCE_S)
        process.stdout.close()
