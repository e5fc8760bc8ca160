"""Addresses that crew open by a link, without an account. Links that were sent keep their form."""

from __future__ import annotations

from django.urls import path

from events.crew import public_views

urlpatterns = [
    path("c/<str:token>", public_views.open_call, name="call-open"),
    path("calendar/<str:token>.ics", public_views.show_feed, name="calendar-feed"),
    path("call/<slug:handle>/", public_views.answer_call, name="call"),
]
