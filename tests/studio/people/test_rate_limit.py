"""What is tried too often is asked to wait."""

from __future__ import annotations

import pytest
from django.test import Client, RequestFactory, override_settings

from studio.people import rate_limit
from studio.tenancy.counters import Limit


@pytest.mark.usefixtures("within_one_window")
def test_one_try_too_many_is_over_the_limit_for_that_address_only() -> None:
    limit = Limit(tries=3, window_seconds=3600)
    answers = [rate_limit.over(limit, action="open", who="10.0.0.1") for _ in range(4)]
    assert answers == [False, False, False, True]
    assert not rate_limit.over(limit, action="open", who="10.0.0.2")
    assert not rate_limit.over(limit, action="answer", who="10.0.0.1")


@pytest.mark.usefixtures("within_one_window")
def test_guessing_invitation_links_is_stopped(db: None) -> None:
    browser = Client()
    statuses = [browser.get(f"/join/guess{n}/").status_code for n in range(rate_limit.JOIN.tries + 1)]
    assert set(statuses[:-1]) == {404}
    assert statuses[-1] == 429
    assert browser.get("/join/again/")["Retry-After"] == str(rate_limit.JOIN.window_seconds)


def test_guessing_passwords_is_stopped(db: None) -> None:
    browser = Client()
    typed = {"login": "x@example.test", "password": "wrong-wrong-1"}
    answers = [browser.post("/account/login/", typed) for _ in range(8)]
    assert answers[0].status_code == 200
    assert answers[-1].status_code == 429 or "Too many" in answers[-1].content.decode()


def test_a_forged_forwarding_header_is_not_believed() -> None:
    request = RequestFactory().get("/", headers={"x-forwarded-for": "6.6.6.6"}, REMOTE_ADDR="10.0.0.9")
    assert rate_limit.address_of(request) == "10.0.0.9"
    with override_settings(TRUSTED_PROXIES=1):
        forged = RequestFactory().get("/", headers={"x-forwarded-for": "6.6.6.6, 7.7.7.7"})
        assert rate_limit.address_of(forged) == "7.7.7.7"
