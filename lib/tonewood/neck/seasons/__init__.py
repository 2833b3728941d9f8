"""Moisture acting on the neck: movement of every piece, and the year in a client's room."""
