"""The commands, run in this process as from a shell."""

from tests.cli.conftest import run

__all__ = ["run"]
