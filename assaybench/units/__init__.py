"""Units, constants and sieves: what a number is measured in."""
