"""A pytest plugin: real PostgreSQL and Redis for the whole run, before Django reads its settings.

Loaded by ``-p tests.services_plugin`` (pyproject.toml). The run's first process starts the services, its xdist
workers inherit the addresses. With DATABASE_URL and REDIS_URL set, those servers are used instead.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Generator
from contextlib import ExitStack

import pytest

from studio.local.services import passing_services

STARTED = "BILLOWBOOK_TEST_SERVICES"
HASHED_STATIC_ROOT = "BILLOWBOOK_HASHED_STATIC_ROOT"
"""Where the static files of journeys lie, gathered once for all products of a run."""
SETTINGS = {
    "SECRET_KEY": "only-for-tests-0123456789-abcdefghijklmnopqrstuvwxyz-0123456789",
    "ALLOWED_HOSTS": "testserver,localhost,127.0.0.1",
    "SITE_URL": "http://testserver",
    "PLAIN_HTTP": "1",
    "UNPOOLED": "1",
    "UNHASHED_STATIC": "1",
    # A test asks for much more in a minute than a person does.
    "WEB_CAPACITY": "20",
}
_running = ExitStack()


@pytest.hookimpl(wrapper=True)
def pytest_load_initial_conftests() -> Generator[None]:
    """Start the services; a wrapper runs before pytest-django's own hook, which reads the settings."""
    if STARTED not in os.environ:
        addresses = _running.enter_context(passing_services())
        os.environ.update(addresses.environment())
        os.environ.update(SETTINGS)
        for folder in ("MAIL_FOLDER", "STATIC_ROOT", HASHED_STATIC_ROOT):
            os.environ[folder] = _running.enter_context(tempfile.TemporaryDirectory())
        os.environ[STARTED] = str(os.getpid())
    return (yield)


def pytest_unconfigure() -> None:
    """Stop what this process started."""
    if os.environ.get(STARTED) == str(os.getpid()):
        _running.close()
