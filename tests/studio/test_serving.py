"""The commands that serve: the port, the first owner, a restart, TLS on the network, an endless body."""

import re
import signal
import socket
import ssl
import subprocess
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import httpx
import pytest
from typer.testing import CliRunner

from evenground.cli import app
from evenground.example import example_bundle
from evenground.studio.desk import home_in
from evenground.studio.ending import ENDING
from evenground.studio.serving import PortInUseError, Started, run, take_port
from tests.studio.conftest import PASSWORD
from tests.studio.serving import PATIENCE_S, RUN, clean_environment, served


def posted(client: httpx.Client, address: str, **fields: str) -> httpx.Response:
    """Fill in the form of a page and send it."""
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', client.get(address).text)
    assert token is not None
    origin = str(client.base_url).rstrip("/")
    body = {"csrfmiddlewaretoken": token[1], **fields}
    return client.post(address, data=body, headers={"Origin": origin, "Referer": f"{origin}{address}"})


def test_a_port_in_use_is_named_with_the_way_out() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = subprocess.run(
            [*RUN, "serve", "--port", str(port)],
            capture_output=True,
            text=True,
            check=False,
            env=clean_environment(),
        )
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith(f"port {port}: This port cannot be opened: ")
    assert done.stderr.rstrip().endswith("choose another one with --port.")
    assert done.stderr.count("\n") == 1


def test_a_port_is_free_again_when_its_socket_is_closed() -> None:
    first = take_port("127.0.0.1", 0)
    port = first.getsockname()[1]
    with pytest.raises(PortInUseError):
        take_port("127.0.0.1", port)
    first.close()
    take_port("127.0.0.1", port).close()


def test_ctrl_c_as_the_address_is_told_ends_as_well_as_a_later_one(tmp_path: Path) -> None:
    before = signal.getsignal(signal.SIGINT)
    with take_port("127.0.0.1", 0) as listening:
        told = Started(home=home_in(tmp_path), listening=listening, address="")
        try:
            run(told, ready=lambda: signal.raise_signal(signal.SIGINT))
        finally:
            ENDING.clear()
    assert signal.getsignal(signal.SIGINT) is before


def refused(client: httpx.Client, body: Iterator[bytes]) -> bool:
    """Whether a body is refused: with 413, or by the door that shuts while it still comes."""
    try:
        return client.post("/sign-in", content=body).status_code == 413
    except httpx.TransportError:
        return True


def test_the_printed_link_makes_the_owner_who_is_still_signed_in_after_a_restart(tmp_path: Path) -> None:
    options = ("serve", "--port", "0", "--data", str(tmp_path / "home"))
    with served(*options, until="This studio has no owner") as (said, _):
        link = re.search(r"(http://127\.0\.0\.1:\d+)(/link/\S+)", said)
        assert link is not None
        client = httpx.Client(base_url=link[1], timeout=PATIENCE_S)
        made = posted(client, link[2], name="Wren Aldercote", sign_in="wren", password=PASSWORD)
        assert (made.status_code, made.headers["location"]) == (302, "/")
        assert client.get("/").status_code == 200
        assert refused(client, (bytes(1024) for _ in range(4096)))
        assert client.get("/").status_code == 200
    with served(*options, until="records in") as (said, _):
        assert "no owner" not in said
        again = re.search(r"http://127\.0\.0\.1:\d+", said)
        assert again is not None
        page = httpx.get(f"{again[0]}/", cookies=dict(client.cookies), timeout=PATIENCE_S)
        assert "Wren Aldercote" in page.text
    client.close()
    assert (tmp_path / "home").stat().st_mode & 0o077 == 0


def test_the_network_is_served_over_tls_with_secure_cookies_and_pairing(tmp_path: Path) -> None:
    home = tmp_path / "home"
    with served("serve", "--lan", "--port", "0", "--data", str(home), until="This studio has no owner") as (
        said,
        _,
    ):
        assert re.search(r"^certificate [0-9A-F ]{79}$", said, re.MULTILINE)
        link = re.search(r"(https://127\.0\.0\.1:\d+)(/link/\S+)", said)
        outside = re.search(r"network at (https://\S+);", said)
        assert link is not None
        assert outside is not None
        trusted = ssl.create_default_context(cafile=home / "tls" / "certificate.pem")
        with httpx.Client(base_url=link[1], verify=trusted, timeout=PATIENCE_S) as client:
            made = posted(client, link[2], name="Wren Aldercote", sign_in="wren", password=PASSWORD)
            assert made.status_code == 302
            assert "; Secure" in made.headers["set-cookie"]
            assert client.get("/", headers={"Host": "elsewhere.example"}).status_code == 400
            shown = posted_pair(client)
            assert "fingerprint" in shown.text
        with pytest.raises(httpx.HTTPError):
            httpx.get(link[1].replace("https", "http"))


def posted_pair(client: httpx.Client) -> httpx.Response:
    """Ask for a pairing code from the person's own page."""
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', client.get("/me").text)
    assert token is not None
    origin = str(client.base_url).rstrip("/")
    return client.post(
        "/devices/pair",
        data={"csrfmiddlewaretoken": token[1]},
        headers={"Referer": f"{origin}/me", "Origin": origin},
    )


def test_the_demo_stopped_by_ctrl_c_ends_well_and_takes_its_data_with_it(tmp_path: Path) -> None:
    with served("demo", "--port", "0", until="Ctrl-C", HEADLESS="0", TMPDIR=str(tmp_path)) as (said, demo):
        assert re.search(r"^Sign in once with http://127\.0\.0\.1:\d+/link/\S{40,}$", said, re.MULTILINE)
        assert [folder.name[:16] for folder in tmp_path.iterdir()] == ["evenground-demo-"]
        demo.send_signal(signal.SIGINT)
        assert demo.wait(timeout=PATIENCE_S) == 0
        assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("options", "environ", "folder"),
    [
        ((), {"HEADLESS": "1", "OUT": "papers"}, "papers"),
        ((), {"HEADLESS": "1"}, "demo-out"),
        (("--headless", "mine"), {"OUT": "papers"}, "mine"),
    ],
)
def test_the_demo_without_a_screen_fits_the_example(
    options: tuple[str, ...], environ: dict[str, str], folder: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    fitted: list[tuple[Path, Path]] = []
    command = import_module("evenground.cli.fit")  # the package gives the function of the same name
    monkeypatch.setattr(command, "fit_into", lambda bundle, out: fitted.append((bundle, out)))
    done = CliRunner().invoke(app, ["demo", *options], env={"HEADLESS": None, "OUT": None, **environ})
    assert done.exit_code == 0, done.output
    assert fitted == [(example_bundle(), Path(folder))]
