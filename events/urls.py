"""Addresses of the events room, inside a studio."""

from __future__ import annotations

from django.urls import include, path

from events.loadout import paper_views, photo_views, return_views
from events.loadout import views as load_out

app_name = "events"

urlpatterns = [
    path("", include("events.calendar.urls")),
    path("", include("events.jobs.urls")),
    path("", include("events.crew.urls")),
    path("", include("events.crew_phones.urls")),
    path("", include("events.schedule.urls")),
    path("", include("events.costs.urls")),
    path("", include("events.planner.urls")),
    path("", include("events.booking.urls")),
    path("", include("events.contacts.urls")),
    path("", include("events.transfers.urls")),
    path("events/<int:event_id>/load-out/", load_out.load_out, name="load-out"),
    path("events/<int:event_id>/load-out/ticks", load_out.tick_log, name="ticks"),
    path("events/<int:event_id>/load-out/photos", photo_views.add_photo, name="add-photo"),
    path("events/<int:event_id>/count-back/", return_views.return_list, name="count-back"),
    path("photos/<int:photo_id>.jpg", photo_views.photo, name="photo"),
    path("events/<int:event_id>/load-out/paper.pdf", paper_views.load_out, name="load-out-paper"),
    path(
        "events/<int:event_id>/count-back/paper.pdf", paper_views.strike_and_return, name="return-list-paper"
    ),
]
