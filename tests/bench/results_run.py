"""A finished furnace run, parted and ready to seal: the tray of the drawn pages. All invented.

Gold was put together from known grades: 0.004 mg of blank, proofs that lost 0.5 %, and for KV-019
about a hundred grains.
"""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from tests.bench.furnace_run import IDS, PLACES
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows

BEADS = (
    ("KV-016", "0.298", "0.261"), ("KV-017", "0.314", "0.272"), ("KV-018", "0.107", "0.081"),
    ("blank 1", "0.005", "0.004"), ("KV-019", "1.412", "1.198"), ("KV-020", "0.452", "0.389"),
    ("KV-021", "0.226", "0.194"), ("KV-022", "0.188", "0.161"), ("KV-023", "0.019", "0.006"),
    ("KV-024", "0.305", "0.262"), ("proof 1", "1.031", "0.999"), ("KV-025", "0.184", "0.158"),
    ("KV-026", "0.412", "0.353"), ("KV-027", "0.287", "0.246"), ("KV-028", "0.530", "0.455"),
    ("KV-017 d", "0.321", "0.279"), ("KV-029", "0.148", "0.127"), ("KV-030", "0.095", "0.081"),
    ("KV-032", "0.610", "0.524"), ("known 1", "0.140", "0.099"), ("proof 2", "1.029", "0.997"),
    ("KV-033", "0.233", "0.200"), ("KV-034", "0.377", "0.323"),
)  # fmt: skip
ZERO: Row = ("reading", {"what": "zero", "text": "0.000", "unit": "mg", "balance": "fine"})
LOST = "KV-031"
UNPARTED = "KV-034"
LOT = {"lots": ["K-31"], "lead": "30 g"}
"""The litharge of every charge: proofs and blank share it, so one blank serves all."""


def _sample(identity: str) -> dict[str, object]:
    values: dict[str, object] = {"id": identity, "role": "sample", "silver": "none", **LOT}
    if identity.startswith("blank"):
        values["role"] = "blank"
    if identity.startswith("proof"):
        values |= {"role": "proof", "gold_known": "1.000 ± 0.002 mg"}
    if identity.startswith("known"):
        values |= {"role": "reference", "value": "3.2 ± 0.2 g/t"}
    if identity.endswith(" d"):
        values |= {"role": "duplicate", "of": "KV-017", "from": "pulp"}
    return values


def rows(known: str = "0.099") -> list[Row]:
    """The entries of the run.

    Args:
        known: reading of the gold of the reference, mg.
    """
    found: list[Row] = [
        FINE,
        PULP,
        ("reagent_lot", {"lot": "K-31", "material": "litharge"}),
        ("method", {"item": "proof", "value": "ratio"}),
        ("person", {"initials": "KB", "name": "K. Berg", "role": "assayer"}),
        *safety_rows(),
    ]
    for identity, place in zip(IDS, PLACES, strict=True):
        sample = _sample(identity)
        if identity == LOST:
            sample["lost"] = "the cupel cracked"
        found.append(("sample", sample))
        found.append(("position", {"sample": identity, "place": place, "plan": "muffle"}))
    weighed = [i for i in IDS if not i.startswith(("blank", "proof"))]
    found += read_rows("pulp", "charge", [(i, "30.00") for i in weighed], "g")
    found.append(("grains", {"sample": "KV-019", "count": 100}))
    found += [ZERO, *read_rows("fine", "bead", [(i, b) for i, b, _ in BEADS], "mg")]
    golds = [(i, known if i == "known 1" else g) for i, _, g in BEADS if i != UNPARTED]
    return [*found, ZERO, *read_rows("fine", "gold", golds, "mg")]


def finished_run(desk: Desk, known: str = "0.099") -> RunLog:
    """The run, open at the bench.

    Args:
        desk: where.
        known: reading of the gold of the reference, mg; far from 0.096 a check says stop.
    """
    run = new_run(desk, "Kestrel Vale")
    run.append_all(rows(known))
    return run


def at(hands: Hands, identity: str) -> None:
    """Move the pointer to a sample."""
    hands.press(*["up"] * 30)
    for _ in range(30):
        if hands.page.row.id == identity:
            return
        hands.press("down")
    raise AssertionError(identity)
