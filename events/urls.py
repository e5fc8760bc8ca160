"""Addresses of the events room, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.booking import attachment_views, enquiry_views
from events.calendar import month_views
from events.calendar import views as week
from events.contacts import venue_views, views
from events.costs import views as real_cost
from events.crew import feed_views, phone_views
from events.crew import views as crew
from events.jobs import change_views, search_views
from events.jobs import views as event
from events.loadout import paper_views, photo_views, return_views
from events.loadout import views as load_out
from events.planner import views as plan
from events.schedule import crew_views
from events.schedule import views as run_sheet
from events.transfers import views as straight

app_name = "events"

urlpatterns = [
    path("", week.week, name="week"),
    path("month/", month_views.month, name="month"),
    path("plan/", plan.plan, name="plan"),
    path("plan/<str:asked>/", plan.planned, name="planned"),
    path("plan/accept", plan.accept_plan, name="accept-plan"),
    path("events/", event.events, name="events"),
    path("events/new/", enquiry_views.new_enquiry, name="new-enquiry"),
    path("events/<int:event_id>/", event.event, name="event"),
    path("events/<int:event_id>/details/", change_views.details, name="details"),
    path("events/<int:event_id>/times/", change_views.times, name="times"),
    path("events/<int:event_id>/stage/<str:stage>", event.go_to_stage, name="stage"),
    path("events/<int:event_id>/note", event.note, name="note"),
    path("events/<int:event_id>/call-off", event.call_off, name="call-off"),
    path("events/<int:event_id>/take-up-again", event.take_up_again, name="take-up-again"),
    path("events/<int:event_id>/straight/", straight.straight, name="straight"),
    path("events/<int:event_id>/straight/<int:handed_id>/undo", straight.not_straight, name="not-straight"),
    path("events/<int:event_id>/straight/wish/<int:wish_id>/drop", straight.drop_wish, name="drop-wish"),
    path("events/<int:event_id>/load-out/", load_out.load_out, name="load-out"),
    path("events/<int:event_id>/load-out/ticks", load_out.tick_log, name="ticks"),
    path("events/<int:event_id>/load-out/photos", photo_views.add_photo, name="add-photo"),
    path("events/<int:event_id>/cost/", real_cost.real_cost, name="real-cost"),
    path("events/<int:event_id>/count-back/", return_views.return_list, name="count-back"),
    path("events/<int:event_id>/files/add", attachment_views.add_to_event, name="enclose-to-event"),
    path("venues/<int:venue_id>/files/add", attachment_views.add_to_venue, name="enclose-to-venue"),
    path("files/<int:enclosure_id>/", attachment_views.enclosure, name="enclosure"),
    path("files/<int:enclosure_id>/drop", attachment_views.drop, name="drop-enclosure"),
    path("photos/<int:photo_id>.jpg", photo_views.photo, name="photo"),
    path("events/<int:event_id>/load-out/paper.pdf", paper_views.load_out, name="load-out-paper"),
    path(
        "events/<int:event_id>/count-back/paper.pdf", paper_views.strike_and_return, name="return-list-paper"
    ),
    path("clients/", views.clients, name="clients"),
    path("clients/new/", views.new_client, name="new-client"),
    path("clients/<int:client_id>/", views.client, name="client"),
    path("clients/<int:client_id>/ways/add", views.add_way, name="add-way"),
    path("clients/ways/<int:way_id>/drop", views.drop_way, name="drop-way"),
    path("find/", search_views.search, name="search"),
    path("venues/", venue_views.venues, name="venues"),
    path("venues/new/", venue_views.new_venue, name="new-venue"),
    path("venues/<int:venue_id>/", venue_views.venue, name="venue"),
    path("venues/<int:venue_id>/drive", venue_views.say_drive, name="say-drive"),
    path("venues/<int:venue_id>/change/", venue_views.change_venue, name="change-venue"),
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
    path("events/<int:event_id>/phones/", phone_views.phones, name="phones"),
    path("events/<int:event_id>/phones/<int:phone_id>/new-link", phone_views.new_link, name="new-phone-link"),
    path("events/<int:event_id>/phones/<int:phone_id>/end", phone_views.end_link, name="end-phone-link"),
    path("crew/calls/<int:call_id>/take-off", crew_views.take_off, name="take-off"),
    path("crew/", crew.crew, name="crew"),
    path("crew/rules/", crew.rules, name="crew-rules"),
    path("crew/vans/new/", crew.new_van, name="new-van"),
    path("crew/vans/<int:van_id>/", crew.van, name="van"),
    path("crew/days-off/<int:day_off_id>/take-back", crew.take_back_days_off, name="take-back-days-off"),
    path("crew/calendar/open", feed_views.open_studio_feed, name="open-studio-feed"),
    path("crew/calendar/close", feed_views.close_studio_feed, name="close-studio-feed"),
    path("crew/<int:membership_id>/calendar/open", feed_views.open_feed, name="open-feed"),
    path("crew/<int:membership_id>/calendar/close", feed_views.close_feed, name="close-feed"),
    path("crew/<int:membership_id>/", crew.member, name="crew-member"),
    path("crew/<int:membership_id>/days-off", crew.days_off, name="days-off"),
    path("crew/<int:membership_id>/run-sheet/", run_sheet.of_person, name="person-run-sheet"),
]
