"""People: who signs in. A person stands outside the studios and belongs to them by membership."""

from __future__ import annotations

from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower

from studio.measures.languages import Language


class PersonManager(BaseUserManager["Person"]):
    """Makes people from an e-mail address."""

    def create_user(self, email: str, password: str | None = None, *, name: str = "") -> Person:
        """A person with that address; without a password they can only sign in after a reset."""
        person = self.model(email=email.strip().lower(), name=name)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(email__iexact=username)


class Person(AbstractBaseUser):
    """Somebody who signs in by e-mail."""

    email = models.EmailField("e-mail address", unique=True)
    name = models.CharField(max_length=120)
    language = models.CharField(
        max_length=2, blank=True, choices=Language, help_text="ISO 639-1. Empty: the studio's."
    )
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar[PersonManager] = PersonManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(Lower("email"), name="studio_person_email_lower_key"),
            models.CheckConstraint(
                condition=models.Q(language__in=["", *Language.values]), name="studio_person_language_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        """The name as written, for e-mails."""
        return self.name

    def get_short_name(self) -> str:
        """The first word of the name."""
        return self.name.split(" ")[0]
