"""Addresses of the events room, inside a studio."""

from __future__ import annotations

from django.urls import include, path

from events.costs import views as real_cost
from events.loadout import paper_views, photo_views, return_views
from events.loadout import views as load_out
from events.planner import views as plan
from events.schedule import crew_views
from events.schedule import views as run_sheet

app_name = "events"

urlpatterns = [
    path("", include("events.calendar.urls")),
    path("", include("events.jobs.urls")),
    path("", include("events.crew.urls")),
    path("", include("events.crew_phones.urls")),
    path("", include("events.booking.urls")),
    path("", include("events.contacts.urls")),
    path("", include("events.transfers.urls")),
    path("plan/", plan.plan, name="plan"),
    path("plan/<str:asked>/", plan.planned, name="planned"),
    path("plan/accept", plan.accept_plan, name="accept-plan"),
    path("events/<int:event_id>/load-out/", load_out.load_out, name="load-out"),
    path("events/<int:event_id>/load-out/ticks", load_out.tick_log, name="ticks"),
    path("events/<int:event_id>/load-out/photos", photo_views.add_photo, name="add-photo"),
    path("events/<int:event_id>/cost/", real_cost.real_cost, name="real-cost"),
    path("events/<int:event_id>/count-back/", return_views.return_list, name="count-back"),
    path("photos/<int:photo_id>.jpg", photo_views.photo, name="photo"),
    path("events/<int:event_id>/load-out/paper.pdf", paper_views.load_out, name="load-out-paper"),
    path(
        "events/<int:event_id>/count-back/paper.pdf", paper_views.strike_and_return, name="return-list-paper"
    ),
    path("events/<int:event_id>/run-sheet/", run_sheet.run_sheet, name="run-sheet"),
    path("events/<int:event_id>/run-sheet/ring/", run_sheet.whom_to_ring, name="whom-to-ring"),
    path("events/<int:event_id>/run-sheet/paper.pdf", run_sheet.paper, name="run-sheet-paper"),
    path("events/<int:event_id>/crew/", crew_views.event_crew, name="event-crew"),
    path("events/<int:event_id>/crew/call", crew_views.call_crew, name="call-crew"),
    path("events/<int:event_id>/crew/<str:kind>/put-on", crew_views.put_on, name="put-on"),
    path("events/<int:event_id>/crew/<str:kind>/van", crew_views.send_van, name="send-van"),
    path("events/<int:event_id>/crew/from-studio", crew_views.from_studio, name="from-studio"),
    path("events/<int:event_id>/crew/<str:kind>/as-planned", crew_views.as_planned, name="as-planned"),
    path("events/<int:event_id>/crew/<str:kind>/times/", crew_views.stretch, name="stretch"),
    path("crew/calls/<int:call_id>/take-off", crew_views.take_off, name="take-off"),
    path("crew/<int:membership_id>/run-sheet/", run_sheet.of_person, name="person-run-sheet"),
]
