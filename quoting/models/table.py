"""Designs on the drawing table: each act is a step, so that undo works as well tomorrow."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from quoting.models.design import DesignTemplate
from quoting.models.quote import Quote, SetPiece
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked(exclude=["version", "at", "seen", "kept", "went", "piece_was", "thrown_at", "changed_at"])
class TableDraft(TenantModel):
    """A design while it is drawn. ``version`` counts every change: who acts on an older one is refused."""

    name = models.CharField(max_length=120)
    version = models.PositiveIntegerField(default=1, editable=False)
    at = models.PositiveIntegerField(default=0, editable=False, help_text="Number of the present step.")
    quote = TenantForeignKey(Quote, on_delete=models.CASCADE, null=True, related_name="drafts")
    piece = TenantForeignKey(
        SetPiece,
        on_delete=models.SET_NULL,
        null=True,
        related_name="+",
        help_text="The piece that it changes.",
    )
    piece_was = models.BigIntegerField(
        null=True, editable=False,
        help_text="Id of that piece: where it was taken out, undo of the quote brings it back under the same one.",
    )  # fmt: skip
    template = TenantForeignKey(
        DesignTemplate, on_delete=models.SET_NULL, null=True, related_name="+",
        help_text="The design that it changes.",
    )  # fmt: skip
    seen = models.CharField(
        max_length=64, blank=True, editable=False,
        help_text="Digest of the piece's or the design's document as the draft last knew it.",
    )  # fmt: skip
    kept = models.CharField(
        max_length=64, blank=True, editable=False,
        help_text="Digest of what is drawn as it was last put into the quote or saved as the design.",
    )  # fmt: skip
    went = models.CharField(
        max_length=40, blank=True, editable=False,
        help_text="What the page called the last undo or redo, so that it is made once.",
    )  # fmt: skip
    thrown_at = models.DateTimeField(
        null=True,
        editable=False,
        help_text="When somebody deleted it: it is listed no more, and let go later.",
    )
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    changed_by = models.ForeignKey(
        "studio.Person", on_delete=models.SET_NULL, null=True, editable=False, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-changed_at", "-pk"]
        indexes: ClassVar = [
            models.Index(fields=["studio", "-changed_at"], name="quoting_tabledraft_changed"),
            models.Index(fields=["studio", "quote"], name="quoting_tabledraft_quote"),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "piece"], name="quoting_tabledraft_piece_key"),
            models.UniqueConstraint(fields=["studio", "piece_was"], name="quoting_tabledraft_piece_was_key"),
            models.UniqueConstraint(fields=["studio", "template"], name="quoting_tabledraft_template_key"),
            models.CheckConstraint(
                condition=models.Q(version__gte=1), name="quoting_tabledraft_version_range"
            ),
            models.CheckConstraint(
                condition=models.Q(piece=None) | models.Q(quote__isnull=False),
                name="quoting_tabledraft_piece_in_quote",
            ),
            models.CheckConstraint(
                condition=models.Q(piece=None)
                | models.Q(piece_was__isnull=False, piece=models.F("piece_was")),
                name="quoting_tabledraft_piece_was_it",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TableStep(TenantModel):
    """The design after one act."""

    draft = TenantForeignKey(TableDraft, on_delete=models.CASCADE, related_name="steps")
    number = models.PositiveIntegerField()
    what = models.CharField(max_length=160, help_text="The act that led here, in words.")
    key = models.CharField(
        max_length=40, blank=True, help_text="What the page called the act, so that it is made once."
    )
    design = models.JSONField()
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        "studio.Person", on_delete=models.SET_NULL, null=True, editable=False, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "draft", "number"], name="quoting_tablestep_number_key")
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.what}"
