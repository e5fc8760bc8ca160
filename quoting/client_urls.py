"""Addresses that a client opens without an account."""

from __future__ import annotations

from django.urls import path

from quoting.views import client, looking

urlpatterns = [
    path("l/<str:token>", looking.open_look, name="open-look"),
    path("look/<slug:handle>/", looking.look, name="look"),
    path("look/<slug:handle>/now", looking.look_now, name="look-now"),
    path("o/<str:token>", client.open_offer, name="open-offer"),
    path("offer/<slug:handle>/", client.offer, name="client-offer"),
    path("offer/<slug:handle>/choose", client.choose, name="client-choose"),
    path("offer/<slug:handle>/agree", client.agree, name="client-agree"),
    path("offer/<slug:handle>/decline", client.decline, name="client-decline"),
    path("offer/<slug:handle>/change", client.ask_for_change, name="client-change"),
    path("offer/<slug:handle>/paper", client.paper, name="client-paper"),
    path("offer/<slug:handle>/offer.pdf", client.pdf, name="client-pdf"),
    path("offer/<slug:handle>/logo.png", client.logo, name="client-logo"),
]
