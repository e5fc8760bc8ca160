"""Addresses of the client's page. They stay as they are: clients hold them."""

from __future__ import annotations

from django.urls import path, re_path

from quoting.client_page import views

urlpatterns = [
    path("o/<str:token>", views.open_offer, name="open-offer"),
    path("o/<str:token>/card.jpg", views.card_picture, name="offer-card"),
    path("offer/<slug:handle>/", views.offer, name="client-offer"),
    path("offer/<slug:handle>/choose", views.choose, name="client-choose"),
    path("offer/<slug:handle>/agree", views.agree, name="client-agree"),
    path("offer/<slug:handle>/decline", views.decline, name="client-decline"),
    path("offer/<slug:handle>/change", views.ask_for_change, name="client-change"),
    path("offer/<slug:handle>/pictures", views.pictures, name="client-pictures"),
    path("offer/<slug:handle>/still/<slug:digest>.jpg", views.still, name="client-still"),
    path("offer/<slug:handle>/model/<int:place>.glb", views.model, name="client-model"),
    path("offer/<slug:handle>/share/<int:place>.jpg", views.share, name="client-share"),
    re_path(r"^m/(?P<token>[\w:-]+)\.(?P<ending>glb|usdz)$", views.room_model, name="room-model"),
    path("offer/<slug:handle>/paper", views.paper, name="client-paper"),
    path("offer/<slug:handle>/offer.pdf", views.pdf, name="client-pdf"),
    path("offer/<slug:handle>/event.ics", views.calendar, name="client-calendar"),
    path("offer/<slug:handle>/logo.png", views.logo, name="client-logo"),
]
