"""Design templates: what a set piece is drawn from."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models.functions import Lower

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel


@tracked(exclude=["picture"])
class DesignTemplate(TenantModel):
    """A set piece as designed once, to be scaled to a site. ``design`` is read by ``craft.design``."""

    name = models.CharField(max_length=120)
    design = models.JSONField()
    is_starter = models.BooleanField("came with the product", default=False)
    facts = models.CharField(max_length=160, blank=True, help_text="Its size and count in one line.")
    alt = models.TextField(blank=True, help_text="What its picture shows.")
    picture = models.TextField(blank=True, help_text="Elevation as SVG, drawn when the design was last kept.")
    picture_width = models.PositiveIntegerField(default=0)
    picture_height = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                "studio",
                Lower("name"),
                condition=models.Q(retired_at=None),
                name="quoting_designtemplate_name_key",
            )
        ]

    def __str__(self) -> str:
        return self.name
