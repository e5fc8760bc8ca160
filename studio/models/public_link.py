"""Links that open one thing for whoever holds them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.models import TenantModel


class LinkPurpose(models.TextChoices):
    """What a link opens; a link serves one purpose only."""

    INVITATION = "invitation", "joining the studio"
    OFFER = "offer", "an offer to a client"
    CREW_CALL = "crew call", "one event, for crew"
    CALL = "call", "saying yes or no to a call"
    FEED = "feed", "a calendar feed"
    LOOK_ALONG = "look along", "a sketch, while it is being talked about"


class PublicLink(TenantModel):
    """An unguessable token, of which only the hash is kept; it expires, and it can be revoked."""

    purpose = models.CharField(max_length=12, choices=LinkPurpose)
    subject_id = models.BigIntegerField(help_text="Primary key of what is opened.")
    token_hash = models.CharField(max_length=64, help_text="SHA-256 of the token, hexadecimal.")
    handle = models.CharField(max_length=16, help_text="Names the link in a clean address; no secret.")
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            # 256-bit hashes of random tokens: a clash across studios says nothing about anybody's rows.
            models.UniqueConstraint(fields=["token_hash"], name="studio_publiclink_token_hash_key"),
            models.UniqueConstraint(fields=["studio", "handle"], name="studio_publiclink_handle_key"),
        ]

    def __str__(self) -> str:
        return f"{self.purpose} {self.handle}"
