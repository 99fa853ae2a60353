"""Published check cases as data."""
