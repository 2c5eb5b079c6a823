"""Subcontractors, their bills, and the tax that we deduct from them under CIS."""
