"""The tables of the events room."""

from events.models.client import Client, Way, WayToReach
from events.models.crew import CrewMember, DayOff, Skill, Van, WorkRules
from events.models.drive import VenueDrive
from events.models.enclosure import Enclosure
from events.models.event import AGREED_STAGES, LOADED_STAGES, Event, Stage, StageReached, Status
from events.models.loading import LoadOutLine, LoadPlace, Photo, Step, Tick, TickKind
from events.models.log import LogEntry, LogKind
from events.models.portfolio import PhotoConsent, Portfolio, PortfolioPhoto
from events.models.shift import Answer, CrewCall, Shift, ShiftKind
from events.models.transfer_request import TransferRequest
from events.models.venue import Setting, Venue
from events.models.wishes import Source, WebsiteForm, Wishes
from events.models.work import BillRow, WorkRow

__all__ = [
    "AGREED_STAGES",
    "LOADED_STAGES",
    "Answer",
    "BillRow",
    "Client",
    "CrewCall",
    "CrewMember",
    "DayOff",
    "Enclosure",
    "Event",
    "LoadOutLine",
    "LoadPlace",
    "LogEntry",
    "LogKind",
    "Photo",
    "PhotoConsent",
    "Portfolio",
    "PortfolioPhoto",
    "Setting",
    "Shift",
    "ShiftKind",
    "Skill",
    "Source",
    "Stage",
    "StageReached",
    "Status",
    "Step",
    "Tick",
    "TickKind",
    "TransferRequest",
    "Van",
    "Venue",
    "VenueDrive",
    "Way",
    "WayToReach",
    "WebsiteForm",
    "Wishes",
    "WorkRow",
    "WorkRules",
]
