"""Who works, with what skills and when; the vans; and the studio's rules for work and rest."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import ClassVar, Final, TypeAlias

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from events.models.venue import metres
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel

DecimalField: TypeAlias = "models.DecimalField[Decimal | float | str, Decimal]"
SmallField: TypeAlias = "models.PositiveSmallIntegerField[float | int | str, int]"


class Skill(models.TextChoices):
    """What somebody can be called for."""

    LEAD = "lead", "lead"
    RIGGING = "rigging", "rigging"
    DRIVER = "driver", "driver"
    FLORIST = "florist", "florist"
    LADDER = "ladder", "ladder"


EVERY_DAY: Final = "1111111"
EUROPEAN_WEEKLY_REST: Final = Decimal(24)
"""Hours beside the daily rest: Directive 2003/88/EC, article 5."""


@tracked(exclude=["pay_an_hour"])
class CrewMember(TenantModel):
    """A member of the studio as somebody who can be called."""

    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, related_name="+")
    lead = models.BooleanField(default=False)
    rigging = models.BooleanField(default=False)
    driver = models.BooleanField(default=False)
    florist = models.BooleanField(default=False)
    ladder = models.BooleanField(default=False)
    weekdays = models.CharField(
        max_length=7, default=EVERY_DAY, help_text="Monday first: 1 works, 0 doesn't."
    )
    from_time = models.TimeField("works from", null=True, blank=True, help_text="Empty: at any time of day.")
    to_time = models.TimeField("works until", null=True, blank=True)
    pay_an_hour = models.DecimalField(
        max_digits=12, decimal_places=4, null=True, blank=True, help_text="For the owner's eyes only."
    )
    is_called = models.BooleanField(default=True, help_text="Whether they are on hand for events at all.")

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "person"], name="events_crewmember_person_key"),
            models.CheckConstraint(
                condition=Q(weekdays__regex=r"^[01]{7}$"), name="events_crewmember_weekdays"
            ),
            models.CheckConstraint(
                condition=Q(from_time=None, to_time=None) | Q(from_time__lt=F("to_time")),
                name="events_crewmember_hours_in_order",
            ),
            models.CheckConstraint(
                condition=Q(pay_an_hour=None) | Q(pay_an_hour__gte=0), name="events_crewmember_pay_range"
            ),
        ]

    def __str__(self) -> str:
        return str(self.person)

    @property
    def skills(self) -> tuple[Skill, ...]:
        """What they can be called for, in the order of :class:`Skill`."""
        return tuple(skill for skill in Skill if getattr(self, skill.value))

    @property
    def skills_in_words(self) -> str:
        """The skills in one line."""
        return ", ".join(skill.label for skill in self.skills)

    @property
    def is_always_there(self) -> bool:
        """Whether they work on every weekday, at any hour."""
        return "0" not in self.weekdays and self.from_time is None

    def works_on(self, day: date) -> bool:
        """Whether that weekday is one of theirs."""
        return self.weekdays[day.weekday()] == "1"


class DayOff(TenantModel):
    """Days on which somebody can't be called, both ends included."""

    member = TenantForeignKey("events.CrewMember", on_delete=models.CASCADE, related_name="days_off")
    first_day = models.DateField()
    last_day = models.DateField()
    why = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering: ClassVar = ["first_day", "pk"]
        verbose_name_plural = "days off"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(first_day__lte=F("last_day")), name="events_dayoff_first_before_last"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_day} to {self.last_day}"


@tracked()
class Van(TenantModel):
    """Something that drives: what it holds and how many sit in it."""

    name = models.CharField(max_length=60)
    load_m3 = models.DecimalField("load space", max_digits=6, decimal_places=2, null=True, blank=True)
    longest_m = metres("longest piece that goes in")
    seats = models.PositiveSmallIntegerField(
        default=3, validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    is_in_use = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "name"], name="events_van_name_key"),
            models.CheckConstraint(condition=~Q(name=""), name="events_van_has_a_name"),
            models.CheckConstraint(
                condition=Q(load_m3=None) | Q(load_m3__gt=0, load_m3__lte=200), name="events_van_load_range"
            ),
            models.CheckConstraint(
                condition=Q(longest_m=None) | Q(longest_m__gt=0, longest_m__lte=30),
                name="events_van_longest_range",
            ),
            models.CheckConstraint(condition=Q(seats__gte=1, seats__lte=60), name="events_van_seats_range"),
        ]

    def __str__(self) -> str:
        return self.name


def _hours(label: str, default: str, *, least: int, most: int) -> DecimalField:
    return models.DecimalField(
        label,
        max_digits=5,
        decimal_places=2,
        default=Decimal(default),
        validators=[MinValueValidator(Decimal(least)), MaxValueValidator(Decimal(most))],
    )


def _people(label: str) -> SmallField:
    return models.PositiveSmallIntegerField(
        label, default=2, validators=[MinValueValidator(1), MaxValueValidator(30)]
    )


@tracked()
class WorkRules(TenantModel):
    """How the studio works: one row a studio, or none where all is as usual.

    Rest and week are those of Directive 2003/88/EC, articles 3, 5 and 6, until the studio sets its own; the law
    of the place decides. The other defaults are common practice, no source.
    """

    daily_rest_hours = _hours("rest between two days of work", "11", least=0, most=24)
    weekly_rest_hours = models.DecimalField(
        "more rest once in seven days",
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(72))],
        help_text="In one piece with the rest between two days. Empty: 24 in Europe, otherwise none.",
    )
    weekly_hours = _hours("most hours in seven days", "48", least=1, most=168)
    fresh_hours = _hours("inflated at the earliest, before it is ready", "24", least=1, most=336)
    drying_hours = _hours("wash and dry covers", "6", least=0, most=96)
    prep_people = _people("people for prep")
    install_people = _people("people to install")
    strike_people = _people("people to take down")
    ask_again_minutes = models.PositiveSmallIntegerField(
        "ask crew again when a shift moves by more than",
        default=30,
        validators=[MaxValueValidator(600)],
        help_text="A smaller move keeps their answer.",
    )

    class Meta:
        verbose_name_plural = "work rules"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio"], name="events_workrules_studio_key"),
            models.CheckConstraint(
                condition=Q(daily_rest_hours__gte=0, daily_rest_hours__lte=24)
                & Q(weekly_hours__gte=1, weekly_hours__lte=168)
                & Q(fresh_hours__gte=1, fresh_hours__lte=336)
                & Q(drying_hours__gte=0, drying_hours__lte=96),
                name="events_workrules_hours_range",
            ),
            models.CheckConstraint(
                condition=Q(weekly_rest_hours=None) | Q(weekly_rest_hours__gte=0, weekly_rest_hours__lte=72),
                name="events_workrules_weekly_rest_range",
            ),
            models.CheckConstraint(
                condition=Q(ask_again_minutes__lte=600), name="events_workrules_ask_again_range"
            ),
            models.CheckConstraint(
                condition=Q(prep_people__gte=1, prep_people__lte=30)
                & Q(install_people__gte=1, install_people__lte=30)
                & Q(strike_people__gte=1, strike_people__lte=30),
                name="events_workrules_people_range",
            ),
        ]

    def weekly_rest(self, *, is_european: bool) -> timedelta:
        """The rest in one piece once in seven days, the daily rest included; nothing where there is no such rule."""
        hours = self.weekly_rest_hours
        if hours is None:
            hours = EUROPEAN_WEEKLY_REST if is_european else Decimal(0)
        return timedelta(hours=float(hours + self.daily_rest_hours)) if hours else timedelta()

    @property
    def tolerance(self) -> timedelta:
        """By how much a shift may move before its crew is asked again."""
        return timedelta(minutes=self.ask_again_minutes)

    def __str__(self) -> str:
        return f"rest {self.daily_rest_hours} h, week {self.weekly_hours} h"
