"""The address of a phone's link. Links that were sent keep their form."""

from __future__ import annotations

from django.urls import path

from events.crew_phones import public_views

urlpatterns = [path("p/<str:token>", public_views.take_up_phone, name="phone-take-up")]
