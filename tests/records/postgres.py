"""A PostgreSQL of the test's own: made, started on a socket in a folder, stopped and deleted."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Unavailable(Exception):
    """No PostgreSQL can be started here; the message says why."""


@contextmanager
def postgres() -> Iterator[str]:
    """The URL of a fresh, empty database. Raises `Unavailable`."""
    programs = _programs()
    user = _user()
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))
    if user:
        shutil.chown(folder, user)
    try:
        data = folder / "data"
        _run(
            user, programs / "initdb", "-D", data, "-U", "toeroom", "-A", "trust", "-E", "UTF8", "--locale=C"
        )
        options = f"-k {folder} -c listen_addresses='' -c max_connections=50"
        log = folder / "log"
        _run(user, programs / "pg_ctl", "-D", data, "-l", log, "-w", "-o", options, "start")
        try:
            yield f"postgresql://toeroom@/postgres?host={folder}"
        finally:
            _run(user, programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _programs() -> Path:
    """Where initdb and pg_ctl are: Debian keeps them off the PATH, by version."""
    found = shutil.which("initdb")
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda p: float(p.parent.name))
    places = [Path(found).parent] if found else folders[::-1]
    for place in places:
        if (place / "initdb").exists() and (place / "pg_ctl").exists():
            return place
    raise Unavailable("PostgreSQL's initdb and pg_ctl are not installed")


def _user() -> str | None:
    """PostgreSQL refuses to run as root: then somebody else, where there is one."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name).pw_name
        except KeyError:
            continue
    raise Unavailable("PostgreSQL does not run as root, and there is no other user")


def _run(user: str | None, *command: str | Path) -> None:
    more = {} if user is None else {"user": user, "group": pwd.getpwnam(user).pw_gid, "extra_groups": []}
    try:
        subprocess.run(
            [str(part) for part in command],
            check=True,
            timeout=60,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            cwd="/",
            **more,  # type: ignore[call-overload]
        )
    except subprocess.CalledProcessError as error:
        said = error.stdout.decode(errors="replace").strip().splitlines()
        raise Unavailable(f"{Path(command[0]).name} failed: {said[-1] if said else ''}") from None
    except (OSError, subprocess.TimeoutExpired) as error:
        raise Unavailable(f"{Path(command[0]).name} could not run: {error}") from None
