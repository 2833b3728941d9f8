"""Lesson 01: the neck on the bench."""
