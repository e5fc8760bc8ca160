"""The pages of prices among the studio's settings."""

from __future__ import annotations

from studio.people.settings_tabs import SettingsTab
from studio.tenancy.rights import Right


def rates_tab() -> SettingsTab:
    """What labor, van and overhead cost, and the markup."""
    return SettingsTab(40, "Rates", "quoting:rates", Right.EDIT_STUDIO)


def client_terms_tab() -> SettingsTab:
    """How much of a price clients see, deposit, delivery."""
    return SettingsTab(50, "What clients see", "quoting:client-terms", Right.EDIT_STUDIO)
