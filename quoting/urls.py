"""Addresses of the quoting room, inside a studio."""

from __future__ import annotations

from django.urls import include, path

app_name = "quoting"

urlpatterns = [
    path("", include("quoting.quote_list.urls")),
    path("", include("quoting.quote_page.urls")),
    path("", include("quoting.variants.urls")),
    path("", include("quoting.suggestions.urls")),
    path("", include("quoting.look_along.urls")),
    path("", include("quoting.pricing.urls")),
    path("", include("quoting.prints.urls")),
    path("", include("quoting.likeness.urls")),
    path("", include("quoting.drawing_table.urls")),
    path("", include("quoting.designs.urls")),
    path("", include("quoting.supplies.urls")),
    path("", include("quoting.before_sending.urls")),
    path("", include("quoting.letters.urls")),
    path("", include("quoting.offers.urls")),
    path("", include("quoting.preview.urls")),
    path("", include("quoting.build_sheet.urls")),
    path("", include("quoting.room_scene.urls")),
    path("", include("quoting.stills.urls")),
    path("", include("quoting.turning.urls")),
    path("", include("quoting.invoices.urls")),
]
