"""Lesson 04: laying up."""
