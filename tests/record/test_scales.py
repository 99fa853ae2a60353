"""The scale of a balance from its checks, through replay into results.

Every expected doubt is worked out here from the readings by the rule itself: u_rel² =
(u_ref² + u0²/n + u_lin²)/m_ref² + (E_after - E_before)²/(12·m_ref²), and (E/m_ref)² added where
|E| > 2·u(E).
"""

import math
import random
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.reading import read_log
from assaybench.metrology.calibration import CheckWeight
from assaybench.metrology.uncertain import Sources, nominal, ratio
from assaybench.metrology.weighing import Balance, Weighing, weigh
from assaybench.record import handsheet
from assaybench.record.entries import Effective, Entry
from assaybench.record.live import Live
from assaybench.record.replay import State, replay, weighings
from assaybench.record.results import results
from assaybench.record.run import Run
from assaybench.record.scales import check_weight

MORNING = datetime.fromisoformat("2026-06-09T08:05:00+02:00")
ROOT = Path(__file__).parents[2]
OPENED = ("opened", {"log": "furnace run", "number": 1, "bench": "MAIN", "method_version": 1,
                     "program": "test"})  # fmt: skip
FINE = ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10,
                    "weighs": ["bead", "gold"]})  # fmt: skip
PULP = ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.007 g", "weighs": ["charge"]})
KNOWN = ("weight", {"name": "10 mg", "mass": "10.000 ± 0.002 mg"})
U_KNOWN = 0.001
"""± is U, k = 2."""
Row = tuple[str, Mapping[str, object]]
Rows = Sequence[Row]


def entries_of(*rows: tuple[str, Mapping[str, object]]) -> list[Entry]:
    return [
        Entry(n, MORNING + timedelta(minutes=n), "KB", kind, values)
        for n, (kind, values) in enumerate((OPENED, *rows), start=1)
    ]


def state_of(*rows: tuple[str, Mapping[str, object]]) -> State:
    return replay(entries_of(*rows))


def check(*texts: str, balance: str = "fine", weight: str = "10 mg", unit: str = "mg",
          **more: object) -> tuple[str, dict[str, object]]:  # fmt: skip
    values = {"balance": balance, "weight": weight, "texts": list(texts), "unit": unit}
    return ("balance_check", {"zeros": ["0.000"], **values, **more})


def read(
    what: str, text: str, unit: str, balance: str, sample: str
) -> tuple[str, dict[str, object]]:
    return ("reading", {"what": what, "text": text, "unit": unit, "balance": balance,
                        "sample": sample})  # fmt: skip


def calibration(state: State, balance: str = "fine") -> float:
    found = state.balances[balance].calibration
    assert found is not None
    return found


SAMPLE: Rows = (
    ("sample", {"id": "KV-1", "role": "sample", "silver": "none"}),
    read("charge", "30.00", "g", "pulp", "KV-1"),
    read("bead", "3.400", "mg", "fine", "KV-1"),
    read("gold", "3.200", "mg", "fine", "KV-1"),
)


# --- the rule ------------------------------------------------------------


def test_one_check_with_a_certificate() -> None:
    state = state_of(FINE, KNOWN, check("10.001", "10.002", zeros=["0.000", "0.001"]))
    scale = state.scales["fine"]
    # mean net 10.0010: E 0.001 is within 2·√(0.001² + 0.002²/2) = 0.0035
    assert scale.u == pytest.approx(math.sqrt(U_KNOWN**2 + 0.002**2 / 2) / 10, rel=1e-12)
    assert scale.error == pytest.approx(0.0001)
    assert not scale.shown
    assert calibration(state) == scale.u
    assert state.balances["fine"].u_reference == pytest.approx(0.0001)
    assert scale.sentence == "Calibration of fine from the check at 08:09 with 10 mg: u 0.017 %."


def test_a_class_gives_its_limit_over_root_three() -> None:
    """OIML R 111-1, Table 1 (read second-hand): 100 mg of class E2 lies within 0.016 mg."""
    hundred = ("weight", {"name": "C", "mass": "100 mg", "accuracy_class": "e2"})
    state = state_of(FINE, hundred, check("100.001", weight="C"))
    assert calibration(state) == pytest.approx(math.sqrt(0.016**2 / 3 + 0.002**2) / 100)


def test_limits_of_linearity_are_in_it() -> None:
    linear = (FINE[0], {**FINE[1], "linearity": "0.006 mg"})
    state = state_of(linear, KNOWN, check("10.000"))
    assert calibration(state) == pytest.approx(math.sqrt(U_KNOWN**2 + 0.002**2 + 0.006**2 / 3) / 10)


def test_before_and_after_widen_it_by_their_drift() -> None:
    state = state_of(FINE, KNOWN, check("10.001"), *PULP_AND_SAMPLE, check("9.998"))
    drift = 0.003**2 / 12
    assert calibration(state) == pytest.approx(math.sqrt(U_KNOWN**2 + 0.002**2 / 2 + drift) / 10)
    assert "from the checks at 08:09 and 08:15" in state.scales["fine"].sentence


PULP_AND_SAMPLE = (PULP, *SAMPLE)


def test_an_error_that_is_shown_is_added_and_told_and_no_reading_is_changed() -> None:
    state = state_of(FINE, KNOWN, PULP, *SAMPLE, check("10.012"))
    u_error = math.hypot(U_KNOWN, 0.002)
    assert calibration(state) == pytest.approx(math.hypot(u_error, 0.012) / 10)
    assert state.scales["fine"].sentence.endswith(
        "\nIt reads 0.12 % high: that is in the ±, not corrected."
    )
    weighing, _ = found_in(Run(state), "KV-1", "gold")
    assert nominal(weighing.net) == pytest.approx(3.2)
    low = state_of(FINE, KNOWN, check("9.980")).scales["fine"]
    assert "It reads 0.20 % low" in low.sentence


def found_in(run: Run, sample: str, what: str) -> tuple[Weighing, Balance]:
    found = run.weighing(sample, what)
    assert found is not None
    return found


@pytest.mark.parametrize(
    "weight",
    [
        {"name": "10 mg", "mass": "10 mg"},
        {"name": "10 mg", "mass": "10.00 mg", "accuracy_class": "some words, µ"},
        {"name": "10 mg", "mass": "12 mg", "accuracy_class": "E2"},
    ],
)
def test_a_weight_that_nothing_is_known_of_verifies_nothing(weight: dict[str, object]) -> None:
    state = state_of(FINE, PULP, ("weight", weight), check("10.001"), *SAMPLE)
    assert state.scales == {}
    assert state.balances["fine"].calibration is None
    said = results(state).samples[0].assumptions
    assert any(s.startswith("Calibration of fine not verified: its weight has no") for s in said)
    assert any(s.startswith("Calibration of pulp not verified: its scale") for s in said)


def test_a_declared_calibration_stands() -> None:
    declared = (FINE[0], {**FINE[1], "calibration": "0.03 %"})
    state = state_of(declared, PULP, KNOWN, check("10.050"), *SAMPLE)
    assert calibration(state) == pytest.approx(0.0003)
    assert {r.balance.reference for r in state.readings} == {""}
    assert not any("fine" in said for said in results(state).samples[0].assumptions)


def test_of_several_weights_the_one_that_tells_the_scale_best_counts() -> None:
    small = ("weight", {"name": "1 mg", "mass": "1 mg", "accuracy_class": "M1"})
    spread = check(*["1.001"] * 10, weight="1 mg")
    state = state_of(FINE, KNOWN, small, spread, check("10.001"), spread)
    assert state.scales["fine"].weight == "10 mg"
    assert calibration(state) == pytest.approx(math.hypot(U_KNOWN, 0.002) / 10)


# --- what it does to figures ------------------------------------------------------------


def test_it_cancels_in_a_ratio_on_one_balance_and_stays_in_a_grade() -> None:
    state = state_of(FINE, PULP, KNOWN, check("10.001"), *SAMPLE)
    run = Run(state)
    scale = calibration(state)
    bead, gold = (found_in(run, "KV-1", what)[0] for what in ("bead", "gold"))
    share = ratio([(1, gold.net)], bead.net)
    reading = math.hypot(0.002 / 3.2, 0.002 / 3.4)
    assert run.sources.doubt(share).u / (3.2 / 3.4) == pytest.approx(reading, rel=1e-9)
    of_gold = run.sources.doubt(gold.net)
    assert of_gold.u == pytest.approx(math.hypot(0.002, 3.2 * scale), rel=1e-9)
    assert of_gold.rows["calibration"] == pytest.approx((3.2 * scale) ** 2, rel=1e-9)
    made = results(state).samples[0]
    plain = results(state_of(FINE, PULP, *SAMPLE)).samples[0]
    assert made.figures["grade_gold"].value == plain.figures["grade_gold"].value
    with_scale, without = (s.figures["grade_gold"].u for s in (made, plain))
    assert with_scale is not None
    assert without is not None
    grade = 3.2 / 30 * 1000
    assert math.sqrt(with_scale**2 - without**2) == pytest.approx(grade * scale, rel=1e-3)
    assert any(
        said.startswith("Calibration of fine from the check at") for said in made.assumptions
    )


def test_two_balances_checked_by_one_weight_share_its_doubt() -> None:
    other = ("balance", {"name": "other", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10})
    rows: Rows = (
        FINE, other, KNOWN, check("10.000"), check("10.000", balance="other"),
        ("sample", {"id": "KV-1", "role": "sample"}),
        read("bead", "100.000", "mg", "fine", "KV-1"),
        read("gold", "100.000", "mg", "other", "KV-1"),
    )  # fmt: skip
    state = state_of(*rows)
    sources = Sources()
    raw = weighings(state)
    one, two = (
        weigh(sources, r.balance, r.loads, r.zeros).net
        for r in (raw["KV-1", "bead"], raw["KV-1", "gold"])
    )
    own = 0.002 / 10
    both = math.sqrt(2) * math.hypot(0.002 / 100, own)
    assert sources.doubt(ratio([(1, one)], two)).u == pytest.approx(both, rel=1e-9)
    alone = math.sqrt((0.002 / 100) ** 2 + own**2 + (U_KNOWN / 10) ** 2)
    assert sources.doubt(one).u / 100 == pytest.approx(alone, rel=1e-9)


# --- the order of entries ------------------------------------------------------------


def test_a_check_behind_the_readings_counts_for_them_as_one_before_does() -> None:
    before = state_of(FINE, PULP, KNOWN, check("10.001"), *SAMPLE)
    after = state_of(FINE, PULP, *SAMPLE, KNOWN, check("10.001"))
    late = state_of(FINE, PULP, *SAMPLE, check("10.001"), KNOWN)
    texts = {
        results(state).samples[0].figures["grade_gold"].text for state in (before, after, late)
    }
    assert len(texts) == 1
    assert {r.balance.calibration for r in late.readings if r.balance.name == "fine"} == {
        calibration(before)
    }


def test_a_balance_described_anew_keeps_the_scale_of_its_checks() -> None:
    """The spread of the new description counts for it; a calibration declared now stands now."""
    anew = (FINE[0], {**FINE[1], "spread": "0.004 mg"})
    declared = (FINE[0], {**FINE[1], "calibration": "0.05 %"})
    state = state_of(FINE, PULP, KNOWN, check("10.001"), *SAMPLE, anew)
    expected = math.hypot(U_KNOWN, 0.004) / 10
    assert calibration(state) == pytest.approx(expected)
    assert {r.balance.calibration for r in state.readings if r.balance.name == "fine"} == {
        calibration(state)
    }, "one balance, one scale"
    told = state_of(FINE, PULP, KNOWN, check("10.001"), *SAMPLE, declared)
    assert calibration(told) == pytest.approx(0.0005)
    assert {r.balance.reference for r in told.readings if r.balance.name == "fine"} == {"10 mg"}


def test_an_amended_weight_or_a_withdrawn_check_counts_as_it_is_now() -> None:
    rows: Rows = (FINE, PULP, KNOWN, check("10.001"), *SAMPLE)
    amended: Row = ("amendment", {"entry": 4, "mass": "10.000 ± 0.020 mg", "reason": "misread"})
    withdrawn: Row = ("withdrawn", {"entry": 5, "reason": "wrong weight on the pan"})
    assert calibration(state_of(*rows, amended)) == pytest.approx(math.hypot(0.01, 0.002) / 10)
    assert state_of(*rows, withdrawn).balances["fine"].calibration is None


def test_after_every_entry_a_log_says_what_it_says_from_the_start() -> None:
    draws = random.Random(7)
    pool: list[tuple[str, Mapping[str, object]]] = [
        check("10.001"), check("9.990"), check("10.020", weight="5 mg"), KNOWN,
        ("weight", {"name": "5 mg", "mass": "5 mg", "accuracy_class": "F2"}), FINE,
        (FINE[0], {**FINE[1], "calibration": "0.05 %"}),
        read("gold", "3.204", "mg", "fine", "KV-1"), read("bead", "3.404", "mg", "fine", "KV-1"),
    ]  # fmt: skip
    for _ in range(12):
        rows: Rows = [FINE, PULP, *SAMPLE, *draws.sample(pool, len(pool))]
        live = Live()
        entries = entries_of(*rows)
        for n, entry in enumerate(entries, start=1):
            live.add(entry)
            whole = results(replay(entries[:n]))
            got = live.results()
            assert [
                {name: figure.text for name, figure in sample.figures.items()}
                for sample in got.samples
            ] == [
                {name: figure.text for name, figure in sample.figures.items()}
                for sample in whole.samples
            ]
            assert [s.assumptions for s in got.samples] == [s.assumptions for s in whole.samples]


# --- what was sealed before ------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    sorted(
        [*ROOT.glob("demo/logbook/logs/MAIN/*[0-9].toml"),
         *ROOT.glob("tests/golden/format-1/logbook/logs/MAIN/*[0-9].toml")]
    ),
    ids=lambda path: f"{path.parents[3].name} {path.stem}",
)  # fmt: skip
def test_no_figure_that_was_sealed_rests_on_a_check(path: Path) -> None:
    """Their balances have a declared calibration, or no check: they recompute as they did."""
    entries, _ = read_log(Files(), path)
    state = replay(entries)
    assert not any(record.balance.reference for record in state.readings)


def test_a_hand_sheet_without_a_declared_calibration_rests_on_its_checks() -> None:
    text = (ROOT / "demo/furnace-run.toml").read_text(encoding="utf-8")
    sheet = handsheet.read(text.replace('calibration = "0.03 %"\n', "", 1).encode())
    state = replay(sheet.entries)
    # before: 10.00033 less -0.0005; after: 9.99467 less 0.0000; three readings each
    drift = (9.994666667 - 10.000833333) ** 2 / 12
    expected = math.sqrt(0.001**2 + 0.002**2 / 6 + drift) / 10
    assert calibration(state) == pytest.approx(expected, rel=1e-6)
    assert state.scales["fine"].sentence == (
        "Calibration of fine from the first and last check with 10 mg: u 0.022 %."
    )


def test_a_weight_needs_a_mass_and_a_doubt() -> None:
    def found(**values: object) -> CheckWeight | None:
        return check_weight(Effective(Entry(1, MORNING, "KB", "weight", values), values))

    known = found(name="W", mass="10.000(1) mg")
    assert known is not None
    assert (known.mass_mg, known.u_mg) == pytest.approx((10.0, 0.001))
    assert found(name="W", mass="10 mg") is None
