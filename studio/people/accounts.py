"""How django-allauth meets our people: sign-up by invitation, mail by the worker's rules."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django import forms
from django.http import HttpRequest

from studio.models import LinkPurpose, Person

JOIN_SESSION_KEY = "join_handle"


def display_name(person: Person) -> str:
    """What allauth's pages call a person."""
    return str(person)


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc] # allauth has no types
    """Sign-up is open to a browser that holds an invitation's link, and to all where studios are opened freely."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """True while the browser's invitation still stands, and where anybody may open a studio."""
        from studio.people import opening, opening_views, public_links

        if opening_views.opening_of(request) or opening.may_anybody_open():
            return True
        handle = request.session.get(JOIN_SESSION_KEY, "")
        return bool(handle) and public_links.from_cookie(request, handle, LinkPurpose.INVITATION) is not None

    def save_user(self, request: HttpRequest, user: Person, form: forms.Form, commit: bool = True) -> Person:
        """Save name that was typed beside the address."""
        user.name = form.cleaned_data.get("name", "")
        saved: Person = super().save_user(request, user, form, commit)
        return saved
