"""Lesson 05: string pull and the truss rod."""
