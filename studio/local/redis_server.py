"""A Redis of our own as a direct child, on a Unix socket and no port."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import redis

from studio.local import processes
from studio.local.binaries import redis_program
from studio.local.place import Place

START_SECONDS = 15.0


def start(place: Place, sockets: Path, *, durable: bool) -> processes.Running:
    """Start the place's Redis and wait until it answers. It never drops a task for want of memory."""
    program, major = redis_program(place)
    # A folder for each major version: an older one cannot read a newer one's files. What the queue held is
    # sent again from the outbox.
    data = place.owned_folder(place.servers / f"redis-{major}")
    socket = sockets / "redis.sock"
    settings = {
        "port": "0",
        "unixsocket": str(socket),
        "unixsocketperm": "700",
        "dir": str(data),
        "appendonly": "yes" if durable else "no",
        "save": "",
        "maxmemory-policy": "noeviction",
        "daemonize": "no",
        "set-proc-title": "no",  # so that its command still names its folder
    }
    server = processes.start(
        "redis",
        [program, *(part for name, value in settings.items() for part in (f"--{name}", value))],
        place=place,
        environment={"PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"},
        user=place.user,
        working_folder=place.servers,
    )
    try:
        processes.wait_until(server, lambda: answers(url(socket)), seconds=START_SECONDS)
    except BaseException:
        processes.stop(server)
        raise
    return server


def url(socket: Path) -> str:
    """The address of the Redis on that socket."""
    return f"unix://{quote(str(socket))}"


def answers(address: str) -> bool:
    """Whether a Redis at that address answers."""
    client = redis.Redis.from_url(address, socket_timeout=2)
    try:
        return bool(client.ping())
    except redis.RedisError:
        return False
    finally:
        client.close()
