"""AssayBench: a fire-assay bench calculator and logbook for the terminal."""

__version__ = "0.1.0"
