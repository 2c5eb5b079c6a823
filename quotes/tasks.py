"""Gathers the rooms' tasks; the worker finds them here."""
