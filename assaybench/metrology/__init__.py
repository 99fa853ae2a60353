"""Figures with uncertainty: weighing, what can be seen, what is significant."""
