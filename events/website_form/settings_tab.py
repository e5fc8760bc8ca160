"""The website form among the studio's settings."""

from __future__ import annotations

from studio.people.settings_tabs import SettingsTab
from studio.tenancy.rights import Right


def website_tab() -> SettingsTab:
    """The form on the studio's own website."""
    return SettingsTab(75, "Website", "events:website-form", Right.EDIT_STUDIO)
