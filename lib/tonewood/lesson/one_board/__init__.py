"""Lesson 02: one board."""
