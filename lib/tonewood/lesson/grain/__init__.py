"""Lesson 03: which way the grain runs."""
