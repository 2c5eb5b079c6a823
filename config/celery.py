"""Celery only rings the bell: every piece of work is a row that a sweep finds without it."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("resinwright")
app.config_from_object("django.conf:settings", namespace="CELERY")
# The rooms' tasks are gathered by each app's tasks.py.
app.autodiscover_tasks(["jobs", "stock", "quotes"])
