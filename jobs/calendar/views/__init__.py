"""The calendar's pages."""
