"""Every address. The rooms are named by string, so that the kernel imports none of them."""

from __future__ import annotations

from django.urls import include, path, register_converter

from studio.views import audit, home, people, phone, profile


class SlugConverter:
    """A studio's short name in an address."""

    regex = "[a-z0-9]+(?:-[a-z0-9]+)*"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(SlugConverter, "studio")

kernel_pages = [
    path("settings/", profile.profile, name="profile"),
    path("settings/logo.png", profile.logo, name="logo"),
    path("settings/taxes/add", profile.add_tax, name="add-tax"),
    path("settings/taxes/<int:tax_id>/retire", profile.retire_tax, name="retire-tax"),
    path("settings/people/", people.people, name="people"),
    path("settings/people/<int:membership_id>/role", people.change_role, name="change-role"),
    path("settings/people/<int:membership_id>/remove", people.remove, name="remove"),
    path("settings/invitations/<int:invitation_id>/withdraw", people.withdraw, name="withdraw"),
    path("settings/audit/", audit.trail, name="audit"),
]

studio_pages = [
    path("", include((kernel_pages, "studio"))),
    path("", include("events.urls")),
    path("", include("stock.urls")),
    path("", include("quoting.urls")),
]

urlpatterns = [
    path("", home.front_door, name="front-door"),
    path("health/", home.health, name="health"),
    path("phone-worker.js", phone.worker, name="phone-worker"),
    path("phone/without-signal/", phone.without_signal, name="without-signal"),
    path("phone/signed-in", phone.signed_in, name="signed-in"),
    path("account/", include("allauth.urls")),
    path("join/<str:token>", home.open_invitation, name="open-invitation"),
    path("joining/<str:handle>/", home.join, name="join"),
    path("", include("quoting.client_urls")),
    path("", include("events.public_urls")),
    path("s/<studio:slug>/", include(studio_pages)),
]
