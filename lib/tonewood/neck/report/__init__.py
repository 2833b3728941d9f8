"""Whole necks judged and compared."""
