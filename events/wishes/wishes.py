"""What the client of an event wishes: kept, changed, read."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from decimal import Decimal

from events.models import Event, Wishes
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Wished:
    """Wishes in words and figures; what is empty was not said. The budget is in the studio's currency."""

    occasion: str = ""
    guests: int | None = None
    colours: str = ""
    budget: Decimal | None = None
    source: str = ""

    @property
    def says_anything(self) -> bool:
        """Whether anything was said."""
        return self != Wished()


def wishes_of(event: Event) -> Wished:
    """What the client wishes; nothing where nobody wrote it down. One query."""
    row = Wishes.objects.filter(event=event).first()
    if row is None:
        return Wished()
    return Wished(row.occasion, row.guests, row.colours, row.budget, row.source)


def keep_wishes(event: Event, wished: Wished) -> None:
    """Keep them in place of what was kept before. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    said = {
        name: value.strip() if isinstance(value, str) else value for name, value in asdict(wished).items()
    }
    Wishes(event=event, **said).clean_fields()
    Wishes.objects.update_or_create(event=event, defaults=said)
