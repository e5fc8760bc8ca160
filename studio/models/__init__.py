"""The kernel's tables."""

from studio.models.crew_phone import CrewPhone
from studio.models.invitation import Invitation
from studio.models.membership import Membership
from studio.models.outbox import OutboxEntry
from studio.models.person import Person
from studio.models.public_link import LinkPurpose, PublicLink
from studio.models.stored_file import StoredFile
from studio.models.studio import ConfirmedBy, Studio, Units, entered_studio, remember_studio
from studio.models.tax import TaxRate

__all__ = [
    "ConfirmedBy",
    "CrewPhone",
    "Invitation",
    "LinkPurpose",
    "Membership",
    "OutboxEntry",
    "Person",
    "PublicLink",
    "StoredFile",
    "Studio",
    "TaxRate",
    "Units",
    "entered_studio",
    "remember_studio",
]
