"""Clients and the people around them, as pages show them."""

from __future__ import annotations

from collections.abc import Iterable

from events.contacts import phone_numbers
from events.models import Client, Way, WayToReach
from studio.models import Studio


def client_rows(clients: Iterable[Client], studio: Studio) -> list[tuple[Client, str]]:
    """Each client with the telephone number as the studio's region writes it."""
    region = phone_numbers.region_of_studio(studio)
    return [(client, phone_numbers.shown(client.phone, region=region)) for client in clients]


def way_rows(ways: Iterable[WayToReach], studio: Studio) -> list[tuple[WayToReach, str]]:
    """Each further contact with the number or address as the studio's region writes it."""
    region = phone_numbers.region_of_studio(studio)
    return [(way, _written(way, region)) for way in ways]


def _written(way: WayToReach, region: str) -> str:
    return phone_numbers.shown(way.address, region=region) if way.way == Way.PHONE else way.address
