"""Row-level security and composite keys for what 0003 made."""

from __future__ import annotations


from studio.tenancy.operations import GuardReference, GuardTenantTable

from studio.tenancy import migrating


class Migration(migrating.Migration):
    """Guards what 0003 made."""

    dependencies = [("stock", "0003_buying_and_alerts")]

    operations = [
        GuardTenantTable("supplier"),
        GuardTenantTable("supplierprice"),
        GuardTenantTable("purchaseorder"),
        GuardTenantTable("orderline"),
        GuardTenantTable("shelfrules"),
        GuardTenantTable("alert"),
        GuardTenantTable("alertchoice"),
        GuardTenantTable("supplierevent", references=False),
        GuardTenantTable("supplierpriceevent", references=False),
        GuardTenantTable("purchaseorderevent", references=False),
        GuardTenantTable("orderlineevent", references=False),
        GuardTenantTable("shelfrulesevent", references=False),
        GuardReference("movement", "order_line"),
        GuardReference("item", "fits_frame"),
    ]
