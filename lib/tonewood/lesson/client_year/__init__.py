"""Lesson 06: a year in the client's town."""
