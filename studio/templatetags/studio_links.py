"""``{% to "events:event" event.pk %}``: addresses inside the studio that is entered; ``{% outside "mfa_index" %}``: of
the pages outside."""

from __future__ import annotations

from django import template

from studio.tenancy import links

register = template.Library()

register.simple_tag(links.to, name="to")
register.simple_tag(links.outside, name="outside")
