"""The one client of Redis that a process has."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from redis import Redis

from studio.tenancy import shared_redis


def test_threads_that_ask_first_at_once_share_one_client(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[object] = []
    together = Barrier(4)

    def slowly(_: str) -> object:
        time.sleep(0.05)
        made.append(object())
        return made[-1]

    def ask() -> object:
        together.wait()
        return shared_redis.shared_redis()

    monkeypatch.setattr(Redis, "from_url", slowly)
    shared_redis._client.cache_clear()
    try:
        with ThreadPoolExecutor(4) as threads:
            clients = [asked.result() for asked in [threads.submit(ask) for _ in range(4)]]
    finally:
        shared_redis._client.cache_clear()
    assert len(made) == 1
    assert set(map(id, clients)) == {id(made[0])}
