"""Products, sizes and recovery of a gravity circuit."""
