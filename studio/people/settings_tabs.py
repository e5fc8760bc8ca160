"""The tabs of a studio's settings: every room names its own pages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from studio import tenancy
from studio.registry import Registry
from studio.tenancy import links
from studio.tenancy.rights import Right, may


@dataclass(frozen=True, slots=True)
class SettingsTab:
    """One page of the settings."""

    rank: int
    """Its place in the row."""
    name: str
    page: str
    """The name of its address."""
    right: Right

    @property
    def address(self) -> str:
        """Where it is, in the entered studio."""
        return links.to(self.page)


providers: Registry[Callable[[], SettingsTab]] = Registry()
register = providers.register

OWN_TABS = (
    SettingsTab(10, "Brand", "studio:profile", Right.EDIT_STUDIO),
    SettingsTab(20, "Country", "studio:country", Right.EDIT_STUDIO),
    SettingsTab(30, "Money", "studio:money", Right.EDIT_STUDIO),
    SettingsTab(60, "Terms", "studio:terms", Right.EDIT_STUDIO),
    SettingsTab(70, "Hours", "studio:hours", Right.EDIT_STUDIO),
    SettingsTab(80, "People", "studio:people", Right.MANAGE_PEOPLE),
    SettingsTab(90, "Activity log", "studio:audit", Right.SEE_AUDIT),
)


def find_settings_tabs() -> list[SettingsTab]:
    """The tabs that the present person may open, in order."""
    role = tenancy.current().role
    tabs = [*OWN_TABS, *(provider() for provider in providers)]
    return sorted((tab for tab in tabs if may(role, tab.right)), key=lambda tab: tab.rank)
