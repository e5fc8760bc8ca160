"""Addresses of offers, inside a studio."""

from __future__ import annotations

from django.urls import path

from quoting.views import offer

urlpatterns = [
    path("quotes/<int:quote_id>/offer", offer.make_offer, name="make-offer"),
    path("offers/<int:offer_id>/", offer.offer, name="offer"),
    path("offers/<int:offer_id>/paper", offer.offer_paper, name="offer-paper"),
    path("offers/<int:offer_id>/offer.pdf", offer.offer_pdf, name="offer-pdf"),
    path("offers/<int:offer_id>/link", offer.offer_link, name="offer-link"),
    path("offers/<int:offer_id>/mail", offer.offer_mail, name="offer-mail"),
    path("offers/<int:offer_id>/withdraw", offer.offer_withdraw, name="offer-withdraw"),
]
