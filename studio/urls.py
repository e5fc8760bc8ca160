"""Every address. The rooms are named by string, so that the kernel imports none of them."""

from __future__ import annotations

from django.urls import include, path, register_converter

from studio.people import audit_views, home_views, profile_views, views
from studio.ui import views as ui_views


class SlugConverter:
    """A studio's short name in an address."""

    regex = "[a-z0-9]+(?:-[a-z0-9]+)*"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(SlugConverter, "studio")

kernel_pages = [
    path("settings/", profile_views.profile, name="profile"),
    path("settings/logo.png", profile_views.logo, name="logo"),
    path("settings/taxes/add", profile_views.add_tax, name="add-tax"),
    path("settings/taxes/<int:tax_id>/retire", profile_views.retire_tax, name="retire-tax"),
    path("settings/people/", views.people, name="people"),
    path("settings/people/<int:membership_id>/role", views.change_role, name="change-role"),
    path("settings/people/<int:membership_id>/remove", views.remove, name="remove"),
    path("settings/invitations/<int:invitation_id>/withdraw", views.withdraw, name="withdraw"),
    path("settings/audit/", audit_views.trail, name="audit"),
]

studio_pages = [
    path("", include((kernel_pages, "studio"))),
    path("", include("events.urls")),
    path("", include("stock.urls")),
    path("", include("quoting.urls")),
]

urlpatterns = [
    path("", home_views.front_door, name="front-door"),
    path("health/", home_views.health, name="health"),
    path("phone-worker.js", ui_views.worker, name="phone-worker"),
    path("phone/without-signal/", ui_views.without_signal, name="without-signal"),
    path("phone/signed-in", home_views.signed_in, name="signed-in"),
    path("account/", include("allauth.urls")),
    path("join/<str:token>", home_views.open_invitation, name="open-invitation"),
    path("joining/<str:handle>/", home_views.join, name="join"),
    path("", include("quoting.client_urls")),
    path("", include("events.public_urls")),
    path("s/<studio:slug>/", include(studio_pages)),
]
