"""The groups of a report: items, results, weighings, checks, balances, and all that was changed."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.metrology.figure import Flag, not_determinable
from assaybench.record.entries import Effective
from assaybench.record.gaps import breaks_of
from assaybench.record.method_items import ITEMS, unused
from assaybench.record.replay import RawWeighing, State
from assaybench.record.results import WEIGHED, Results, SampleResult
from assaybench.record.suspect import suspects
from assaybench.report import entry_lines
from assaybench.report.answer import Section, table_section
from assaybench.report.tables import folded
from assaybench.units import table

day_of = entry_lines.day_of
PRINTED_ITEMS = frozenset(item.name for item in ITEMS if item.in_head)
"""Choices that stand in the head of the report."""


def moment(at: datetime) -> str:
    """A date and a time of day."""
    return f"{day_of(at)}, {at:%H:%M}"


def count(state: State, kind: str) -> int:
    """How many entries of a kind, withdrawn ones too."""
    return sum(1 for entry in state.entries if entry.kind == kind)


def corrected(state: State) -> int:
    """How many amendments changed a value that stood."""
    return sum(len(entry.corrections) for entry in state.entries)


def _section(title: str, texts: Iterable[str]) -> Section:
    return Section(title, tuple((text, "") for text in texts))


def items(state: State, shown: Sequence[SampleResult]) -> Section:
    """The items: what each is, the client's mark, its bag tag and state, its water."""
    return _section("Items", (_item(state, sample) for sample in shown))


def _item(state: State, sample: SampleResult) -> str:
    entry = state.samples[sample.id]
    said = [sample.role if not sample.part else f"{sample.part} of {sample.of}"]
    if sample.of and not sample.part:
        said[0] += f" of {sample.of}"
    if entry.text("from"):
        said.append(f"from {entry.text('from')}")
    if entry.text("client_mark"):
        said.append(f"client's mark {entry.text('client_mark')}")
    said += [_custody(c) for c in state.of("custody") if c.text("sample") == sample.id]
    moisture = state.of_sample("moisture", sample.id)
    if moisture is not None:
        said.append(f"water {moisture.text('water')} of the {moisture.text('basis')} mass")
    place = state.of_sample("position", sample.id)
    if place is not None:
        said.append(f"place {place.text('place')}")
    look = state.of_sample("bead_look", sample.id)
    if look is not None:
        said.append(f"bead {look.text('look')}")
    parting = state.of_sample("parting", sample.id)
    if parting is not None:
        said.append(f"parted {parting.text('result')}")
    return f"{sample.id}: {', '.join(said)}"


def _custody(entry: Effective) -> str:
    labels = (("tag", "tag "), ("state", ""), ("to", "handed to "))
    said = [f"{label}{entry.text(key)}" for key, label in labels if entry.text(key)]
    return f"{' '.join(said)} ({day_of(entry.entry.at)}, {entry.entry.by})"


def weighings(found: Results, names: Sequence[str]) -> Section:
    """Every weighing as displayed, with its zeros, its net mass ± U, balance, hand and time.

    Args:
        found: the results of the log.
        names: ids of the samples and pools that are shown.
    """
    doubtful = {(s.balance, name) for s in suspects(found.run.state) for name in s.samples}
    by_n = {entry.n: entry for entry in found.run.state.entries}
    rows = []
    for name in names:
        weighed = [what for sample, what in found.run.raw if sample == name]
        for what in sorted(weighed, key=lambda what: [*WEIGHED, what].index(what)):
            raw = found.run.raw_of(name, what)
            if raw is None:
                continue
            suspect = " suspect" if (raw.balance.name, name) in doubtful else ""
            rows.append(
                (
                    name,
                    what,
                    " ".join(load.text for load in raw.loads),
                    " ".join(zero.text.partition(" ")[0] for zero in raw.zeros),
                    _net(found, name, what, raw),
                    raw.balance.name,
                    _hand(raw, by_n) + suspect,
                )
            )
    heads = ("sample", "what", "displayed", "zeros", "net, ± U", "balance", "by, at")
    return table_section("Weighed", folded(heads, rows, (0, 1, 5, 6), 4) if rows else [])


def _net(found: Results, name: str, what: str, raw: RawWeighing) -> str:
    """The net mass ± U in the unit that was displayed."""
    pair = found.run.weighing(name, what)
    unit = table.BY_SPELLING[raw.loads[0].text.rpartition(" ")[2]]
    if pair is None or not pair[0].agrees:
        return not_determinable(unit.symbol, "").text
    return sight.figure(pair[0], found.sources.doubt(pair[0].net), unit).text


def _hand(raw: RawWeighing, by_n: dict[int, Effective]) -> str:
    entry = by_n[raw.entries[0]].entry
    return f"{entry.by} {entry.at:%Y-%m-%d %H:%M}"


def balances(state: State) -> Section:
    """Balances as they were described, their checks, and what is suspect by them."""
    texts = []
    for entry in state.entries:
        if entry.withdrawn is None and entry.kind == "balance":
            texts.append(_balance(entry))
        elif entry.withdrawn is None and entry.kind == "balance_check":
            texts.append(_check(state, entry))
    resting = {r.balance.name for r in state.readings if r.balance.reference}
    texts += [scale.sentence for name, scale in state.scales.items() if name in resting]
    for suspect in suspects(state):
        names = ", ".join(name for name in suspect.samples if name)
        texts += [say("report_suspect", balance=suspect.balance, names=names)]
    return _section("Balances", texts)


def _balance(entry: Effective) -> str:
    labels = {
        "step": "one division {}",
        "spread": "spread {}",
        "repeats": "from {} weighings",
        "linearity": "linearity ± {}",
        "zero_residue": "residue of the zero ± {}",
        "calibration": "scale {} (u)",
    }
    said = [label.format(entry.values[key]) for key, label in labels.items() if key in entry.values]
    return f"{entry.text('name')}: {', '.join(said)}"


def _check(state: State, entry: Effective) -> str:
    weight = next(
        (w.text("mass") for w in state.of("weight") if w.text("name") == entry.text("weight")),
        entry.text("weight"),
    )
    read = " ".join(entry.texts("texts"))
    zeros = f", zeros {' '.join(entry.texts('zeros'))}" if entry.texts("zeros") else ""
    limit = f"; limit ± {entry.text('tolerance')}" if entry.text("tolerance") else ""
    made = entry.entry
    return (
        f"{entry.text('balance')} checked {moment(made.at)}, {made.by}: weight {weight} read "
        f"{read} {entry.text('unit')}{zeros}{limit}"
    )


def doubts(flags: Iterable[Flag]) -> Section:
    """What a reader must know: departures from the method, doubts, what was lost."""
    return _section("Departures and doubts", dict.fromkeys(flag.text for flag in flags))


def left_out(state: State, shown: Sequence[SampleResult]) -> Section:
    """What was left out of means and why, and by whom."""
    names = {sample.id for sample in shown}
    return _section(
        "Left out of means",
        (
            f"{entry.text('sample')}: {entry.text('reason')}; {entry.entry.by},"
            f" {moment(entry.entry.at)}"
            for entry in state.of("left_out")
            if entry.text("sample") in names
        ),
    )


def amendments(state: State, shown: Sequence[SampleResult], only: Sequence[str]) -> Section:
    """Amended and withdrawn entries: what they said, what they say now, why, who and when.

    Keys that were first given after the entry was made are counted, not listed.
    """
    names = {sample.id for sample in shown}
    texts: list[str] = []
    rest = 0
    for entry in state.entries:
        lines = _struck(entry) if entry.corrections or entry.withdrawn is not None else []
        owner = entry.text("id") if entry.kind == "sample" else entry.text("sample")
        if lines and only and owner and owner not in names:
            rest += len(lines)
        elif lines:
            head = f"entry {entry.n}, {entry.entry.by} {moment(entry.entry.at)}: {_what(entry)}"
            texts += [head, *lines]
    if rest:
        texts.append(say("report_amended_rest", n=rest))
    amended, withdrawn = corrected(state), count(state, "withdrawn")
    later = count(state, "amendment") - amended
    if later:
        texts.append(say("report_given_later", n=later))
    return _section(f"Entries amended {amended}, withdrawn {withdrawn}", texts)


def _struck(entry: Effective) -> list[str]:
    """What became of an entry: one line for each value, with both, the hand, the time, the why."""
    found = []
    for change in entry_lines.changes(entry):
        old = "" if change.old is None else f"{change.old} struck, "
        hand = f"{change.made.by} {moment(change.made.at)}"
        found.append(f"  {change.name}: {old}now {change.new}; {hand}: {change.why}")
    gone = entry.withdrawn
    if gone is not None:
        why = entry_lines.shown(gone.values.get("reason", ""))
        found.append(f"  withdrawn; {gone.by} {moment(gone.at)}: {why}")
    return found


def _what(entry: Effective) -> str:
    keys = ("what", "id", "sample", "name", "product", "text", "unit", "mass")
    said = [entry_lines.shown(entry.entry.values[key]) for key in keys if key in entry.entry.values]
    return " ".join([entry.kind, *said])


def asked(state: State, shown: Sequence[SampleResult]) -> Section:
    """Slips that were asked about: what was typed first, and what was confirmed."""
    names = {sample.id for sample in shown} | {""}
    return _section(
        "Asked about before storing",
        (
            f"{' '.join(t for t in (entry.text('sample'), entry.text('what')) if t)}:"
            f" typed {entry.text('typed')}, confirmed {entry.text('confirmed')}"
            f" {entry.text('unit')} ({entry_lines.slips(entry.text('question'))}), {entry.entry.by}"
            f" {moment(entry.entry.at)}"
            for entry in state.of("asked")
            if entry.text("sample") in names
        ),
    )


def clock(state: State) -> Section:
    """Gaps between entries and backward steps of the clock."""
    made = [entry.entry for entry in state.entries]
    by_n = {entry.n: entry for entry in made}
    return _section(
        "Gaps and steps of the clock",
        (
            f"{found.sentence} before entry {n}, {moment(by_n[n].at)}"
            for n, found in breaks_of(made).items()
        ),
    )


def choices(state: State) -> Section:
    """Choices of the method, each with its reason and who made it."""
    chosen = [e for e in state.entries if e.kind == "method" and e.withdrawn is None]
    texts = []
    for entry in chosen:
        if entry.text("item") not in PRINTED_ITEMS:
            reason = f" ({entry.text('reason')})" if entry.text("reason") else ""
            made = f"{entry.text('item')}: {entry.text('value')}{reason}, {entry.entry.by}"
            said = unused(entry.values)
            texts.append(f"{made}; {said}" if said else made)
    return _section("Choices of the method", texts)


def reagents(state: State) -> Section:
    """Lots of reagents, with the blank of earlier runs where one is stated."""
    labels = {
        "material": "{}",
        "gold_per_gram": "gold of earlier blanks {}",
        "gold_spread": "its spread {}",
        "silver_per_gram": "silver of earlier blanks {}",
        "silver_spread": "its spread {}",
        "blank_count": "{} blanks",
    }
    texts = []
    for entry in state.of("reagent_lot"):
        said = [label.format(entry.values[k]) for k, label in labels.items() if k in entry.values]
        texts.append(f"lot {entry.text('lot')}: {', '.join(said)}")
    return _section("Reagents", texts)


def from_others(state: State, shown: Sequence[SampleResult]) -> Section:
    """Figures that were not weighed here but typed in, from certificates or other laboratories."""
    return _section("Figures from others, as typed", _typed(state, shown))


def _typed(state: State, shown: Sequence[SampleResult]) -> Iterator[str]:
    for entry in state.of("circuit"):
        for key in ("metal", "grade"):
            if entry.text(key):
                name = f"{entry.text('product')} {entry.text('size')}".strip()
                yield f"{name}: {key} {entry.text(key)}"
    for entry in state.of("weight"):
        yield f"check weight {entry.text('name')}: {entry.text('mass')}"
    for sample in shown:
        value = state.samples[sample.id].text("value")
        if value:
            yield f"{sample.id}: stated value {value}"
    for entry in state.of("price"):
        yield (f"price of {entry.text('metal')}: {entry.text('amount')} per {entry.text('per')},"
               f" {entry.text('source')}")  # fmt: skip


def people(state: State) -> Section:
    """Who stands behind the initials, and who of them made entries."""
    named = {entry.text("initials"): entry for entry in state.of("person")}
    kinds: dict[str, dict[str, None]] = {}
    for entry in state.entries:
        kinds.setdefault(entry.entry.by, {})[entry.kind] = None
    texts = []
    for by in [*kinds, *(name for name in named if name not in kinds)]:
        person = named.get(by)
        said = [person.text("name"), person.text("role")] if person else ["name not recorded"]
        weighed = "weighed" if "reading" in kinds.get(by, {}) else ""
        texts.append(f"{by}: {', '.join(text for text in (*said, weighed) if text)}")
    return _section("People", texts)


def remarks(state: State, shown: Sequence[SampleResult]) -> Section:
    """Notes and reviews, of the whole log and of the samples shown."""
    names = {sample.id for sample in shown} | {""}
    texts = []
    for entry in state.entries:
        if entry.withdrawn is None and entry.kind in ("note", "review"):
            sample = entry.text("sample")
            if sample in names:
                by = entry.text("initials") or entry.entry.by
                what = "reviewed" if entry.kind == "review" else "note"
                about = f" on {sample}" if sample else ""
                texts.append(f"{what}{about}, {by} {moment(entry.entry.at)}: {entry.text('text')}")
    return _section("Remarks", texts)


def attachments(state: State, shown: Sequence[SampleResult]) -> Section:
    """Files kept beside the log, with their digests."""
    names = {sample.id for sample in shown} | {""}
    texts: list[str] = []
    for entry in state.of("attachment"):
        if entry.text("sample") in names:
            about = f", of {entry.text('sample')}" if entry.text("sample") else ""
            texts.append(f"{entry.text('file')}, {entry.whole('size')} bytes{about}; SHA-256:")
            texts.append(f"  {entry.text('sha256')}")
    return _section("Attachments", texts)
