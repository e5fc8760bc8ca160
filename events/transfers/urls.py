"""Addresses of transfers between events, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.transfers import views

urlpatterns = [
    path("events/<int:event_id>/transfers/", views.choose_transfer, name="transfer-choose"),
    path(
        "events/<int:event_id>/transfers/<int:transfer_id>/undo/", views.undo_transfer, name="transfer-undo"
    ),
    path(
        "events/<int:event_id>/transfers/requests/<int:request_id>/cancel/",
        views.cancel_request,
        name="transfer-request-cancel",
    ),
]
