"""Where the open data lie: named by EVENGROUND_DATA, skipped without it, but never in CI."""

import os
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def data_dir() -> Path:
    named = os.environ.get("EVENGROUND_DATA")
    if not named:
        if os.environ.get("CI"):
            pytest.fail("EVENGROUND_DATA is not set, and in CI the checks against open data have to run")
        pytest.skip("EVENGROUND_DATA is not set: no open data to check against")
    folder = Path(named)
    if not folder.is_dir():
        pytest.fail(f"EVENGROUND_DATA names {named}, which is no folder")
    return folder
