"""Addresses that crew open by a link, without an account."""

from __future__ import annotations

from django.urls import path

from events.views import call_answer, feeds

urlpatterns = [
    path("c/<str:token>", call_answer.open_call, name="open-call"),
    path("calendar/<str:token>.ics", feeds.feed, name="calendar-feed"),
    path("call/<slug:handle>/", call_answer.call, name="call"),
]
