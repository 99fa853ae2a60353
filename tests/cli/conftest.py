"""Running commands in this process, as a person would from a shell."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from assaybench.cli.app import main


@dataclass(frozen=True)
class Outcome:
    """What a command did: exit status and both streams."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def faults(self) -> list[str]:
        return self.err.splitlines()


Run = Callable[..., Outcome]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*argv: str) -> Outcome:
        status = main(list(argv))
        captured = capsys.readouterr()
        return Outcome(status, captured.out, captured.err)

    return call
