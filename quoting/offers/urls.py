"""Addresses of the offers."""

from __future__ import annotations

from django.urls import path

from quoting.offers import views

urlpatterns = [
    path("quotes/<int:quote_id>/versions/", views.compare_versions, name="quote-versions"),
    path("quotes/<int:quote_id>/offer/", views.make_offer, name="offer-make"),
    path("offers/<int:offer_id>/", views.offer, name="offer"),
    path("offers/<int:offer_id>/paper/", views.offer_paper, name="offer-paper"),
    path("offers/<int:offer_id>/offer.pdf", views.offer_pdf, name="offer-pdf"),
    path("offers/<int:offer_id>/link/", views.offer_link, name="offer-link"),
    path("offers/<int:offer_id>/mail/", views.offer_mail, name="offer-mail"),
    path("offers/<int:offer_id>/release-hold/", views.offer_let_go, name="offer-release-hold"),
    path("offers/<int:offer_id>/withdraw/", views.offer_withdraw, name="offer-withdraw"),
]
