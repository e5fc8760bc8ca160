"""The web server itself reads no more of a body than fits."""

from __future__ import annotations

import http.client
import socket
from collections.abc import Iterator
from contextlib import closing, suppress

import pytest

from tests.served import Served, served

HUGE = 300 * 1024 * 1024
BUFFERED = 32 * 1024 * 1024
"""What the kernel may hold between two sockets that nobody reads from."""
PIECE = b"x" * 65536


@pytest.fixture(scope="module")
def web(django_db_setup: None) -> Iterator[Served]:
    """One server for both tests: what they ask of it is refused, or reads nothing of theirs."""
    with served() as running:
        yield running


def head_of(web: Served, *more: str) -> bytes:
    lines = [
        "POST /account/login/ HTTP/1.1",
        f"Host: localhost:{web.port}",
        "Content-Type: text/plain",
        *more,
    ]
    return "\r\n".join([*lines, "", ""]).encode()


def answer_to(web: Served, head: bytes) -> bytes:
    """What the server says to a head whose body has not come yet."""
    with socket.create_connection(("127.0.0.1", web.port), timeout=20) as client:
        client.sendall(head)
        return client.recv(65536)


def taken_after(web: Served, head: bytes) -> int:
    """How much of an endless body the server takes."""
    taken = 0
    with socket.create_connection(("127.0.0.1", web.port), timeout=20) as client:
        client.sendall(head)
        with suppress(OSError):
            while taken < HUGE:
                taken += client.send(PIECE)
    return taken


def still_answers(web: Served) -> bool:
    with closing(http.client.HTTPConnection("127.0.0.1", web.port, timeout=20)) as client:
        client.request("GET", "/health/", headers={"Host": f"localhost:{web.port}"})
        return client.getresponse().status == 200


def test_an_anonymous_body_of_300_megabytes_is_refused_and_not_read(web: Served) -> None:
    head = head_of(web, f"Content-Length: {HUGE}")
    answer = answer_to(web, head)
    assert answer.startswith(b"HTTP/1.1 413 ")
    assert b"content-security-policy: " in answer.lower()
    assert taken_after(web, head) < BUFFERED
    assert still_answers(web)


def test_a_body_in_chunks_without_a_length_is_refused_and_not_read(web: Served) -> None:
    head = head_of(web, "Transfer-Encoding: chunked") + f"{HUGE:x}\r\n".encode()
    assert answer_to(web, head).startswith(b"HTTP/1.1 411 ")
    assert taken_after(web, head) < BUFFERED
    assert still_answers(web)
