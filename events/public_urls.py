"""Addresses that crew open by a link, without an account."""

from __future__ import annotations

from django.urls import path

from events.crew import call_views, feed_views, take_up_views

urlpatterns = [
    path("p/<str:token>", take_up_views.take_up_phone, name="take-up-phone"),
    path("c/<str:token>", call_views.open_call, name="open-call"),
    path("calendar/<str:token>.ics", feed_views.feed, name="calendar-feed"),
    path("call/<slug:handle>/", call_views.call, name="call"),
]
