"""Addresses of signing on, before any studio is entered."""

from __future__ import annotations

from django.urls import path

from studio.people import opening_views, views

urlpatterns = [
    path("", views.show_front_door, name="front-door"),
    path("health/", views.report_health, name="health"),
    path("open/<str:token>/", opening_views.take_up_invitation, name="opening-invited"),
    path("opening/", opening_views.open_a_studio, name="opening"),
    path("join/<str:token>/", views.open_invitation, name="invitation-open"),
    path("joining/<str:handle>/", views.join, name="join"),
    # Scripts that phones keep ask for this address as it is.
    path("phone/signed-in", views.tell_who_is_signed_in, name="signed-in"),
]
