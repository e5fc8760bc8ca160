"""Addresses of load-out and return lists, inside a studio. Phones keep those of ticks and photos in their outbox."""

from __future__ import annotations

from django.urls import path

from events.loadout import views

urlpatterns = [
    path("events/<int:event_id>/load-out/", views.show_load_out, name="load-out"),
    path("events/<int:event_id>/load-out/ticks", views.take_ticks, name="ticks"),
    path("events/<int:event_id>/load-out/photos", views.add_photo, name="photo-add"),
    path("events/<int:event_id>/load-out/steps/<str:step>/", views.mark_step, name="step-mark"),
    path("events/<int:event_id>/count-back/", views.show_return_list, name="return-list"),
    path("photos/<int:photo_id>.jpg", views.show_photo, name="photo"),
]
