"""What can go wrong while services are started, always with the way out in the message."""

from __future__ import annotations


class LocalError(Exception):
    """Something on this machine stands in the way; the message says what and what to do."""


class AlreadyRunning(LocalError):
    """Another live process holds this place's services."""


class DidNotStart(LocalError):
    """A service ended or stayed silent while it was being started."""
