"""Lesson 07: ring and decay."""
