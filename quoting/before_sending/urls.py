"""Address of what is open before an offer goes out."""

from __future__ import annotations

from django.urls import path

from quoting.before_sending import views

urlpatterns = [
    path("quotes/<int:quote_id>/before-sending/", views.before_sending, name="quote-before-sending"),
]
