"""Adapters to what sends text messages, chosen by name in the settings; off by default."""
