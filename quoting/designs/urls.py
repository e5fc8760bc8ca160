"""Addresses of the designs."""

from __future__ import annotations

from django.urls import path

from quoting.designs import views

urlpatterns = [
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/save-as-design/",
        views.keep_piece,
        name="piece-save-as-design",
    ),
    path("designs/", views.designs, name="designs"),
    path("designs/starters/", views.bring_in_starters, name="starters-add"),
    path("designs/file/", views.import_file, name="design-import"),
    path("designs/<int:template_id>/", views.design, name="design"),
    path("designs/<int:template_id>/file.json", views.download, name="design-file"),
    path("designs/<int:template_id>/change/", views.change, name="design-change"),
    path("designs/<int:template_id>/picture.svg", views.picture, name="design-picture"),
    path("designs/<int:template_id>/retire/", views.retire, name="design-retire"),
    path("designs/<int:template_id>/restore/", views.bring_back, name="design-restore"),
]
