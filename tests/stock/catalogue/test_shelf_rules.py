"""The shelf rules: who changes them."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied

from stock.catalogue import shelf_rules
from tests.stock.conftest import Stocked


def test_only_who_runs_the_studio_changes_its_rules(stocked: Stocked) -> None:
    with (
        stocked.house.enter("staff"),
        pytest.raises(PermissionDenied, match="doesn't allow you to edit the studio's profile"),
    ):
        shelf_rules.change_rules(latex_life_days=7)


def test_the_rules_have_a_page_of_the_owners(stocked: Stocked) -> None:
    client, address = stocked.house.client(), stocked.house.url("stock:shelf-rules")
    assert 'value="365"' in client.get(address).content.decode()
    facts = {"latex_life_days": "200", "never_short_percent": "97,5", "look_back_weeks": "12"}
    assert client.post(address, facts).status_code == 302
    with stocked.house.enter():
        kept = shelf_rules.find_rules()
        assert (kept.latex_life_days, float(kept.never_short_percent), kept.look_back_weeks) == (
            200,
            97.5,
            12,
        )
    for wrong in ({"latex_life_days": "3"}, {"never_short_percent": "100"}, {"look_back_weeks": "some"}):
        answer = client.post(address, facts | wrong)
        assert answer.status_code == 422
        assert "field-wrong" in answer.content.decode()
        assert f'value="{next(iter(wrong.values()))}"' in answer.content.decode()
    assert stocked.house.client("staff").get(address).status_code == 403
