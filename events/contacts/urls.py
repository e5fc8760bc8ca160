"""Addresses of clients and venues, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.contacts import import_views, views

urlpatterns = [
    path("clients/", views.list_clients, name="clients"),
    path("clients/import/", import_views.import_clients, name="clients-import"),
    path("clients/new/", views.add_client, name="client-add"),
    path("clients/<int:client_id>/", views.show_client, name="client"),
    path("clients/<int:client_id>/ways/add/", views.add_way, name="client-way-add"),
    path("clients/ways/<int:way_id>/remove/", views.remove_way, name="client-way-remove"),
    path("venues/", views.list_venues, name="venues"),
    path("venues/new/", views.add_venue, name="venue-add"),
    path("venues/<int:venue_id>/", views.show_venue, name="venue"),
    path("venues/<int:venue_id>/drive/", views.set_drive, name="venue-drive-set"),
    path("venues/<int:venue_id>/change/", views.change_venue, name="venue-change"),
]
