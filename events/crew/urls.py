"""Addresses of crew, vans and calendar feeds, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.crew import views

urlpatterns = [
    path("crew/", views.list_crew, name="crew"),
    path("crew/rules/", views.change_rules, name="crew-rules-change"),
    path("crew/vans/new/", views.add_van, name="van-add"),
    path("crew/vans/<int:van_id>/", views.change_van, name="van-change"),
    path("crew/days-off/<int:day_off_id>/remove/", views.remove_days_off, name="days-off-remove"),
    path("crew/calendar/open/", views.open_studio_feed, name="studio-feed-open"),
    path("crew/calendar/close/", views.close_studio_feed, name="studio-feed-close"),
    path("crew/<int:membership_id>/calendar/open/", views.open_feed, name="feed-open"),
    path("crew/<int:membership_id>/calendar/close/", views.close_feed, name="feed-close"),
    path("crew/<int:membership_id>/", views.show_member, name="crew-member"),
    path("crew/<int:membership_id>/days-off/", views.add_days_off, name="days-off-add"),
]
