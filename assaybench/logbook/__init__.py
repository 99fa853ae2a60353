"""The logbook: all input and output on disk; the clock and the disk itself are arguments."""
