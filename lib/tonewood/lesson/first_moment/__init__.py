"""Lesson 08: the attack."""
