"""Addresses that a client opens without an account. They stay as they are: clients hold them."""

from __future__ import annotations

from django.urls import path

from quoting.look_along import views
from quoting.offers import client_views

urlpatterns = [
    path("l/<str:token>", views.open_look, name="open-look"),
    path("look/<slug:handle>/", views.look, name="look"),
    path("look/<slug:handle>/now", views.look_now, name="look-now"),
    path("o/<str:token>", client_views.open_offer, name="open-offer"),
    path("offer/<slug:handle>/", client_views.offer, name="client-offer"),
    path("offer/<slug:handle>/choose", client_views.choose, name="client-choose"),
    path("offer/<slug:handle>/agree", client_views.agree, name="client-agree"),
    path("offer/<slug:handle>/decline", client_views.decline, name="client-decline"),
    path("offer/<slug:handle>/change", client_views.ask_for_change, name="client-change"),
    path("offer/<slug:handle>/paper", client_views.paper, name="client-paper"),
    path("offer/<slug:handle>/offer.pdf", client_views.pdf, name="client-pdf"),
    path("offer/<slug:handle>/logo.png", client_views.logo, name="client-logo"),
]
