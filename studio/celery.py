"""The worker's app: ``celery -A studio.celery worker``."""

from __future__ import annotations

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")

app = Celery("billowbook")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
