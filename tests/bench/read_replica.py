"""A streaming read replica of the run's PostgreSQL, for measurements: its own data, its own socket."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from studio.local import postgres, processes
from studio.local.binaries import postgres_programs
from studio.local.place import open_place, socket_folder

START_SECONDS = 60.0


@contextmanager
def read_replica(admin: str) -> Iterator[str]:
    """Copy the server at ``admin``, follow it, and give the replica's address as its admin."""
    # Below /tmp, where whoever PostgreSQL runs as can walk to.
    with tempfile.TemporaryDirectory(dir="/tmp", prefix="billowbook-replica-") as folder:
        place = open_place(Path(folder) / "place")
        Path(folder).chmod(0o711)
        place.make_servers_folder()
        programs, data = postgres_programs(place), place.owned_folder(place.servers / "replica")
        owner = None if place.user is None else place.user.uid
        subprocess.run(
            [programs.program("pg_basebackup"), "-D", data, "-R", "-X", "stream", "-c", "fast", "-d", admin],
            env=postgres.server_environment(),
            user=owner,
            check=True,
        )
        with socket_folder(place) as sockets:
            address = at_socket(admin, sockets)
            server = postgres.launch(place, programs, data, sockets, durable=False)
            try:
                processes.wait_until(server, lambda: postgres.answers(address), seconds=START_SECONDS)
                yield address
            finally:
                processes.stop(server)


def at_socket(address: str, sockets: Path) -> str:
    """The same address on the server whose socket lies in that folder."""
    query = f"host={sockets}&port={postgres.PORT}"
    return urlunsplit(urlsplit(address)._replace(query=query))
