"""Stretches of work for an event, and who is called to them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from studio.measures.times import Window
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class ShiftKind(models.TextChoices):
    """The three shifts of an event's work."""

    PREP = "prep", _("prep at the studio")
    INSTALL = "install", _("load out and install")
    STRIKE = "strike", _("strike and return")


@tracked()
class Shift(TenantModel):
    """One shift for one event, with the van that goes."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="shifts")
    kind = models.CharField(max_length=7, choices=ShiftKind)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    van = TenantForeignKey(
        "events.Van", on_delete=models.PROTECT, null=True, blank=True, related_name="shifts"
    )
    times_fixed = models.BooleanField(default=False, help_text="Times were set by hand: planning keeps them.")
    van_fixed = models.BooleanField(default=False, help_text="The van was chosen by hand: planning keeps it.")

    comes_from = TenantForeignKey(
        "events.Shift", on_delete=models.SET_NULL, null=True, blank=True, editable=False, related_name="goes_on_to",
        help_text="The stretch from whose site its van and crew come straight, without the studio between.",
    )  # fmt: skip

    class Meta:
        ordering: ClassVar = ["starts_at", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "event", "kind"], name="events_shift_kind_key"),
            models.CheckConstraint(condition=Q(kind__in=ShiftKind.values), name="events_shift_kind"),
            models.CheckConstraint(
                condition=Q(starts_at__lt=F("ends_at")), name="events_shift_start_before_end"
            ),
            models.CheckConstraint(
                condition=~Q(kind=ShiftKind.PREP) | Q(van=None), name="events_shift_prep_has_no_van"
            ),
            models.CheckConstraint(
                condition=~Q(kind=ShiftKind.PREP) | Q(comes_from=None),
                name="events_shift_prep_comes_from_none",
            ),
            models.CheckConstraint(
                condition=Q(comes_from=None) | ~Q(comes_from=F("pk")), name="events_shift_comes_from_another"
            ),
            models.UniqueConstraint(fields=["studio", "comes_from"], name="events_shift_comes_from_key"),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "starts_at", "ends_at"], name="events_shift_by_window"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.starts_at:%Y-%m-%d %H:%M}"

    def window(self) -> Window:
        """From when to when."""
        return Window(self.starts_at, self.ends_at)


class Answer(models.TextChoices):
    """What somebody said to a call."""

    NOT_ASKED = "not asked", "not asked yet"
    ASKED = "asked", "asked"
    YES = "yes", "said yes"
    NO = "no", "said no"


@tracked()
class CrewCall(TenantModel):
    """Somebody on a shift, and whether they said yes."""

    shift = TenantForeignKey("events.Shift", on_delete=models.CASCADE, related_name="calls")
    member = TenantForeignKey("events.CrewMember", on_delete=models.PROTECT, related_name="calls")
    drives = models.BooleanField(default=False)
    fixed = models.BooleanField(default=False, help_text="Put there by hand: planning keeps them.")
    answer = models.CharField(max_length=9, choices=Answer, default=Answer.NOT_ASKED)
    asked_at = models.DateTimeField(null=True)
    answered_at = models.DateTimeField(null=True)
    answer_starts_at = models.DateTimeField(
        null=True, help_text="The hours that the question or the answer was for."
    )
    answer_ends_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "shift", "member"], name="events_crewcall_member_key"),
            models.CheckConstraint(condition=Q(answer__in=Answer.values), name="events_crewcall_answer"),
            models.CheckConstraint(
                condition=Q(answer=Answer.NOT_ASKED) | Q(asked_at__isnull=False),
                name="events_crewcall_answer_was_asked",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.member_id} on shift {self.shift_id}"
