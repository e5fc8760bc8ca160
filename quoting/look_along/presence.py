"""Who is at a quote just now: colleagues on its page, the client looking along, and which piece is on the bench.

Kept in Redis for seconds only; whoever's page goes quiet is gone. Nothing here decides anything.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import Final, cast

from django.core.cache import cache as kept

from studio import tenancy
from studio.tenancy.shared_redis import shared_redis

GONE_AFTER_S: Final = 7
"""Pages report every two seconds; three misses and somebody is gone."""
CLIENT_GONE_AFTER_S: Final = 5
ON_THE_BENCH_S: Final = 3 * 60 * 60


def here(quote_id: int, *, person_id: int, name: str) -> list[str]:
    """Note that a person has the page open; the names of the others who have."""
    place, now = _key("here", quote_id), time.time()
    with shared_redis().pipeline() as asked:
        asked.hset(place, str(person_id), f"{now:.3f} {name}")
        asked.expire(place, GONE_AFTER_S)
        asked.hgetall(place)
        found = cast("Mapping[bytes, bytes]", asked.execute()[2])
    others = []
    for person, note in found.items():
        seen, _, other = note.decode().partition(" ")
        if int(person) != person_id and now - float(seen) < GONE_AFTER_S:
            others.append(other)
    return sorted(others)


def client_looks(quote_id: int) -> None:
    """Note that a client's page has just asked for the sketch."""
    shared_redis().set(_key("client", quote_id), "1", ex=CLIENT_GONE_AFTER_S)


def is_client_looking(quote_id: int) -> bool:
    """Whether a client's page asked within the last seconds."""
    return bool(shared_redis().exists(_key("client", quote_id)))


def put_on_bench(quote_id: int, piece_id: int) -> None:
    """Note which set piece is being talked about."""
    shared_redis().set(_key("bench", quote_id), piece_id, ex=ON_THE_BENCH_S)


def on_bench(quote_id: int) -> int | None:
    """The set piece that was put on the bench last."""
    found = cast("bytes | None", shared_redis().get(_key("bench", quote_id)))
    return int(found) if found else None


# Private


def _key(what: str, quote_id: int) -> str:
    return kept.make_key(f"{what}:{tenancy.current_studio_id()}:{quote_id}")
