"""The texts of e-mails among the studio's settings."""

from __future__ import annotations

from studio.people.settings_tabs import SettingsTab
from studio.tenancy.rights import Right


def mail_texts_tab() -> SettingsTab:
    """What e-mails to clients say."""
    return SettingsTab(55, "E-mails", "quoting:mail-texts", Right.EDIT_STUDIO)
