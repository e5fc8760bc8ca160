"""What an offer holds until its client agrees is called a tentative hold, as on every page."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations

from studio.tenancy import migrating


def renamed(before: str, after: str) -> str:
    """The composite key is named after its column."""
    key = "quoting_offer_{}_tenant_fk"
    return f"ALTER TABLE quoting_offer RENAME CONSTRAINT {key.format(before)} TO {key.format(after)}"


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0014_payment_decision"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="delete_delete",
        ),
        migrations.RenameField(
            model_name="offer",
            old_name="pencil",
            new_name="tentative_hold",
        ),
        migrations.RenameField(
            model_name="offerevent",
            old_name="pencil",
            new_name="tentative_hold",
        ),
        migrations.RunSQL(
            renamed("pencil_id", "tentative_hold_id"), renamed("tentative_hold_id", "pencil_id")
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_offerevent" ("client_email", "client_name", "closed_at", "currency", "deposit", "expires_at", "id", "number", "offered_at", "offered_by_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "state", "studio_id", "tentative_hold_id", "total", "version") VALUES (NEW."client_email", NEW."client_name", NEW."closed_at", NEW."currency", NEW."deposit", NEW."expires_at", NEW."id", NEW."number", NEW."offered_at", NEW."offered_by_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quote_id", NEW."state", NEW."studio_id", NEW."tentative_hold_id", NEW."total", NEW."version"); RETURN NULL;',
                    hash="d61431f4aa6850511ab7280bd3de3cb0f932a3e1",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_164b2",
                    table="quoting_offer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."client_email" IS DISTINCT FROM (NEW."client_email") OR OLD."client_name" IS DISTINCT FROM (NEW."client_name") OR OLD."closed_at" IS DISTINCT FROM (NEW."closed_at") OR OLD."currency" IS DISTINCT FROM (NEW."currency") OR OLD."deposit" IS DISTINCT FROM (NEW."deposit") OR OLD."expires_at" IS DISTINCT FROM (NEW."expires_at") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."number" IS DISTINCT FROM (NEW."number") OR OLD."offered_at" IS DISTINCT FROM (NEW."offered_at") OR OLD."offered_by_id" IS DISTINCT FROM (NEW."offered_by_id") OR OLD."quote_id" IS DISTINCT FROM (NEW."quote_id") OR OLD."state" IS DISTINCT FROM (NEW."state") OR OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."tentative_hold_id" IS DISTINCT FROM (NEW."tentative_hold_id") OR OLD."total" IS DISTINCT FROM (NEW."total") OR OLD."version" IS DISTINCT FROM (NEW."version"))',
                    func='INSERT INTO "quoting_offerevent" ("client_email", "client_name", "closed_at", "currency", "deposit", "expires_at", "id", "number", "offered_at", "offered_by_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "state", "studio_id", "tentative_hold_id", "total", "version") VALUES (NEW."client_email", NEW."client_name", NEW."closed_at", NEW."currency", NEW."deposit", NEW."expires_at", NEW."id", NEW."number", NEW."offered_at", NEW."offered_by_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quote_id", NEW."state", NEW."studio_id", NEW."tentative_hold_id", NEW."total", NEW."version"); RETURN NULL;',
                    hash="3b342a83ac7bf42a59aad2fc9acfc040c2602d29",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_273f9",
                    table="quoting_offer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_offerevent" ("client_email", "client_name", "closed_at", "currency", "deposit", "expires_at", "id", "number", "offered_at", "offered_by_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "state", "studio_id", "tentative_hold_id", "total", "version") VALUES (OLD."client_email", OLD."client_name", OLD."closed_at", OLD."currency", OLD."deposit", OLD."expires_at", OLD."id", OLD."number", OLD."offered_at", OLD."offered_by_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quote_id", OLD."state", OLD."studio_id", OLD."tentative_hold_id", OLD."total", OLD."version"); RETURN NULL;',
                    hash="79c7e149593eb8272da656b54b4701da351b8999",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_8692b",
                    table="quoting_offer",
                    when="AFTER",
                ),
            ),
        ),
    ]
