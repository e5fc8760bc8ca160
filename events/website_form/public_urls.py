"""The address of the form itself. It stays as it is: websites show it."""

from __future__ import annotations

from django.urls import path

from events.website_form import public_views

urlpatterns = [path("ask/<slug:name>/", public_views.ask, name="website-form")]
