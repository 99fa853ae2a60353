"""How what was found looks: pages of text, plain lines, JSON; reports of a log."""
