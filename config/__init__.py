"""Wiring only: settings, addresses, worker. The celery app is loaded so that tasks find it."""

from config.celery import app as celery_app

__all__ = ["celery_app"]
