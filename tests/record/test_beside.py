"""Twin proofs, and slag and cupel treated again, from a hand sheet to the figures."""

import pytest

from assaybench.cli.results import answer
from assaybench.messages import BadInput
from assaybench.record import handsheet
from assaybench.record.live import Live
from assaybench.record.replay import replay
from assaybench.record.results import Results, SampleResult, results
from assaybench.record.sample_sums import sample_sum
from tests.record.sheets import SHEET, balance

HEAD = (
    SHEET
    + balance("fine", "0.001 mg", "bead", "gold", spread="0.002 mg, 20")
    + balance("pulp", "0.01 g", "charge", spread="0.007 g, 10")
)
SAMPLE = """
[[samples]]
id = "T-1"
silver = "8.000 mg"
lead = "30 g"
charge = "30.00 g"
bead = "9.398 mg"
gold = "1.204 mg"
"""


def found(text: str) -> Results:
    entries = handsheet.read(text.encode()).entries
    same = results(replay(entries))
    live = Live()
    for entry in entries:
        live.add(entry)
        live.results()
    assert [s.figures for s in live.results().samples] == [s.figures for s in same.samples]
    return same


def sample(of: Results, name: str = "T-1") -> SampleResult:
    return next(s for s in of.samples if s.id == name)


def value(of: Results, name: str) -> float:
    figure = sample(of).figures[name].value
    assert figure is not None
    return figure


def proof(name: str, silver: str = "8.000 mg", lead: str = "30 g", bead: str = "8.905 mg") -> str:
    return (
        f'\n[[samples]]\nid = "{name}"\nrole = "proof"\nsilver = "{silver}"\nlead = "{lead}"\n'
        f'gold_known = "1.000 mg"\nsilver_known = "{silver}"\nbead = "{bead}"\ngold = "1.000 mg"\n'
    )


def test_a_twin_proof_takes_off_the_silver_added_and_its_blank() -> None:
    method = '\n[method]\nsilver = "twin"\n'
    alone = found(HEAD + SAMPLE + proof("P-1") + proof("P-2", bead="8.915 mg"))
    twin = found(HEAD + method + SAMPLE + proof("P-1") + proof("P-2", bead="8.915 mg"))
    # loss of the two proofs: 1 - 7.910/8; worked by hand from [(B - G) - (B_p - G_p)]/(1 - l)
    loss = 1 - 7.910 / 8
    assert value(twin, "silver") == pytest.approx((8.194 - 7.910) / (1 - loss), abs=1e-9)
    assert sample(twin).figures["silver"].basis == "against its twin proof"
    assert sample(alone).figures["silver"].basis == "by difference"
    lines = [line.line for line in sample_sum(twin, sample(twin))]
    assert any("(8.194 - 7.91) / (1 - 0.01125) - 0" in line for line in lines), lines


def test_only_a_proof_with_the_same_silver_and_lead_is_a_twin() -> None:
    method = '\n[method]\nsilver = "twin"\n'
    for other in (proof("P-1", lead="20 g"), proof("P-1", silver="4.000 mg", bead="4.955 mg")):
        done = sample(found(HEAD + method + SAMPLE + other))
        assert done.figures["silver"].basis == "by difference"
        assert "no_twin" in {f.code for f in done.flags}
    with pytest.raises(BadInput, match="difference, twin"):
        handsheet.read((HEAD + '\n[method]\nsilver = "triplet"\n' + SAMPLE).encode())


def test_a_proof_that_says_its_silver_as_known_alone_is_a_twin_too() -> None:
    method = '\n[method]\nsilver = "twin"\n'
    known = proof("P-1").replace('silver = "8.000 mg"', 'silver = "none"', 1)
    assert 'silver_known = "8.000 mg"' in known
    done = found(HEAD + method + SAMPLE + known + again("slag"))
    assert sample(done).figures["silver"].basis == "against its twin proof"
    # slag treated again has no twin, and nobody asks for one
    assert "no_twin" not in {f.code for f in sample(done, "T-1 slag").flags}


def again(part: str, gold: str = "0.024 mg") -> str:
    return (
        f'\n[[samples]]\nid = "T-1 {part}"\nof = "T-1"\npart = "{part}"\nsilver = "none"\n'
        f'gold = "{gold}"\n'
    )


def test_slag_and_cupel_treated_again_are_lines_of_their_own() -> None:
    plain = found(HEAD + SAMPLE)
    more = found(HEAD + SAMPLE + again("slag") + again("cupel", "0.010 mg"))
    assert value(more, "gold") == pytest.approx(value(plain, "gold") + 0.034)
    assert value(more, "grade_gold") == pytest.approx(1000 * (1.204 + 0.034) / 30)
    assert sample(more).figures["gold"].basis == "corrected for cupel loss, slag added"
    assert any("Slag treated again: 0.0240 mg" in said for said in sample(more).assumptions)
    lines = [line.line for line in sample_sum(more, sample(more))]
    assert "T-1: with its slag again = 1.204 + 0.024 = 1.228 mg" in lines
    assert "T-1: with its cupel again = 1.228 + 0.01 = 1.238 mg" in lines
    assert not more.grades  # neither is a determination of its own
    assert "grade_gold" not in sample(more, "T-1 slag").figures


def test_what_slag_brings_is_told_from_the_blanks_of_both_charges() -> None:
    """Two weighings of 0.002 mg: σ0 = 0.002·√2, L_C = t(0.95, 19)·σ0; alone it is less."""
    lots = '\n[[lots]]\nlot = "L"\nmaterial = "litharge"\n'
    done = sample(found(HEAD + lots + SAMPLE + again("slag")))
    assert done.parts is not None
    assert done.parts.gold is not None
    assert done.parts.gold.levels.sigma == pytest.approx(0.002 * 2**0.5)
    assert done.parts.gold.net.levels.sigma == pytest.approx(0.002)
    # what cannot be told from nothing alone, nor with what slag brings, and then can
    little = SAMPLE.replace("1.204 mg", "0.003 mg")
    states = {
        gold: sample(found(HEAD + little + again("slag", f"{gold} mg"))).figures["gold"].status
        for gold in ("0.001", "0.002")
    }
    assert states == {"0.001": "below L_D", "0.002": "measured"}


def test_its_own_cupel_stands_for_the_proofs() -> None:
    done = sample(found(HEAD + SAMPLE + again("cupel", "0.010 mg") + proof("P-1")))
    figure = done.figures["gold"].value
    assert figure == pytest.approx(1.214)
    assert "no_matching_proof" not in {f.code for f in done.flags}
    assert any(said.startswith("Its own cupel was treated again") for said in done.assumptions)
    lost = found(HEAD + SAMPLE + again("slag") + 'lost = "spilt"\n')
    assert value(lost, "gold") == pytest.approx(1.204)


def test_a_mean_of_corrected_and_uncorrected_determinations_is_told() -> None:
    second = SAMPLE.replace('id = "T-1"', 'id = "T-1 b"\nof = "T-1"\nrole = "duplicate"')
    mixed = HEAD + SAMPLE + second + again("slag")
    page = "\n".join(flag.text for flag in answer("sheet", mixed.encode()).flags)
    assert "T-1: Its determinations are not all corrected for the same loss." in page
    alike = answer("sheet", (HEAD + SAMPLE + second).encode()).flags
    assert "loss_mixed" not in {flag.code for flag in alike}


def test_both_ends_of_silver_are_led_by_the_sample_they_are_of() -> None:
    """0.142 mg are 4.7 g/t of 30 g; a table names whose they are and who else has two ends."""
    one = SAMPLE + 'gold = "1.204 mg"\n' if "gold =" not in SAMPLE else SAMPLE
    other = one.replace("T-1", "T-2").replace("9.398", "9.500")
    alone = answer("sheet", (HEAD + one).encode()).assumptions
    led = [text for text in alone if text.startswith("Silver is")]
    assert len(led) == 1
    both = answer("sheet", (HEAD + one + other).encode()).assumptions
    assert not [text for text in both if text.startswith("Silver is")]
    said = next(text for text in both if text.startswith("T-1: Silver is"))
    assert said.split("\n")[0] == f"T-1: {led[0]}"
    assert said.endswith("Likewise T-2.")
    opened = answer("sheet", (HEAD + one + other).encode(), ["T-2"]).assumptions
    assert [text for text in opened if text.startswith("Silver is")]


def test_a_blank_weighed_on_the_balance_of_the_beads_shares_the_spread_of_it() -> None:
    """GUM G.4.1: terms of one estimated s are one term; all of u is of one s with 19 degrees.

    Gold and blank are each a load less a tared zero on one balance: u² = 2·s², ν = 20 - 1.
    """
    lots = '\n[[lots]]\nlot = "L"\nmaterial = "litharge"\n'
    blank = (
        '\n[[samples]]\nid = "BL"\nrole = "blank"\nsilver = "none"\nlead = "30 g"\n'
        'lots = ["L"]\nbead = "0.010 mg"\ngold = "0.003 mg"\n'
    )
    own = SAMPLE.replace('lead = "30 g"\n', 'lead = "30 g"\nlots = ["L"]\n')
    text = HEAD + lots + blank + own
    gold = results(replay(handsheet.read(text.encode()).entries)).samples[-1].figures["gold"]
    assert gold.u == pytest.approx(0.002 * 2**0.5)
    assert gold.dof == pytest.approx(19)
    assert gold.k == pytest.approx(2.093, abs=5e-4)  # t(0.975, 19), tables
