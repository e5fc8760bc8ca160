"""The worker's app: ``celery -A studio.celery worker``."""

from __future__ import annotations

import logging.config
import os

from celery import Celery
from celery.signals import setup_logging

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")

app = Celery("billowbook")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@setup_logging.connect
def log_as_the_web_does(**_: object) -> None:
    """Keep Celery from setting up logs of its own, in which nothing is masked."""
    from django.conf import settings

    logging.config.dictConfig(settings.LOGGING)
