"""Addresses of the quote page."""

from __future__ import annotations

from django.urls import path

from quoting.quote_page import views

urlpatterns = [
    path("quotes/<int:quote_id>/", views.quote, name="quote"),
    path("quotes/<int:quote_id>/alter/", views.alter, name="quote-alter"),
    path("quotes/<int:quote_id>/undo/", views.undo, name="quote-undo"),
    path("quotes/<int:quote_id>/way/", views.way, name="quote-way"),
    path("quotes/<int:quote_id>/adjust/", views.adjust, name="quote-adjust"),
    path("quotes/<int:quote_id>/payment/", views.set_payment, name="quote-payment"),
    path("quotes/<int:quote_id>/by-hand/", views.set_by_hand, name="quote-by-hand"),
    path("quotes/<int:quote_id>/lines/add/", views.add_line, name="quote-add-line"),
    path("quotes/<int:quote_id>/lines/<int:line_id>/remove/", views.remove_line, name="quote-remove-line"),
    path("quotes/<int:quote_id>/pieces/add/<int:template_id>/", views.add_piece, name="quote-add-piece"),
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/remove/", views.remove_piece, name="quote-remove-piece"
    ),
    path("quotes/<int:quote_id>/options/", views.mark_options, name="quote-options"),
    path("quotes/<int:quote_id>/pulse/", views.pulse, name="quote-pulse"),
]
