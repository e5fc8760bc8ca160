"""Addresses of the texts of e-mails."""

from __future__ import annotations

from django.urls import path

from quoting.letters import views

urlpatterns = [
    path("settings/e-mails/", views.mail_texts, name="mail-texts"),
    path("settings/e-mails/<slug:letter>/<slug:language>/", views.mail_text, name="mail-text"),
    path(
        "settings/e-mails/<slug:letter>/<slug:language>/reset/", views.reset_mail_text, name="mail-text-reset"
    ),
]
