"""A PostgreSQL of our own as a direct child, reachable over a Unix socket only."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from pathlib import Path
from urllib.parse import quote

import psycopg

from studio.local import processes
from studio.local.binaries import PostgresPrograms
from studio.local.errors import DidNotStart, LocalError
from studio.local.place import Place, Secrets
from studio.local.roles import ADMIN, DATABASE

PORT = 5432  # part of the socket's file name; no network port is opened
START_SECONDS = 30.0
# How long a killed server's last backends may take to notice and let go of its shared memory.
HANDOVER_SECONDS = 15.0
FAST_BUT_FORGETFUL = ("fsync=off", "full_page_writes=off", "synchronous_commit=off")


def start(
    place: Place, programs: PostgresPrograms, secrets: Secrets, sockets: Path, *, durable: bool
) -> processes.Running:
    """Start the place's server, made at the first start, and wait until it takes connections.

    `durable=False` is for data that nobody will miss: a crash of the machine may lose it.
    """
    data = place.servers / f"postgres-{programs.major}"
    if not (data / "PG_VERSION").exists():
        make_cluster(place, programs, secrets, data, durable=durable)
    # We hold the place and every server of ours has ended, so the file can only be a killed run's. Left
    # there, its process number may by now be anybody's and the server would refuse to start.
    (data / "postmaster.pid").unlink(missing_ok=True)
    admin = url(secrets.superuser, ADMIN, sockets, "postgres")
    deadline = time.monotonic() + HANDOVER_SECONDS
    while True:
        server = launch(place, programs, data, sockets, durable=durable)
        try:
            processes.wait_until(server, lambda: answers(admin), seconds=START_SECONDS)
        except DidNotStart as failure:
            processes.stop(server)
            if "shared memory block" not in str(failure) or time.monotonic() > deadline:
                raise
            time.sleep(0.2)
        except BaseException:
            processes.stop(server)
            raise
        else:
            return server


def launch(
    place: Place, programs: PostgresPrograms, data: Path, sockets: Path, *, durable: bool
) -> processes.Running:
    """Start the server process."""
    settings = [
        "listen_addresses=",
        f"port={PORT}",
        f'unix_socket_directories="{sockets}"',
        "unix_socket_permissions=0700",
        "max_connections=100",
        *(() if durable else FAST_BUT_FORGETFUL),
    ]
    options = [part for setting in settings for part in ("-c", setting)]
    return processes.start(
        "postgres",
        [programs.program("postgres"), "-D", str(data), *options],
        place=place,
        environment=server_environment(),
        user=place.user,
        working_folder=place.servers,
        quit_signal=signal.SIGINT,  # "fast": ends sessions, writes everything out
        patience_seconds=60.0,
    )


def make_cluster(
    place: Place, programs: PostgresPrograms, secrets: Secrets, data: Path, *, durable: bool
) -> None:
    """Make the server's data folder: whole, or not at all when we are killed meanwhile."""
    partial = data.with_name(f"{data.name}.partial")
    shutil.rmtree(partial, ignore_errors=True)
    place.owned_folder(partial)
    password = place.servers / "password"
    password.touch(0o600)
    if place.user is not None:
        os.chown(password, place.user.uid, place.user.gid)
    try:
        password.write_text(secrets.superuser, encoding="utf-8")
        run_initdb(place, programs, partial, password, durable=durable)
    finally:
        password.unlink()
    partial.rename(data)


def run_initdb(
    place: Place, programs: PostgresPrograms, folder: Path, password: Path, *, durable: bool
) -> None:
    """Fill the data folder. Text sorts by code point but knows every script's upper and lower case."""
    locale = (
        ["--locale-provider=builtin", "--builtin-locale=C.UTF-8", "--locale=C"]
        if programs.major >= 17
        else ["--locale=C.UTF-8"]
    )
    answer = subprocess.run(
        [
            programs.program("initdb"),
            f"--pgdata={folder}",
            f"--username={ADMIN}",
            f"--pwfile={password}",
            "--auth-local=scram-sha-256",
            "--auth-host=reject",
            "--encoding=UTF8",
            "--no-instructions",
            *locale,
            *([] if durable else ["--no-sync"]),
        ],
        cwd=place.servers,
        env=server_environment(),
        user=None if place.user is None else place.user.uid,
        group=None if place.user is None else place.user.gid,
        extra_groups=None if place.user is None else [],
        start_new_session=True,
        capture_output=True,
        text=True,
        check=False,
    )
    if answer.returncode != 0:
        raise LocalError(f"PostgreSQL's data folder could not be made:\n{answer.stdout}{answer.stderr}")


def server_environment() -> dict[str, str]:
    """What the server sees: nothing of ours, above all no PG* variable of the person at the terminal."""
    return {"PATH": "/usr/bin:/bin", "LANG": "C.UTF-8", "TZ": "UTC"}


def url(password: str, role: str, sockets: Path, database: str = DATABASE) -> str:
    """The address of a database on the server, for one role."""
    sign_in = f"{role}:{quote(password, safe='')}"
    return f"postgresql://{sign_in}@/{database}?host={quote(str(sockets), safe='')}&port={PORT}"


def answers(address: str) -> bool:
    """Whether the server takes connections; raises LocalError when it refuses our password."""
    try:
        with psycopg.connect(address, connect_timeout=2):
            return True
    except psycopg.OperationalError as refusal:
        if "password authentication failed" in str(refusal):
            raise LocalError(
                "The database does not know the password in secrets.json: the file and the data belong to "
                "different runs. Start over with `make demo FRESH=1`."
            ) from None
        return False
