"""Addresses of an event's crew, its shifts and its run sheet, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.schedule import views

urlpatterns = [
    path("events/<int:event_id>/run-sheet/", views.show_run_sheet, name="run-sheet"),
    path("events/<int:event_id>/run-sheet/ring/", views.show_contacts, name="run-sheet-contacts"),
    path("events/<int:event_id>/crew/", views.show_event_crew, name="event-crew"),
    path("events/<int:event_id>/crew/call/", views.call_crew, name="crew-call"),
    path("events/<int:event_id>/crew/end-tours/", views.end_tours, name="event-tours-end"),
    path("events/<int:event_id>/crew/<str:kind>/assign/", views.assign_person, name="shift-assign"),
    path("events/<int:event_id>/crew/<str:kind>/van/", views.assign_van, name="shift-van-assign"),
    path("events/<int:event_id>/crew/<str:kind>/times/", views.change_times, name="shift-times-change"),
    path(
        "events/<int:event_id>/crew/<str:kind>/times/restore/",
        views.restore_times,
        name="shift-times-restore",
    ),
    path("crew/calls/<int:call_id>/remove/", views.remove_person, name="shift-unassign"),
    path("crew/<int:membership_id>/run-sheet/", views.show_person_run_sheet, name="person-run-sheet"),
]
