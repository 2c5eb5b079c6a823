"""Fixtures for every test; what a machine can show is decided in tests/environment.py."""

pytest_plugins = ["tests.environment"]
