"""The address of the website form's switch, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.website_form import views

urlpatterns = [path("settings/website/", views.change_form, name="website-form")]
