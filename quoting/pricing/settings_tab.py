"""The page of the rates among the studio's settings."""

from __future__ import annotations

from studio.people.settings_tabs import SettingsTab
from studio.tenancy.rights import Right


def rates_tab() -> SettingsTab:
    """What labor, van and overhead cost, and the markup."""
    return SettingsTab(40, "Rates", "quoting:rates", Right.EDIT_STUDIO)
