"""AssayBench: a fire-assay bench calculator and logbook for the terminal."""

__version__ = "0.1.0"
PROGRAM = f"assaybench {__version__}"
"""What a logbook and a report name as the program that wrote them."""
