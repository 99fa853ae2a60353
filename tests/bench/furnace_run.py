"""The furnace run of the drawn pages: 24 cupels, eleven beads weighed, one lost. Invented."""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.run_log import RunLog
from assaybench.logbook.folder import LogName
from tests.bench.conftest import Clock
from tests.bench.hands import FINE, PULP, read_rows, safety_rows

PLACES = tuple(f"{row}{column}" for row in "ABCD" for column in range(1, 7))
IDS = (
    "KV-016", "KV-017", "KV-018", "blank 1", "KV-019", "KV-020",
    "KV-021", "KV-022", "KV-023", "KV-024", "proof 1", "KV-025",
    "KV-026", "KV-027", "KV-028", "KV-017 d", "KV-029", "KV-030",
    "KV-031", "KV-032", "known 1", "proof 2", "KV-033", "KV-034",
)  # fmt: skip
BEADS = ("0.298", "0.314", "0.107", "0.005", "1.412", "0.452",
         "0.226", "0.188", "0.019", "0.305", "1.031")  # fmt: skip
LOST = "KV-031"


def _sample(identity: str) -> dict[str, object]:
    values: dict[str, object] = {"id": identity, "role": "sample", "silver": "none"}
    if identity.startswith("blank"):
        values["role"] = "blank"
    if identity.startswith("proof"):
        values |= {"role": "proof", "gold_known": "1.000 mg"}
    if identity.startswith("known"):
        values |= {"role": "reference", "value": "3.2 ± 0.2 g/t"}
    if identity.endswith(" d"):
        values |= {"role": "duplicate", "of": "KV-017", "from": "pulp"}
    return values


def drawn_run(desk: Desk, clock: Clock) -> RunLog:
    """The run at the moment of the drawn pages."""
    run = new_run(desk)
    run.name = LogName("MAIN", 147)
    rows = [FINE, PULP]
    for identity, place in zip(IDS, PLACES, strict=True):
        rows.append(("sample", _sample(identity)))
        rows.append(("position", {"sample": identity, "place": place, "plan": "muffle"}))
    weighed = [i for i in IDS if not i.startswith(("blank", "proof"))]
    rows += read_rows("pulp", "charge", [(i, "30.00") for i in weighed], "g")
    run.append_all([*rows, *safety_rows()])
    now, clock.now = clock.now, clock.now.replace(hour=12, minute=40)
    n = next(e.n for e in run.entries if e.values.get("id") == LOST)
    why = "the cupel cracked"
    run.append_all(
        [
            ("furnace_mark", {"sample": LOST, "mark": "lost", "reason": why}),
            ("amendment", {"entry": n, "lost": why, "reason": why}),
        ]
    )
    clock.now = now
    zero = {"what": "zero", "text": "0.000", "unit": "mg", "balance": "fine"}
    beads = read_rows("fine", "bead", list(zip(IDS, BEADS, strict=False)), "mg")
    run.append_all([("reading", zero), *beads])
    return run
