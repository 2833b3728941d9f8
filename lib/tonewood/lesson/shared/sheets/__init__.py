"""Sheets of paper for one neck: what the client takes home, what the workshop builds from."""
