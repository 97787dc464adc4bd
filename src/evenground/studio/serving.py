"""Starting the app: data folder, migrations, address, a first link, then the server until it is stopped."""

import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from evenground.errors import StudioError
from evenground.studio.desk import home_in, open_records
from evenground.studio.home import Home

__all__ = [
    "DEFAULT_PORT",
    "PortInUseError",
    "Started",
    "Wanted",
    "first_link",
    "lan_hosts",
    "leave_when_told",
    "run",
    "start",
    "take_port",
]

DEFAULT_PORT = 8710
LOOPBACK = "127.0.0.1"
_HELD = ExitStack()
"""The data folder stays held as long as this process runs."""


class PortInUseError(StudioError):
    """Something else listens at the port, or it may not be taken."""

    def __init__(self, port: int, why: str) -> None:
        super().__init__(port, why)
        self.where = f"port {port}"
        self.what = f"This port cannot be opened: {why}."
        self.do = "Stop what uses it, or choose another one with --port."


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How the app shall be started. `folder` None is this person's own data folder."""

    folder: Path | None = None
    port: int = DEFAULT_PORT
    lan: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Started:
    """A taken port and what to tell about it."""

    home: Home
    listening: socket.socket
    address: str
    lan_address: str = ""
    fingerprint: str = ""
    certificate_file: Path | None = None
    key_file: Path | None = None


def take_port(host: str, port: int) -> socket.socket:
    """Listen at an address before anything else is done.

    Raises
    ------
    PortInUseError
        When somebody does already.
    """
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":  # there this option would let two programs share a port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)
    except (OSError, OverflowError) as exc:
        listening.close()
        why = getattr(exc, "strerror", None) or str(exc)
        raise PortInUseError(port, why.lower()) from exc
    return listening


def lan_hosts() -> tuple[str, ...]:
    """Names of this machine and addresses on its network; nothing is sent to find them out."""
    name = socket.gethostname()
    found = {"localhost", LOOPBACK, name}
    with suppress(OSError):  # a name that nobody resolves is no address
        found |= {str(entry[4][0]) for entry in socket.getaddrinfo(name, None, socket.AF_INET)}
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect(("192.0.2.1", 9))  # RFC 5737: routed nowhere; connecting a datagram sends nothing
        found.add(str(probe.getsockname()[0]))
    return tuple(sorted(found))


def start(wanted: Wanted) -> Started:
    """Take the port, set Django up on the data folder, and bring its records up to date.

    Raises
    ------
    PortInUseError
        Before anything is written.
    RecordsError
        When the records cannot be opened, or are being restored.
    """
    listening = take_port("0.0.0.0" if wanted.lan else LOOPBACK, wanted.port)  # noqa: S104 - asked for by --lan
    port = int(listening.getsockname()[1])
    home = home_in(wanted.folder)
    home.prepare()
    _HELD.enter_context(home.held())
    started = _on_lan(home, listening, port) if wanted.lan else _alone(home, listening, port)
    open_records()
    return started


def _alone(home: Home, listening: socket.socket, port: int) -> Started:
    return Started(home=home, listening=listening, address=f"http://{LOOPBACK}:{port}")


def _on_lan(home: Home, listening: socket.socket, port: int) -> Started:
    from evenground.studio.tls import certificate_for

    hosts = lan_hosts()
    certificate = certificate_for(home.folder, hosts)
    outside = next((h for h in hosts if h[0].isdigit() and not h.startswith("127.")), LOOPBACK)
    lan_address = f"https://{outside}:{port}"
    os.environ["EVENGROUND_LAN"] = "1"
    os.environ["EVENGROUND_HOSTS"] = " ".join(hosts)
    os.environ["EVENGROUND_LAN_ADDRESS"] = lan_address
    os.environ["EVENGROUND_LAN_FINGERPRINT"] = certificate.fingerprint
    return Started(
        home=home,
        listening=listening,
        address=f"https://{LOOPBACK}:{port}",
        lan_address=lan_address,
        fingerprint=certificate.fingerprint,
        certificate_file=certificate.certificate_file,
        key_file=certificate.key_file,
    )


def first_link(address: str) -> str | None:
    """The link that makes the first owner; None when the studio has one."""
    from evenground.studio.links import first_owner_wanted, make_link
    from evenground.studio.models import LinkPurpose

    if not first_owner_wanted():
        return None
    return f"{address}/link/{make_link(LinkPurpose.FIRST_OWNER)}"


def run(started: Started, *, ready: Callable[[], None] | None = None) -> None:
    """Serve until stopped by the keyboard or by the system; saves under way are finished first."""
    import uvicorn

    from evenground.studio.asgi import application
    from evenground.studio.ending import ENDING

    class Server(uvicorn.Server):
        """Tells answers that stream to end when the app is asked to, and remembers by what it was."""

        def __init__(self, config: uvicorn.Config) -> None:
            super().__init__(config)
            self.told: list[int] = []

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            ENDING.set()
            self.told.append(sig)
            super().handle_exit(sig, frame)

    config = uvicorn.Config(
        application,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        lifespan="off",
        timeout_graceful_shutdown=5,
        ssl_certfile=None if started.certificate_file is None else str(started.certificate_file),
        ssl_keyfile=None if started.key_file is None else str(started.key_file),
    )
    server = Server(config)
    with _heeding(server.handle_exit):
        if ready is not None:
            ready()
        server.run(sockets=[started.listening])
    if signal.SIGTERM in server.told:
        _leave(signal.SIGTERM, None)


@contextmanager
def _heeding(heed: Callable[[int, FrameType | None], None]) -> Iterator[None]:
    """Have both ways of ending noted from before the address is told, and never as an exception.

    One that is raised while a module is loaded may be lost there, and the app would go on for good.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.signal(number, heed) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def leave_when_told() -> None:
    """From here on the system's word to end goes by way of whatever is still to be tidied up."""
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, _leave)


def _leave(number: int, _frame: object) -> None:
    """End as the system asked, by way of what is still to be tidied up."""
    raise SystemExit(128 + number)
