"""Corrected and uncorrected gold never share a column or a mean, and n of N counts all of them.

Method version 1, section 3. Two proofs of 1.000 mg that lose 0.010 mg each serve charges with 30 g
of lead; charges with 20 g have no proof that fits. Figures are worked by hand from these.
"""

import json
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay import sorts
from assaybench.cli.results import answer
from assaybench.record import handsheet, sealing
from assaybench.record.replay import replay
from assaybench.record.results import Results, results
from assaybench.record.seal_review import review
from assaybench.record.wholes import wholes
from assaybench.report.answer import Answer, as_json
from tests.record.test_beside import HEAD

FITS, OTHER = "30 g", "20 g"
LOSS_MG = 0.010
CORRECTED, NOT = "corrected for cupel loss", "not corrected for cupel loss"


def charge(name: str, gold: str, lead: str, more: str = "") -> str:
    return (
        f'\n[[samples]]\nid = "{name}"\nsilver = "none"\nlead = "{lead}"\ncharge = "20.00 g"\n'
        f'gold = "{gold} mg"\n{more}'
    )


def again(name: str, gold: str, lead: str, more: str = "") -> str:
    return charge(name, gold, lead, f'role = "duplicate"\nof = "T-1"\nfrom = "pulp"\n{more}')


def proof(name: str) -> str:
    return (
        f'\n[[samples]]\nid = "{name}"\nrole = "proof"\nsilver = "none"\nlead = "{FITS}"\n'
        'gold_known = "1.000 ± 0.001 mg"\ngold = "0.990 mg"\n'
    )


PROOFS = proof("P-1") + proof("P-2")
MIXED = (
    HEAD
    + PROOFS
    + charge("T-1", "0.900", FITS)
    + again("T-1 b", "0.880", OTHER)
    + again("T-1 c", "0.910", FITS)
)


def found(text: str) -> Results:
    return results(replay(handsheet.read(text.encode()).entries))


def page(text: str, *only: str) -> Answer:
    return answer("sheet", text.encode(), only)


def titles(of: Answer) -> list[str]:
    return [section.title for section in of.sections]


def lines(of: Answer, title: str) -> list[str]:
    return [label for s in of.sections if s.title.startswith(title) for label, _ in s.rows]


def means(of: Results) -> dict[str, float]:
    return {sorts.words(g.sort): g.figure.value or 0.0 for g in of.grades}


@given(
    st.lists(
        st.tuples(st.integers(500, 1900), st.sampled_from((FITS, OTHER)), st.booleans()),
        min_size=2,
        max_size=6,
    )
)
def test_a_mean_holds_determinations_of_one_sort_alone(
    charges: list[tuple[int, str, bool]],
) -> None:
    """ΣAu/ΣM of each sort by itself: a figure of the other sort moves none of them."""
    text = HEAD + PROOFS
    for i, (micrograms, lead, left_out) in enumerate(charges):
        more = 'left_out = "spilt"\n' if left_out else ""
        make = charge if i == 0 else again
        text += make("T-1" if i == 0 else f"T-1 {i}", f"{micrograms / 1000:.3f}", lead, more)
    done = found(text)
    expected = {}
    for lead, words, loss in ((FITS, CORRECTED, LOSS_MG), (OTHER, NOT, 0.0)):
        own = [m / 1000 + loss for m, own_lead, out in charges if own_lead == lead and not out]
        if own:
            expected[words] = 1000 * sum(own) / (20 * len(own))
    assert means(done) == pytest.approx(expected)
    assert {g.of_all for g in done.grades} <= {len(charges)}
    for grade in done.grades:
        assert grade.mixed == (len({lead for _, lead, _ in charges}) == 2)
        assert {s.sort for s in done.samples if s.id in {d.name for d in grade.grade.every}} == {
            grade.sort
        }
        assert grade.figure.basis == sorts.words(grade.sort)


def test_each_sort_stands_in_a_table_of_its_own() -> None:
    made = page(MIXED)
    assert titles(made)[:5] == [
        "Samples corrected for cupel loss, 2 of 5 shown",
        "Samples not corrected for cupel loss, 1 of 5 shown",
        "Blanks, proofs, and samples without gold, 2 of 5 shown",
        "Assayed more than once, corrected for cupel loss",
        "Assayed more than once, not corrected for cupel loss",
    ]
    assert [row.split("  ")[0] for row in lines(made, "Samples corrected")] == [
        "sample", "T-1", "T-1 c"
    ]  # fmt: skip
    heads = {lines(made, title)[0] for title in titles(made)[:3]}
    assert len(heads) == 1  # columns stand below each other
    rows = {s.title: s.rows for s in made.sections}
    assert rows["Assayed more than once, corrected for cupel loss"][0][0] == (
        "T-1, 2 of 3 determinations"
    )
    assert rows["Assayed more than once, not corrected for cupel loss"][0][0] == (
        "T-1, 1 of 3 determinations"
    )
    flags = [f.text for f in made.flags if f.code == "loss_mixed"]
    assert flags == [
        (
            "T-1: Its determinations are not all corrected for the same loss.\n"
            "Each sort has its own mean. Run proofs that fit all of them, or none."
        )
    ]


@pytest.mark.parametrize("lead", [FITS, OTHER])
def test_a_run_of_one_sort_looks_as_it_did(lead: str) -> None:
    text = HEAD + PROOFS + charge("T-1", "0.900", lead) + again("T-1 b", "0.880", lead)
    made = page(text)
    assert titles(made)[:2] == [
        "Samples, 4 of 4 shown",
        "Grade of samples assayed more than once",
    ]
    assert "loss_mixed" not in {f.code for f in made.flags}
    assert [row.name for row in sealing.figures_of(found(text)) if row.id == "T-1"][-3:] == [
        "mean_grade_gold", "mean_of_all", "median_of_all"
    ]  # fmt: skip


def test_every_figure_of_json_says_its_correction() -> None:
    tree = json.loads(as_json(page(MIXED), with_sum=False))
    said = {s["id"]: (s["correction"], s["figures"]["gold"]["basis"]) for s in tree["samples"]}
    assert said["T-1"] == (CORRECTED, CORRECTED)
    assert said["T-1 b"] == (NOT, NOT)
    grades = {s["id"]: s["figures"]["grade_gold"]["basis"] for s in tree["samples"][2:]}
    assert grades == {
        "T-1": f"as received, {CORRECTED}",
        "T-1 b": f"as received, {NOT}",
        "T-1 c": f"as received, {CORRECTED}",
    }
    assert [(g["correction"], g["used"], g["determinations"]) for g in tree["grades"]] == [
        (CORRECTED, 2, 3), (NOT, 1, 3)
    ]  # fmt: skip
    assert all(g["figures"]["grade_gold"]["basis"] == g["correction"] for g in tree["grades"])


def test_a_seal_records_the_mean_of_each_sort_under_its_own_name() -> None:
    done = found(MIXED)
    rows = {r.name: r.value for r in sealing.figures_of(done) if r.id == "T-1" and "mean" in r.name}
    assert {name: float(value) for name, value in rows.items()} == pytest.approx(
        {
            f"mean_grade_gold, {CORRECTED}": 1000 * (0.910 + 0.920) / 40,
            f"mean_of_all, {CORRECTED}": 45.75,
            f"mean_grade_gold, {NOT}": 1000 * 0.880 / 20,
            f"mean_of_all, {NOT}": 44.0,
        }
    )
    counted = review(done.run.state, done).counted
    assert [(c.id, c.used, c.every) for c in counted] == [
        (f"T-1, {CORRECTED}", 2, 3), (f"T-1, {NOT}", 1, 3)
    ]  # fmt: skip


def test_slag_added_is_a_sort_of_its_own() -> None:
    slag = '\n[[samples]]\nid = "S"\nof = "T-1"\npart = "slag"\nsilver = "none"\ngold = "0.02 mg"\n'
    base = HEAD + charge("T-1", "0.900", OTHER) + again("T-1 b", "0.880", OTHER)
    assert means(found(base + slag)) == pytest.approx({f"{NOT}, slag added": 46.0, NOT: 44.0})


def screened(*minus: tuple[str, str], plus: str = OTHER) -> str:
    text = HEAD.replace('weighs = ["charge"]', 'weighs = ["charge", "plus", "minus"]') + PROOFS
    text += '\n[[samples]]\nid = "M"\nplus = "2.00 g"\nminus = "500.00 g"\n'
    text += charge("M plus", "0.800", plus, 'of = "M"\npart = "plus"\n').replace("20.00", "2.00")
    for i, (gold, lead) in enumerate(minus):
        text += charge(f"M minus {i}", gold, lead, 'of = "M"\npart = "minus"\n')
    return text


def test_what_passed_a_screen_is_a_mean_of_one_sort() -> None:
    """Corrected first: 0.700 + 0.010 mg in 20 g are 35.5 g/t, whatever the other one says."""
    for other in ("0.640", "0.100"):
        (whole,) = wholes(found(screened((other, OTHER), ("0.700", FITS))))
        assert whole.figures["minus_grade"].value == pytest.approx(35.5)
        assert whole.sort == sorts.IN_PART  # the plus has no proof that fits
        codes = [flag.code for flag in whole.flags]
        assert "minus_mixed" in codes
        assert "whole_mixed" in codes
    (alike,) = wholes(found(screened(("0.700", FITS), ("0.710", FITS), plus=FITS)))
    assert alike.sort == sorts.CORRECTED
    assert not {"minus_mixed", "whole_mixed"} & {flag.code for flag in alike.flags}


def test_a_sum_of_metals_is_of_their_sort_or_of_both() -> None:
    for one, other in product(sorts.ORDER, repeat=2):
        assert sorts.joined([one, other]) == (one if one == other else sorts.IN_PART)
    assert sorts.joined([]) == ""
    assert sorts.sort_of(by_proofs=False, again=["cupel"]) == sorts.CORRECTED
    assert sorts.sort_of(by_proofs=True, again=["slag"]) == sorts.WITH_SLAG


BAR = """
[[samples]]
id = "Bar 1"

[[samples]]
id = "Bar 1 a"
of = "Bar 1"
part = "piece"
charge = "0.25 g"
gold = "228.31 mg"
"""
BAR_PROOF = """
[[samples]]
id = "Bar 1 proof"
of = "Bar 1"
role = "proof"
gold_known = "227.50 ± 0.01 mg"
gold = "227.62 mg"
"""


@pytest.mark.parametrize("proofs", ["", BAR_PROOF, BAR_PROOF + BAR_PROOF.replace('proof"', 'q"')])
def test_a_bar_without_proofs_is_not_printed_as_corrected(proofs: str) -> None:
    proofs = proofs.replace('role = "q"', 'role = "proof"')
    text = HEAD + BAR + proofs
    (whole,) = wholes(found(text))
    labels = lines(page(text), "Bar 1, bar")
    corrected = bool(proofs)
    assert ("fineness, corrected by its proofs" in labels) == corrected
    assert "fineness, not corrected" in labels
    assert any(label.startswith("corrected, ") for label in labels) == corrected
    assert whole.sort == (sorts.CORRECTED if corrected else sorts.UNCORRECTED)
    assert whole.figures["fineness"].basis == ("corrected" if corrected else "not corrected")


@pytest.mark.parametrize(("lead", "told"), [(FITS, False), (OTHER, True)])
def test_a_circuit_of_both_sorts_is_told(lead: str, *, told: bool) -> None:
    rows = "".join(
        f'\n[[circuit]]\nproduct = "{product_}"\nsample = "{name}"\n'
        for product_, name in (("concentrate", "C"), ("rerun", "R"))
    )
    text = HEAD.replace("furnace run", "circuit test") + PROOFS
    text += charge("C", "1.200", FITS) + charge("R", "0.600", lead) + rows
    flags = {f.code for f in page(text).flags}
    assert ("circuit_mixed" in flags) == told
    assert "circuit_mixed" not in {f.code for f in page(text, "C").flags}
