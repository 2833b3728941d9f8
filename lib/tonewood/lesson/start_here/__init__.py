"""Lesson 00: how to read a band and a mark."""
