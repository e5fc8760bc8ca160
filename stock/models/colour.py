"""Colours under plain names, with their screen and measured values."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel

CODE = r"^[a-z0-9]+(-[a-z0-9]+)*$"
"""The form of codes: lower-case letters, digits and single hyphens."""
HEX = r"^#[0-9A-F]{6}$"


class Finish(models.TextChoices):
    """The finish of the surface."""

    MATT = "matt", "matt"
    PEARL = "pearl", "pearl"
    METALLIC = "metallic", "metallic"
    MIRROR = "mirror", "mirror"
    CLEAR = "clear", "clear"


@tracked()
class Colour(TenantModel):
    """A colour that items come in."""

    code = models.CharField(max_length=40, help_text="Part of item codes, such as latex-11-oat.")
    name = models.CharField(max_length=60)
    hex = models.CharField("on screen", max_length=7, help_text="sRGB, such as #E9E1D2.")
    lightness = models.FloatField("L*", help_text="CIELAB, D65, 2° observer.")
    a = models.FloatField("a*")
    b = models.FloatField("b*")
    finish = models.CharField(max_length=8, choices=Finish, default=Finish.MATT)
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "code"], name="stock_colour_code_key"),
            models.CheckConstraint(condition=models.Q(code__regex=CODE), name="stock_colour_code_shape"),
            models.CheckConstraint(condition=models.Q(hex__regex=HEX), name="stock_colour_hex_shape"),
            models.CheckConstraint(
                condition=models.Q(lightness__gte=0, lightness__lte=100), name="stock_colour_lightness_range"
            ),
        ]

    def __str__(self) -> str:
        return self.name
