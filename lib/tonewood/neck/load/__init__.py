"""Strings, rod and time acting on the neck: relief, rod setting, creep, glue lines."""
