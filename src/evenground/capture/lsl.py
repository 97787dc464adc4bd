"""Lab Streaming Layer, loaded late and kept to this machine unless the owner opens it to the network.

The protocol has no passwords: whoever is on the network may send a stream and listen to one. The library
reads its settings once, so the choice stands for as long as the process runs.
"""

import atexit
import importlib
import os
import shutil
import tempfile
from pathlib import Path
from threading import Lock
from typing import Any

from evenground.errors import CaptureError

__all__ = ["LslMissingError", "LslReachError", "load_lsl"]

_LOOPBACK = """\
[ports]
IPv6 = disable
[multicast]
ResolveScope = machine
MachineAddresses = {127.0.0.1}
ListenAddress = 127.0.0.1
Interfaces = {127.0.0.1}
[lab]
KnownPeers = {127.0.0.1}
[log]
level = -3
"""
_loaded: dict[str, bool] = {}
_lock = Lock()


class LslMissingError(CaptureError):
    """The library for live streams is not installed, or does not start."""

    do = "Install it with the extra `live` (pip install 'evenground[live]'), or record to files."

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.where = "live stream"
        self.what = f"The library for live streams cannot be used: {why}."


class LslReachError(CaptureError):
    """Streams were looked for elsewhere before, by the same process."""

    do = "Stop Evenground and start it again."

    def __init__(self) -> None:
        super().__init__()
        self.where = "live stream"
        self.what = "Where streams are looked for cannot change while this process runs."


def load_lsl(*, network: bool) -> Any:
    """The library, told where to look before it looks anywhere.

    Parameters
    ----------
    network
        Find streams of the whole network, by the library's own settings; otherwise of this machine only.

    Raises
    ------
    LslMissingError
        When it is not installed.
    LslReachError
        When this process has loaded it with the other choice.
    """
    with _lock:
        if _loaded.setdefault("network", network) != network:
            raise LslReachError
        if not network:
            os.environ["LSLAPICFG"] = str(_settings_file())
        try:
            return importlib.import_module("pylsl")
        except (ImportError, RuntimeError, OSError) as exc:
            raise LslMissingError(str(exc).splitlines()[0]) from exc


def _settings_file() -> Path:
    """Our own settings in a folder that goes away with this process."""
    folder = Path(tempfile.mkdtemp(prefix="evenground-live-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    file = folder / "loopback.cfg"
    file.write_text(_LOOPBACK, encoding="ascii")
    return file
