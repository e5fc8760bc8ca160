"""Addresses of the drawing table."""

from __future__ import annotations

from django.urls import path

from quoting.drawing_table import views

urlpatterns = [
    path("designs/new/", views.open_new, name="table-new"),
    path("designs/<int:template_id>/draw/", views.open_design, name="table-design"),
    path("designs/<int:template_id>/quote-with/", views.quote_with_design, name="design-quote-with"),
    path("events/<int:event_id>/draw/", views.start_quote, name="table-start-quote"),
    path("quotes/<int:quote_id>/draw/", views.open_for_quote, name="table-quote"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/draw/", views.open_piece, name="table-piece"),
    path("drawing-table/<int:draft_id>/", views.table, name="table"),
    path("drawing-table/<int:draft_id>/act/", views.act, name="table-act"),
    path("drawing-table/<int:draft_id>/image/delete/", views.delete_image, name="table-image-delete"),
    path("drawing-table/<int:draft_id>/undo/", views.undo, name="table-undo"),
    path("drawing-table/<int:draft_id>/redo/", views.redo, name="table-redo"),
    path("drawing-table/<int:draft_id>/save/", views.save_as_design, name="table-save-as"),
    path("drawing-table/<int:draft_id>/save-design/", views.save_design, name="table-save"),
    path("drawing-table/<int:draft_id>/into-quote/", views.into_quote, name="table-into-quote"),
    path("drawing-table/<int:draft_id>/quote-with/", views.quote_with_draft, name="table-quote-with"),
    path("drawing-table/<int:draft_id>/delete/", views.throw_away, name="table-delete"),
    path("drawing-table/<int:draft_id>/restore/", views.bring_back, name="table-restore"),
]
