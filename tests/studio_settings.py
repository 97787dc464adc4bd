"""The app's settings on a data folder that goes away with the test run; databases are real files."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

_FOLDER = Path(tempfile.mkdtemp(prefix="evenground-tests-"))
_MAKER = os.getpid()


@atexit.register
def _forget() -> None:
    if os.getpid() == _MAKER:  # not in a forked child
        shutil.rmtree(_FOLDER, ignore_errors=True)


os.environ["EVENGROUND_HOME"] = str(_FOLDER)
os.environ.pop("EVENGROUND_DATABASE", None)

from evenground.studio.settings import *  # noqa: E402, F403
from evenground.studio.settings import DATABASES, HOME  # noqa: E402

HOME.prepare()
DATABASES["default"]["TEST"] = {"NAME": str(_FOLDER / "test-records.sqlite3")}
