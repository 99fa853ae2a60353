"""The bench: the pages of the terminal, drawn as text and driven by keys."""
