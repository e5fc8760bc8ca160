"""Every address. The rooms are named by string, so that the kernel imports none of them."""

from __future__ import annotations

from django.urls import include, path, register_converter


class SlugConverter:
    """A studio's short name in an address."""

    regex = "[a-z0-9]+(?:-[a-z0-9]+)*"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(SlugConverter, "studio")

studio_pages = [
    path("", include("studio.people.urls")),
    path("", include("events.urls")),
    path("", include("stock.urls")),
    path("", include("quoting.urls")),
]

urlpatterns = [
    path("", include("studio.people.public_urls")),
    path("", include("studio.ui.urls")),
    path("account/", include("allauth.urls")),
    path("", include("quoting.client_urls")),
    path("", include("events.public_urls")),
    path("s/<studio:slug>/", include(studio_pages)),
]
