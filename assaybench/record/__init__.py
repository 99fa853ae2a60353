"""Entries, replay and results: the pure part of a log."""
