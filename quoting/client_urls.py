"""Addresses that a client opens without an account. They stay as they are: clients hold them."""

from __future__ import annotations

from django.urls import include, path

from quoting.look_along import views

urlpatterns = [
    path("l/<str:token>", views.open_look, name="open-look"),
    path("look/<slug:handle>/", views.look, name="look"),
    path("look/<slug:handle>/now", views.look_now, name="look-now"),
    path("", include("quoting.turning.public_urls")),
    path("", include("quoting.client_page.urls")),
]
