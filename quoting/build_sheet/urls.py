"""Addresses of the build sheets."""

from __future__ import annotations

from django.urls import path

from quoting.build_sheet import views

urlpatterns = [
    path("quotes/<int:quote_id>/build/", views.build_sheet, name="build-sheet"),
    path("quotes/<int:quote_id>/build/make/", views.make_paper, name="build-sheet-make"),
    path("quotes/<int:quote_id>/build/paper/", views.paper, name="build-sheet-paper"),
    path("quotes/<int:quote_id>/build/sheet.pdf", views.build_sheet_pdf, name="build-sheet-pdf"),
    path("quotes/<int:quote_id>/build/<int:place>.glb", views.model, name="build-sheet-model"),
]
