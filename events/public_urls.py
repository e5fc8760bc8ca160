"""Addresses that crew open by a link, without an account."""

from __future__ import annotations

from django.urls import path

from events.views import call_answer, feeds, take_up_phone

urlpatterns = [
    path("p/<str:token>", take_up_phone.take_up_phone, name="take-up-phone"),
    path("c/<str:token>", call_answer.open_call, name="open-call"),
    path("calendar/<str:token>.ics", feeds.feed, name="calendar-feed"),
    path("call/<slug:handle>/", call_answer.call, name="call"),
]
