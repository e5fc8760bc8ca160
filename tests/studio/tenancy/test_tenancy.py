"""Studios see their own rows only, by PostgreSQL's own word, through the role that the product runs as."""

from __future__ import annotations

import importlib
from typing import Any

import psycopg
import pytest
from django.apps import apps
from django.db import DatabaseError, IntegrityError, connection, models, transaction
from django.test import override_settings

from studio import tenancy
from studio.models import Invitation, Membership, PublicLink, Studio, TaxRate, entered_studio
from studio.people import membership
from studio.tenancy.checks import guarded_models, tenant_models_are_declared, tenant_tables_are_guarded
from studio.tenancy.rights import Role
from tests import database
from tests.people import House


def test_tests_run_as_a_role_that_row_level_security_binds(db: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolname, rolsuper, rolbypassrls FROM pg_roles WHERE rolname = current_user")
        assert cursor.fetchone() == ("billowbook_app", False, False)
        cursor.execute(
            "SELECT count(*) FROM pg_tables WHERE schemaname = 'public' AND tableowner = current_user"
        )
        assert cursor.fetchone() == (0,)


def test_a_query_without_a_studio_returns_no_rows_of_any_tenant_table(wickerlark: House) -> None:
    with wickerlark.enter():
        TaxRate.objects.create(name="Sales tax", percent=6)
        assert TaxRate.objects.count() == 1
    for model in guarded_models():
        assert model._default_manager.count() == 0, model


@pytest.mark.parametrize("model", guarded_models(), ids=lambda model: model._meta.label)
def test_every_tenant_table_is_guarded_in_the_catalogue(db: None, model: type[models.Model]) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relrowsecurity, relforcerowsecurity FROM pg_class WHERE oid = %s::regclass",
            [f'"{model._meta.db_table}"'],
        )
        assert cursor.fetchone() == (True, True)
        cursor.execute(
            "SELECT cmd, qual, with_check FROM pg_policies WHERE tablename = %s AND policyname = 'tenant'",
            [model._meta.db_table],
        )
        (command, readable, writable) = cursor.fetchone()
    assert command == "ALL"
    assert "billowbook.studio" in readable
    assert "billowbook.studio" in writable


def test_no_policy_widens_what_is_read_inside_a_studio(db: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT tablename, qual FROM pg_policies WHERE policyname <> 'tenant'")
        others = dict(cursor.fetchall())
    assert set(others) == {
        "studio_membership",
        "studio_studio",
        "studio_publiclink",
        "events_portfolio",
        "events_websiteform",
    }
    outside = "((NULLIF(current_setting('billowbook.studio'::text, true), ''::text))::bigint IS NULL) AND"
    assert [table for table, condition in others.items() if outside not in condition] == []


@pytest.mark.django_db(transaction=True)
def test_a_database_with_the_wider_policies_gets_the_narrow_ones() -> None:
    migration = importlib.import_module("studio.migrations.0007_read_also_outside_studios_only")
    name = str(connection.settings_dict["NAME"])
    asked = (
        "SELECT tablename, qual FROM pg_policies "
        "WHERE policyname = 'read_also' AND starts_with(tablename, 'studio_') ORDER BY 1"
    )
    with psycopg.connect(database.admin_url(), dbname=name) as admin:
        narrow = admin.execute(asked).fetchall()
        for operation in migration.Migration.operations:
            admin.execute(operation.reverse_sql)
        assert all("IS NULL" not in condition for _, condition in admin.execute(asked).fetchall())
        for operation in migration.Migration.operations:
            admin.execute(operation.sql)
        assert admin.execute(asked).fetchall() == narrow
        admin.rollback()


def test_one_studio_reads_nothing_of_another(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        TaxRate.objects.create(name="Sales tax", percent=6)
    with federkorn.enter():
        assert TaxRate.objects.count() == 0
        assert Studio.objects.get().slug == "federkorn"
        assert set(Membership.objects.values_list("person__email", flat=True)) == {
            "owner@federkorn.example",
            "staff@federkorn.example",
            "crew@federkorn.example",
        }


def test_the_database_refuses_an_insert_for_another_studio(wickerlark: House, federkorn: House) -> None:
    with (
        pytest.raises(DatabaseError, match="row-level security"),
        wickerlark.enter(),
        connection.cursor() as cursor,
    ):
        cursor.execute(
            "INSERT INTO studio_taxrate (studio_id, name, percent, is_default) VALUES (%s, 'x', 1, false)",
            [federkorn.studio.pk],
        )


def test_the_database_refuses_to_move_a_row_to_another_studio(wickerlark: House, federkorn: House) -> None:
    with pytest.raises(DatabaseError, match="row-level security"), wickerlark.enter():
        TaxRate.objects.create(name="Sales tax", percent=6)
        TaxRate.objects.update(studio=federkorn.studio)


def test_updates_and_deletes_miss_the_rows_of_another_studio(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        tax = TaxRate.objects.create(name="Sales tax", percent=6)
    with federkorn.enter():
        assert TaxRate.objects.filter(pk=tax.pk).update(percent=99) == 0
        assert TaxRate.objects.filter(pk=tax.pk).delete()[0] == 0
    with wickerlark.enter():
        assert TaxRate.objects.get().percent == 6


def test_a_foreign_key_cannot_point_into_another_studio(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        sent = membership.invite(email="new@example.test", role=Role.CREW, by=wickerlark.owner)
    link = sent.invitation.link_id
    refused = pytest.raises(IntegrityError, match="studio_invitation_link_id_tenant_fk")
    with refused, transaction.atomic(), federkorn.enter():
        Invitation.objects.create(
            email="x@example.test",
            role="crew",
            invited_by=federkorn.owner,
            expires_at=sent.invitation.expires_at,
            link_id=link,
        )
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def test_a_row_made_outside_any_studio_is_refused(db: None) -> None:
    with pytest.raises(tenancy.NoStudio, match="No studio is entered"):
        TaxRate.objects.create(name="x", percent=1)


def test_a_second_studio_cannot_be_entered_inside_the_first(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter(), pytest.raises(tenancy.OtherStudio, match="leave it before"), federkorn.enter():
        pass


def test_the_profile_is_that_of_the_entered_studio_and_read_anew_by_the_next_entering(
    wickerlark: House, federkorn: House, django_assert_num_queries: Any
) -> None:
    with federkorn.enter():
        assert entered_studio() == federkorn.studio
    with wickerlark.enter():
        assert entered_studio() == wickerlark.studio
        with django_assert_num_queries(0):
            assert entered_studio().name == "Wickerlark Decor"
        Studio.objects.filter(pk=wickerlark.studio.pk).update(name="Wickerlark and Daughters")
    with wickerlark.enter():
        assert entered_studio().name == "Wickerlark and Daughters"
        with wickerlark.enter("crew"):
            assert entered_studio() == wickerlark.studio
    with pytest.raises(tenancy.NoStudio, match="No studio is entered"):
        entered_studio()


def test_the_setting_ends_with_its_transaction(wickerlark: House) -> None:
    with wickerlark.enter():
        pass
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('billowbook.studio', true)")
        assert cursor.fetchone()[0] in ("", None)


@pytest.mark.django_db(transaction=True)
def test_the_setting_does_not_survive_a_commit_on_the_same_connection() -> None:
    from tests.people import wickerlark

    house = wickerlark()
    with house.enter():
        TaxRate.objects.create(name="Sales tax", percent=6)
    assert TaxRate.objects.count() == 0


def test_a_person_reads_their_own_memberships_before_any_studio_is_entered(
    wickerlark: House, federkorn: House
) -> None:
    with federkorn.enter():
        Membership.objects.create(person=wickerlark.crew, role=Role.STAFF)
    assert [(m.studio.slug, m.role) for m in membership.memberships_of(wickerlark.crew)] == [
        ("federkorn", "staff"),
        ("wickerlark", "crew"),
    ]
    assert [m.studio.slug for m in membership.memberships_of(wickerlark.owner)] == ["wickerlark"]


def test_reading_ones_memberships_opens_no_other_table(wickerlark: House) -> None:
    with wickerlark.enter():
        TaxRate.objects.create(name="Sales tax", percent=6)
    with tenancy.as_person(wickerlark.owner.pk):
        assert Membership.objects.count() == 1
        assert TaxRate.objects.count() == 0


def test_the_roster_names_studios_and_opens_no_tenant_row(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        TaxRate.objects.create(name="Sales tax", percent=6)
    assert {slug for _, slug in tenancy.each_studio()} == {"wickerlark", "federkorn"}
    assert TaxRate.objects.count() == 0
    assert PublicLink.objects.count() == 0


def test_the_system_checks_find_nothing_to_mend(db: None) -> None:
    assert tenant_models_are_declared() == []
    assert tenant_tables_are_guarded(databases=["default"]) == []


@pytest.mark.django_db(transaction=True)
def test_the_system_check_names_a_table_whose_policy_is_gone() -> None:
    name = str(connection.settings_dict["NAME"])
    with psycopg.connect(database.admin_url(), dbname=name) as admin:
        admin.execute("ALTER TABLE studio_taxrate NO FORCE ROW LEVEL SECURITY")
    try:
        errors = tenant_tables_are_guarded(databases=["default"])
        with override_settings(AS_OWNER=True):
            stopped = tenant_tables_are_guarded(databases=["default"])
    finally:
        with psycopg.connect(database.admin_url(), dbname=name) as admin:
            admin.execute("ALTER TABLE studio_taxrate FORCE ROW LEVEL SECURITY")
    assert [error.id for error in errors] == ["billowbook.E004"]
    assert "studio_taxrate" in errors[0].msg
    assert stopped == [], "an interrupted migration can be gone on with"


def test_every_model_of_ours_belongs_to_a_studio_or_is_named_as_standing_outside(db: None) -> None:
    ours = [m for m in apps.get_models() if m._meta.app_label in {"studio", "stock", "events", "quoting"}]
    outside = {m._meta.label for m in ours if not any(f.name == "studio" for f in m._meta.local_fields)}
    assert outside == {"studio.Person", "studio.Studio", "studio.StudioEvent"}
