"""Addresses of the studio's profile, its members and the audit trail, inside a studio."""

from __future__ import annotations

from django.urls import path

from studio.people import views

app_name = "studio"

urlpatterns = [
    path("settings/", views.show_profile, name="profile"),
    path("settings/country/", views.show_country, name="country"),
    path("settings/money/", views.show_money, name="money"),
    path("settings/terms/", views.show_terms, name="terms"),
    path("settings/hours/", views.show_hours, name="hours"),
    path("settings/logo.png", views.show_logo, name="logo"),
    path("settings/taxes/add/", views.add_tax, name="tax-add"),
    path("settings/taxes/<int:tax_id>/retire/", views.retire_tax, name="tax-retire"),
    path("settings/people/", views.show_members, name="people"),
    path("settings/people/<int:membership_id>/role/", views.change_role, name="member-change-role"),
    path("settings/people/<int:membership_id>/remove/", views.remove_member, name="member-remove"),
    path(
        "settings/invitations/<int:invitation_id>/withdraw/",
        views.withdraw_invitation,
        name="invitation-withdraw",
    ),
    path("settings/first-steps/away/", views.put_first_steps_away, name="first-steps-away"),
    path("settings/audit/", views.show_audit_trail, name="audit"),
]
