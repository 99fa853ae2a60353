"""Hand sheets of a circuit, and what replay makes of them."""

from assaybench.circuit.streams import FeedTest
from assaybench.record.circuit_run import Circuit, circuit_of
from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results

HEAD = """
[sheet]
log = "circuit test"
title = "sluice"
date = 2026-05-04
by = "KB"
"""


def sheet(*rows: str) -> str:
    """A hand sheet of circuit rows, each `product key=value, key=value`."""
    text = HEAD
    for row in rows:
        product, _, key = row.partition("=")[0].rpartition(" ")
        rest = key + row.removeprefix(f"{product} {key}")
        text += f'[[circuit]]\nproduct = "{product}"\n'
        for pair in filter(None, rest.split(", ")):
            key, _, value = pair.partition("=")
            text += f'{key} = "{value}"\n'
    return text


def circuit(*rows: str) -> Circuit | FeedTest:
    found = circuit_of(results(replay(read(sheet(*rows).encode()).entries)))
    assert found is not None
    return found


def stages(*rows: str) -> Circuit:
    found = circuit(*rows)
    assert isinstance(found, Circuit)
    return found


TAILS = "tailings mass=95.5 ± 2 kg, grade=0.30 ± 0.03 g/t"
A, B = "concentrate metal=12 ± 0.1 mg", "rerun metal=3 ± 0.1 mg"


def feed(*rows: str) -> FeedTest:
    found = circuit(*rows)
    assert isinstance(found, FeedTest)
    return found
