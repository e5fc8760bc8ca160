"""Addresses of an event's phones, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.crew_phones import views

urlpatterns = [
    path("events/<int:event_id>/phones/", views.list_phones, name="phones"),
    path("events/<int:event_id>/language/", views.choose_language, name="crew-language"),
    path("events/<int:event_id>/phones/<int:phone_id>/new-link/", views.renew_link, name="phone-link-renew"),
    path("events/<int:event_id>/phones/<int:phone_id>/end/", views.end_link, name="phone-link-end"),
]
