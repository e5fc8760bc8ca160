"""Addresses of enquiries and attachments, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.booking import import_views, views

urlpatterns = [
    path("events/<int:event_id>/wishes/", views.change_wishes, name="event-wishes"),
    path("events/import/", import_views.import_bookings, name="bookings-import"),
    path("events/new/", views.add_enquiry, name="enquiry-add"),
    path("events/<int:event_id>/files/add/", views.attach_to_event, name="event-attachment-add"),
    path("venues/<int:venue_id>/files/add/", views.attach_to_venue, name="venue-attachment-add"),
    path("files/<int:enclosure_id>/", views.show_attachment, name="attachment"),
    path("files/<int:enclosure_id>/remove/", views.remove_attachment, name="attachment-remove"),
]
