"""Whole sheets in which a few numbers are odd: nothing, below zero, far too large, another's.

Each number is one that a balance could show or a hand could write. Whatever they say together, the
answer is results or one clear line for each fault, never a fault of the program.
"""

import random
import re
from pathlib import Path

import pytest

from assaybench.cli.results import answer
from assaybench.messages import BadInput
from assaybench.report.answer import plain_lines
from tests.record.sheets import SHEET, balance

DEMO = Path(__file__).parents[2] / "demo"
SHEETS = sorted([*DEMO.glob("*.toml"), *DEMO.glob("circuit/*.toml")])
NUMBER = re.compile(r'(?<=")-?\d+\.?\d*(?= (?:mg|g|kg|%|g/t|‰)| ±)')
ODD = ("0", "0.000", "-0.001", "-1.000", "1000.000", "0.001", "1", "99", "5.000", "12345.67")
OTHER_WORDS = (
    ('proof = "additive"', 'proof = "ratio"'),
    ('proof = "ratio"', 'proof = "additive"'),
    ('silver = "none"', 'silver = "unknown"'),
    ("[method]\n", '[method]\nproof_scaling = "surface"\n'),
    ("[method]\n", '[method]\nsilver = "twin"\n'),
    ('moisture = "', 'moisture_basis = "dry"\nmoisture = "'),
)


def odd(seed: int) -> str:
    """One of the demo's sheets, one to fifteen of its numbers odd, and perhaps other choices."""
    dice = random.Random(seed)
    text = dice.choice(SHEETS).read_text("utf-8")
    spots = list(NUMBER.finditer(text))
    chosen = dice.sample(spots, min(len(spots), dice.choice((1, 1, 2, 3, 6, 15))))
    for spot in sorted(chosen, key=lambda spot: -spot.start()):
        number = dice.choice(spots)[0] if dice.random() < 0.3 else dice.choice(ODD)
        text = text[: spot.start()] + number + text[spot.end() :]
    for one, other in OTHER_WORDS:
        if dice.random() < 0.15:
            text = text.replace(one, other)
    return text


def answered(seeds: range) -> int:
    """How many of these sheets were accepted; each fault of the others is a line."""
    accepted = 0
    for seed in seeds:
        try:
            page = page_of(odd(seed))
        except BadInput as fault:
            unclear = [line for line in fault.lines if not line.isprintable()]
        except Exception as fault:
            raise AssertionError(seed) from fault
        else:
            unclear = re.findall(r"\bnan\b|\binf\b", page)
            accepted += 1
        assert unclear == [], seed
    return accepted


def page_of(text: str) -> str:
    """What `results --sum --plain` prints of a sheet."""
    return "\n".join(plain_lines(answer("sheet", text.encode()), with_sum=True))


def test_sheets_with_odd_numbers_are_answered() -> None:
    assert answered(range(150)) > 50


@pytest.mark.long
def test_three_thousand_sheets_with_odd_numbers_are_answered() -> None:
    assert answered(range(10_000, 13_000)) > 1000


HEAD = (
    SHEET
    + '\n[method]\nproof = "ratio"\n'
    + balance("fine", "0.001 mg", "charge", "bead", "gold", "proof_gold", spread="0.002 mg, 12")
)


def proof(bead: str, gold: str, name: str = "P-1", more: str = "") -> str:
    return (
        f'\n[[samples]]\nid = "{name}"\nrole = "proof"\ngold_known = "1.500 mg"\n'
        f'silver_known = "5.000 mg"\nsilver = "none"\nlead = "30 g"\nbead = "{bead} mg"\n'
        f'gold = "{gold} mg"\n{more}'
    )


SAMPLE = """
[[samples]]
id = "S-1"
silver = "5.000 mg"
lead = "30 g"
bead = "6.430 mg"
gold = "1.430 mg"
"""


def said(*parts: str) -> dict[str, str]:
    found = answer("sheet", (HEAD + "".join(parts)).encode())
    return {flag.code: flag.text for flag in found.flags}


def test_a_proof_that_kept_no_silver_leaves_the_loss_unknown_and_is_named() -> None:
    told = said(proof("1.430", "1.430"), SAMPLE)
    assert "P-1 kept no silver in its bead" in told["silver_proof_empty"]


def test_a_proof_in_which_nothing_was_found_multiplies_nothing_and_is_named() -> None:
    told = said(proof("4.900", "0.000"), SAMPLE)
    assert "nothing was found in the proof P-1" in told["no_matching_proof"]


def test_a_bar_whose_pieces_or_proofs_hold_nothing_gives_no_fineness_by_them() -> None:
    bar = '\n[[samples]]\nid = "Bar"\n'
    piece = (
        '\n[[samples]]\nid = "Bar 1"\nof = "Bar"\npart = "piece"\nsilver = "none"\n'
        'charge = "{taken} mg"\ngold = "228.310 mg"\n'
    )
    of_bar = (
        '\n[[samples]]\nid = "Bar p"\nrole = "proof"\nof = "Bar"\nsilver = "none"\n'
        'readings = [{{ what = "proof_gold", text = "{taken} mg" }}, '
        '{{ what = "gold", text = "{found} mg" }}]\n'
    )
    for taken, put_in, found in (
        ("0.000", "227.500", "227.620"),
        ("250.020", "0.000", "227.620"),
        ("250.020", "227.500", "0.000"),
    ):
        proved = of_bar.format(taken=put_in, found=found)
        page = page_of(HEAD + bar + piece.format(taken=taken) + proved)
        assert ("fineness, not corrected" in page) == (taken != "0.000")
        assert "fineness, corrected" not in page


def test_a_spread_or_a_limit_below_zero_is_refused() -> None:
    lot = '\n[[lots]]\nlot = "L"\nmaterial = "litharge"\ngold_spread = "-0.01 g/t"\n'
    with pytest.raises(BadInput, match="below zero; gold_spread cannot be"):
        said(lot, SAMPLE)
    negative = HEAD.replace("[method]\n", '[method]\nsplitting_limit = "-0.5 ‰"\n')
    with pytest.raises(BadInput, match="a splitting limit cannot be"):
        answer("sheet", (negative + SAMPLE).encode())
