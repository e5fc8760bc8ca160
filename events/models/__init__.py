"""The tables of the events room."""

from events.models.client import Client
from events.models.event import AGREED_STAGES, Event, Stage, StageReached, Status
from events.models.loading import LoadOutLine, LoadPlace, Photo, Step, Tick, TickKind
from events.models.log import LogEntry, LogKind
from events.models.venue import Setting, Venue
from events.models.work import BillRow, WorkRow

__all__ = [
    "AGREED_STAGES",
    "BillRow",
    "Client",
    "Event",
    "LoadOutLine",
    "LoadPlace",
    "LogEntry",
    "LogKind",
    "Photo",
    "Setting",
    "Stage",
    "StageReached",
    "Status",
    "Step",
    "Tick",
    "TickKind",
    "Venue",
    "WorkRow",
]
