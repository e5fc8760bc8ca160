"""Row-level security on the stock room's tables, the ledger closed to change, and balances kept by the ledger itself."""

from __future__ import annotations

from django.db import migrations

from studio.tenancy import migrating
from studio.tenancy.operations import AppendOnly, GuardTenantTable

# An insert that clashes would be checked against "never below zero" before it becomes an update: so update first.
KEEP_BALANCE_SQL = """
CREATE FUNCTION stock_keep_balance() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE stock_balance SET on_hand = on_hand + NEW.quantity
    WHERE studio_id = NEW.studio_id AND item_id = NEW.item_id;
    IF NOT FOUND THEN
        INSERT INTO stock_balance (studio_id, item_id, on_hand) VALUES (NEW.studio_id, NEW.item_id, NEW.quantity);
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER keep_balance AFTER INSERT ON stock_movement FOR EACH ROW EXECUTE FUNCTION stock_keep_balance();
"""


class Migration(migrating.Migration):
    """Guards what 0001 made."""

    dependencies = [("stock", "0001_initial"), ("studio", "0002_row_level_security")]

    operations = [
        GuardTenantTable("colour"),
        GuardTenantTable("item"),
        GuardTenantTable("movement"),
        GuardTenantTable("balance"),
        GuardTenantTable("hold"),
        GuardTenantTable("holdline"),
        GuardTenantTable("keptanswer"),
        GuardTenantTable("colourevent", references=False),
        GuardTenantTable("itemevent", references=False),
        GuardTenantTable("holdevent", references=False),
        AppendOnly("movement"),
        migrations.RunSQL(
            KEEP_BALANCE_SQL,
            "DROP TRIGGER keep_balance ON stock_movement; DROP FUNCTION stock_keep_balance()",
        ),
    ]
