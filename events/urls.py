"""Addresses of the events room, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.views import (
    changing,
    clients,
    crew,
    enquiry,
    event,
    load_out,
    photos,
    return_list,
    venues,
    week,
)

app_name = "events"

urlpatterns = [
    path("", week.week, name="week"),
    path("events/", event.events, name="events"),
    path("events/new/", enquiry.new_enquiry, name="new-enquiry"),
    path("events/<int:event_id>/", event.event, name="event"),
    path("events/<int:event_id>/details/", changing.details, name="details"),
    path("events/<int:event_id>/times/", changing.times, name="times"),
    path("events/<int:event_id>/stage/<str:stage>", event.go_to_stage, name="stage"),
    path("events/<int:event_id>/note", event.note, name="note"),
    path("events/<int:event_id>/call-off", event.call_off, name="call-off"),
    path("events/<int:event_id>/take-up-again", event.take_up_again, name="take-up-again"),
    path("events/<int:event_id>/load-out/", load_out.load_out, name="load-out"),
    path("events/<int:event_id>/load-out/ticks", load_out.tick_log, name="ticks"),
    path("events/<int:event_id>/load-out/photos", photos.add_photo, name="add-photo"),
    path("events/<int:event_id>/count-back/", return_list.return_list, name="count-back"),
    path("photos/<int:photo_id>.jpg", photos.photo, name="photo"),
    path("events/<int:event_id>/load-out/paper/", load_out.paper, name="load-out-paper"),
    path("clients/", clients.clients, name="clients"),
    path("clients/new/", clients.new_client, name="new-client"),
    path("clients/<int:client_id>/", clients.client, name="client"),
    path("venues/", venues.venues, name="venues"),
    path("venues/new/", venues.new_venue, name="new-venue"),
    path("venues/<int:venue_id>/", venues.venue, name="venue"),
    path("venues/<int:venue_id>/change/", venues.change_venue, name="change-venue"),
    path("crew/", crew.crew, name="crew"),
]
