"""The web's entry: ``gunicorn studio.wsgi``."""

from __future__ import annotations

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")

application = get_wsgi_application()

# What was loaded stays for good: looked through again and again, it would hold up a page by a tenth of a second. A page
# makes thousands of objects, nearly all of which go with their last reference: they are looked through seldom.
gc.collect()
gc.freeze()
gc.set_threshold(5_000, 10, 10)
