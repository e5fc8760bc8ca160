"""The settings refuse to start in an unsafe way."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

SAFE = {
    "SECRET_KEY": "k7Qz-Jw3vX9pLr2Tn8bYd5Hf4Gs6Mc1Aa0Ee-RtUuIiOoPp-ZzXxCc",
    "ALLOWED_HOSTS": "decor.example",
    "SITE_URL": "https://decor.example",
    "REDIS_URL": os.environ.get("REDIS_URL", "redis://localhost:1/0"),
}


def start(code: str = "", **changes: str | None) -> subprocess.CompletedProcess[str]:
    """Start Django in a process of its own with production's environment, but for the changes."""
    environment = {
        "PATH": os.environ["PATH"],
        "DATABASE_URL": os.environ["DATABASE_URL"],
        "DJANGO_SETTINGS_MODULE": "studio.settings",
        "PYTHONWARNINGS": "error",
        **SAFE,
        **changes,
    }
    return subprocess.run(
        [sys.executable, "-c", f"import django; django.setup()\n{code}"],
        env={name: value for name, value in environment.items() if value is not None},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_production_starts_with_what_it_needs() -> None:
    run = start("from django.conf import settings; print(settings.SESSION_COOKIE_SECURE, settings.DEBUG)")
    assert (run.returncode, run.stdout.strip()) == (0, "True False"), run.stderr


@pytest.mark.parametrize("name", ["SECRET_KEY", "DATABASE_URL", "REDIS_URL", "SITE_URL"])
def test_a_missing_variable_is_named(name: str) -> None:
    run = start("", **{name: None})
    assert run.returncode != 0
    assert f"Set the environment variable {name}" in run.stderr


@pytest.mark.parametrize("secret", ["short", "change-me-" * 6, "a" * 60, "django-insecure-" + "kJ8s" * 12])
def test_a_default_or_weak_secret_is_refused(secret: str) -> None:
    run = start(SECRET_KEY=secret)
    assert run.returncode != 0
    assert "SECRET_KEY must be 50 or more random characters" in run.stderr


@pytest.mark.parametrize("switch", ["DEBUG", "PLAIN_HTTP"])
def test_debug_or_plain_http_on_a_public_host_is_refused(switch: str) -> None:
    run = start(**{switch: "1"})
    assert run.returncode != 0
    assert "DEBUG and PLAIN_HTTP are for this machine only" in run.stderr


def test_another_database_than_postgresql_is_refused() -> None:
    run = start(DATABASE_URL="sqlite:///x.db")
    assert run.returncode != 0
    assert "must start with postgresql://" in run.stderr


@pytest.mark.parametrize(
    ("url", "fault"), [("ADMIN_DATABASE_URL", "is a superuser"), ("BACKUP_DATABASE_URL", "has BYPASSRLS")]
)
def test_a_role_that_could_bypass_row_level_security_serves_nothing(url: str, fault: str) -> None:
    run = start("from studio.models import Person; Person.objects.count()", DATABASE_URL=os.environ[url])
    assert run.returncode != 0
    assert fault in run.stderr
    assert "row-level security would not hold" in run.stderr


def test_the_owner_of_the_tables_serves_nothing(db: None) -> None:
    from django.db import connection

    address = os.environ["OWNER_DATABASE_URL"].replace(
        "/billowbook?", f"/{connection.settings_dict['NAME']}?"
    )
    run = start("from studio.models import Person; Person.objects.count()", DATABASE_URL=address)
    assert run.returncode != 0
    assert "owns tables" in run.stderr


def test_the_deploy_check_has_no_warning() -> None:
    code = (
        "from django.core.management import call_command;"
        "call_command('check', deploy=True, fail_level='WARNING')"
    )
    run = start(code)
    assert run.returncode == 0, run.stderr


def test_statements_are_planned_once_for_each_connection() -> None:
    """PostgreSQL's own list of what it keeps plans of (PostgreSQL manual, view pg_prepared_statements)."""
    asked = (
        "from django.db import connection\n"
        "from studio.environment import PLANNED_ONCE_AFTER\n"
        "with connection.cursor() as cursor:\n"
        "    for number in range(PLANNED_ONCE_AFTER + 2): cursor.execute('SELECT %s::integer', [number])\n"
        "    cursor.execute('SELECT count(*) FROM pg_prepared_statements')\n"
        "    print(cursor.fetchone()[0])"
    )
    run = start(asked)
    assert (run.returncode, run.stdout.strip()) == (0, "1"), run.stderr
