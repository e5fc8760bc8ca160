"""Sockets to listen on, on this machine only, at the wished port or the next free one."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

from studio.local.errors import LocalError

TRIES = 50


@contextmanager
def listen(port: int) -> Iterator[list[socket.socket]]:
    """Listening sockets on 127.0.0.1 and, where there is one, ::1, both on the same port.

    Both, because `localhost` may mean either, and the port must not be another program's on one of them.
    Port 0 takes any free one. Raises LocalError when fifty ports in a row are taken.
    """
    for candidate in [0] if port == 0 else range(port, min(port + TRIES, 65536)):
        with ExitStack() as stack:
            try:
                sockets = bound(candidate, stack)
            except OSError:
                continue
            yield sockets
            return
    raise LocalError(f"The ports from {port} on are all taken; name another with PORT=…")


def bound(port: int, stack: ExitStack) -> list[socket.socket]:
    """The sockets for that port, closed with the stack; raises OSError when one is taken."""
    first = stack.enter_context(socket.create_server(("127.0.0.1", port)))
    if not has_ipv6():
        return [first]
    actual = first.getsockname()[1]
    return [first, stack.enter_context(socket.create_server(("::1", actual), family=socket.AF_INET6))]


def has_ipv6() -> bool:
    """Whether this machine has a loopback address of version 6."""
    try:
        with socket.create_server(("::1", 0), family=socket.AF_INET6):
            return True
    except OSError:
        return False


def port_of(sockets: list[socket.socket]) -> int:
    """The port that the sockets share."""
    return int(sockets[0].getsockname()[1])
