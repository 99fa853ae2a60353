"""From bead to metal to grade."""
