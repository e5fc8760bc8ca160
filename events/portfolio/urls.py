"""Addresses of consents and of the portfolio's switch, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.portfolio import views

urlpatterns = [
    path("events/<int:event_id>/photos/", views.show_photos, name="event-photos"),
    path("events/<int:event_id>/photos/consent/", views.record_consent, name="photo-consent"),
    path("events/<int:event_id>/photos/withdraw/", views.withdraw_consent, name="photo-consent-withdraw"),
    path("portfolio/", views.change_portfolio, name="portfolio"),
]
