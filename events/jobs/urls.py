"""Addresses of events and of the search, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.jobs import views

urlpatterns = [
    path("find/", views.search_all, name="search"),
    path("events/", views.list_events, name="events"),
    path("events/<int:event_id>/", views.show_event, name="event"),
    path("events/<int:event_id>/details/", views.change_details, name="event-change"),
    path("events/<int:event_id>/times/", views.change_times, name="event-move"),
    path("events/<int:event_id>/stage/<str:stage>/", views.change_stage, name="event-stage-change"),
    path("events/<int:event_id>/note/", views.add_note, name="event-note-add"),
    path("events/<int:event_id>/swaps/<str:code>/undo/", views.undo_swap, name="event-swap-undo"),
    path("events/<int:event_id>/call-off/", views.call_off, name="event-call-off"),
    path("events/<int:event_id>/postpone/", views.postpone, name="event-postpone"),
    path("events/<int:event_id>/take-up-again/", views.take_up_again, name="event-take-up-again"),
]
