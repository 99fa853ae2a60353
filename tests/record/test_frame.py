"""The frame: golden bytes, values back through tomllib, bad frames with their line and byte."""

import hashlib
import time
import tomllib
import tracemalloc
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.messages import BadInput
from assaybench.record.frame import HEAD, LARGEST_LOG, LONGEST_LINE, Chain, Place, framed, link_line
from assaybench.record.frame_read import Reader
from assaybench.record.kinds import BY_NAME
from tests.record.frames import (
    BALANCE,
    NOON,
    OPENED,
    file_of,
    names,
    own_keys,
    read,
    reading,
    small_log,
)

GOLDEN = Path(__file__).with_name("golden") / "log-format-1.toml"


def test_the_golden_log_of_format_1_is_written_and_read_as_ever() -> None:
    """Its bytes never change: a log written today must be read by every later version."""
    assert small_log() == GOLDEN.read_bytes()
    entries, verdict = read(GOLDEN.read_bytes())
    assert verdict.state == "sound"
    assert [entry.kind for entry in entries] == [
        "opened", "balance", "sample", "reading", "note", "amendment",
    ]  # fmt: skip
    assert entries[4].values == {"text": 'cup "B6" looks dull \\ warm, 20 µm of skin'}
    assert entries[5].at == NOON + timedelta(seconds=5)


def test_link_is_the_digest_from_the_link_before_up_to_its_own_line() -> None:
    data = GOLDEN.read_bytes()
    start = 0
    while (end := data.find(b"\nlink = ", start) + 1) > 0:
        line = data[end : data.index(b"\n", end)]
        assert line == link_line(hashlib.sha256(data[start:end]).hexdigest())
        start = end
    assert data[start:].count(b"\n") == 2


def test_an_entry_has_its_keys_in_the_order_of_the_table() -> None:
    values = dict(reversed(list(OPENED.items())))
    lines = file_of([("opened", values)]).decode().splitlines()
    keys = [line.split(" = ")[0] for line in lines[1:-2]]
    known = [key.name for key in BY_NAME["opened"].keys if key.name in values]
    assert lines[0] == "[[entry]]"
    assert keys == [*HEAD, *known]


def test_an_amendment_has_its_own_keys_then_those_of_the_entry_it_names() -> None:
    amendment = {"unit": "g", "text": "1.3", "reason": "slip", "what": "bead", "entry": 3}
    data = file_of([("opened", OPENED), ("balance", BALANCE), ("reading", reading("1")),
                    ("amendment", amendment)])  # fmt: skip
    lines = data.decode().split("[[entry]]\n")[-1].splitlines()[4:]
    assert [line.split(" = ")[0] for line in lines[:5]] == [
        "entry",
        "reason",
        "what",
        "text",
        "unit",
    ]
    assert read(data)[1].state == "sound"


@given(st.lists(st.tuples(names, own_keys), min_size=1, max_size=3), st.integers(1, 300))
def test_what_is_written_reads_back_with_tomllib_and_with_the_reader(
    rows: list[tuple[str, dict[str, object]]], piece: int
) -> None:
    """Kinds no table knows are kept: a later program may have written them."""
    data = file_of(rows)
    parsed = tomllib.loads(data.decode())["entry"]
    entries, verdict = read(data, piece)
    assert verdict.state == "sound"
    assert verdict.good == verdict.size == len(data)
    assert len(entries) == len(parsed) == len(rows)
    for entry, tree in zip(entries, parsed, strict=True):
        shown = {"n": entry.n, "at": entry.at, "by": entry.by, "kind": entry.kind, **entry.values}
        assert shown == {key: value for key, value in tree.items() if key != "link"}
    assert file_of([(entry.kind, entry.values) for entry in entries]) == data


@given(st.lists(st.tuples(names, own_keys), min_size=1, max_size=2), st.data())
def test_every_cut_within_an_entry_is_torn_and_at_its_end_sound(
    rows: list[tuple[str, dict[str, object]]], data: st.DataObject
) -> None:
    whole = file_of(rows)
    cut = data.draw(st.integers(0, len(whole)))
    ends = {0, len(file_of(rows[:1])), len(whole)}
    assert read(whole[:cut])[1].state == ("sound" if cut in ends else "torn")


def test_entries_of_later_kinds_and_keys_are_kept_and_flagged() -> None:
    known = file_of([("opened", OPENED)])
    assert not read(known)[1].newer
    for row in (("opened", {**OPENED, "mood": "calm"}), ("spectrum", {"channels": ["1", "2"]})):
        entries, verdict = read(file_of([row]))
        assert verdict.state == "sound"
        assert verdict.newer
        assert entries[0].values == row[1]


def test_a_chain_behind_an_entry_goes_on_as_the_whole_one_does() -> None:
    whole = Chain(BY_NAME)
    for kind, values in (("opened", OPENED), ("balance", BALANCE)):
        whole.step(kind, framed(whole, NOON, "KB", kind, values).link)
    behind = Chain.behind(BY_NAME, whole.place)
    assert behind.kind_of(2) is None
    for kind, values in (("reading", reading("1")), ("note", {"text": "dry"})):
        made = framed(behind, NOON, "KB", kind, values)
        assert made == framed(whole, NOON, "KB", kind, values)
        whole.step(kind, made.link)
        behind.step(kind, made.link)
    assert behind.place == whole.place
    assert behind.kind_of(4) == BY_NAME["note"]
    behind.back_to(Place(1, "0" * 64))
    assert (behind.n, behind.kind_of(1)) == (1, None)


def test_the_clock_may_go_backwards() -> None:
    chain = Chain(BY_NAME)
    first, link = framed(chain, NOON, "KB", "opened", OPENED)
    chain.step("opened", link)
    second, _ = framed(chain, NOON - timedelta(days=400), "KB", "balance", BALANCE)
    entries, verdict = read(first + second)
    assert verdict.state == "sound"
    assert entries[1].at < entries[0].at


GOOD = """\
[[entry]]
n = 1
at = 2026-06-09T12:00:00.250+02:00
by = "KB"
kind = "note"
text = "a"
"""


def _linked(body: str) -> bytes:
    data = body.encode()
    return data + link_line(hashlib.sha256(data).hexdigest()) + b"\n\n"


# place: what stands there in GOOD, what is put there; then code, line and byte within that line
BAD = {
    "byte order mark": ("[[entry]]", "\ufeff[[entry]]", "frame_bom", 1, 0),
    "cr lf": ("n = 1\n", "n = 1\r\n", "frame_crlf", 2, 5),
    "comment": ("n = 1", "# first\nn = 1", "frame_comment", 2, 0),
    "comment behind": ('"a"', '"a" # why', "frame_more", 6, 10),
    "n jumps": ("n = 1", "n = 2", "frame_n", 2, 4),
    "n with zero": ("n = 1", "n = 01", "frame_n", 2, 4),
    "table": ("[[entry]]", "[entry]", "frame_entry", 1, 1),
    "other table": ("[[entry]]", "[[entries]]", "frame_entry", 1, 6),
    "no by": ('by = "KB"\n', "", "frame_order", 4, 0),
    "by as number": ('by = "KB"', "by = 7", "frame_head", 4, 6),
    "at as text": ("at = 2026-06-09T12:00:00.250+02:00", 'at = "noon"', "frame_head", 3, 11),
    "at in zulu": (".250+02:00", ".250Z", "frame_time", 3, 9),
    "at without milliseconds": (".250", "", "frame_time", 3, 9),
    "at on no day": ("06-09", "02-30", "frame_time", 3, 5),
    "at with minus zero": ("+02:00", "-00:00", "frame_time", 3, 5),
    "float": ('"a"', "1.5", "frame_float", 6, 8),
    "exponent": ('"a"', "1e5", "frame_float", 6, 8),
    "infinity": ('"a"', "inf", "frame_value", 6, 7),
    "plus": ('"a"', "+1", "frame_value", 6, 7),
    "leading zero": ('"a"', "007", "frame_ends", 6, 10),
    "underscore": ('"a"', "1_000", "frame_whole", 6, 8),
    "hexadecimal": ('"a"', "0x1f", "frame_more", 6, 8),
    "giant": ('"a"', "9" * 4000, "frame_whole", 6, 25),
    "minus zero": ('"a"', "-0", "frame_whole", 6, 8),
    "capital word": ('"a"', "True", "frame_value", 6, 7),
    "date": ('"a"', "2026-06-09", "frame_ends", 6, 17),
    "literal": ('"a"', "'a'", "frame_value", 6, 7),
    "many lines": ('"a"', '"""a"""', "frame_many_lines", 6, 9),
    "tab": ('"a"', '"a\tb"', "frame_sign", 6, 9),
    "nul": ('"a"', '"a\x00"', "frame_sign", 6, 9),
    "bidirectional": ('"a"', '"a\u202eb"', "frame_sign", 6, 9),
    "escape n": ('"a"', '"a\\nb"', "frame_escape", 6, 10),
    "escape u": ('"a"', '"\\u0061"', "frame_escape", 6, 9),
    "not nfc": ('"a"', '"e\u0301"', "frame_nfc", 6, 7),
    "no closing quote": ('"a"', '"a', "frame_ends", 6, 9),
    "no value": ('"a"', "", "frame_ends", 6, 7),
    "no key": ('text = "a"', '= "a"', "frame_key", 6, 0),
    "quoted key": ("text =", '"text" =', "frame_key", 6, 0),
    "capital key": ("text =", "Text =", "frame_key", 6, 0),
    "dotted key": ("text =", "text.a =", "frame_dotted", 6, 4),
    "wide sign": ("text = ", "text  = ", "frame_key", 6, 5),
    "blank behind": ('"a"\n', '"a" \n', "frame_more", 6, 10),
    "key twice": ('"a"\n', '"a"\ntext = "b"\n', "frame_key_twice", 7, 0),
    "head again": ('"a"\n', '"a"\nby = "AB"\n', "frame_order", 7, 0),
    "order": ('text = "a"\n', 'sample = "a"\ntext = "a"\n', "frame_order", 7, 0),
    "sub-table": ('text = "a"\n', 'text = "a"\n[entry.a]\n', "frame_brackets", 7, 0),
    "empty line": ('text = "a"\n', '\ntext = "a"\n', "frame_blank_line", 6, 0),
    "list of numbers": ('"a"', "[1, 2]", "frame_array", 6, 8),
    "list in list": ('"a"', '[["a"]]', "frame_array", 6, 8),
    "narrow list": ('"a"', '["a","b"]', "frame_array", 6, 12),
    "comma at the end": ('"a"', '["a", ]', "frame_array", 6, 13),
    "mixed list": ('"a"', '["a", { b = "c" }]', "frame_array", 6, 13),
    "empty inline table": ('"a"', "[{}]", "frame_table", 6, 9),
    "narrow inline table": ('"a"', '[{a = "b"}]', "frame_table", 6, 9),
    "inline key twice": ('"a"', '[{ a = "b", a = "c" }]', "frame_key_twice", 6, 19),
    "inline not composed": ('"a"', '[{ a = "b", c = "e\u0301" }]', "frame_nfc", 6, 23),
    "inline key too long": ('"a"', f'[{{ {"k" * 41} = "b" }}]', "frame_key", 6, 50),
    "inline text within": ('"a"', '[{ a = "b = ", c = d }]', "frame_value", 6, 26),
    "inline list": ('"a"', '[{ a = ["b"] }]', "frame_value", 6, 14),
    "inline table alone": ('"a"', '{ a = "b" }', "frame_value", 6, 7),
    "deep brackets": ('"a"', "[" * 7000, "frame_array", 6, 8),
    "long line": ('"a"', '"' + "x" * 9000 + '"', "frame_line_long", 6, LONGEST_LINE),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_what_breaks_the_frame_is_refused_with_its_line_and_byte(name: str) -> None:
    """The link fits in each: the frame alone refuses, before anything is looked up or parsed."""
    there, put, code, line, byte = BAD[name]
    assert there in GOOD
    body = GOOD.replace(there, put, 1)
    entries, verdict = read(_linked(body))
    before = sum(len(text) + 1 for text in body.encode().split(b"\n")[: line - 1])
    assert entries == []
    assert (verdict.state, verdict.code) == ("damaged", code)
    assert (verdict.line, verdict.byte - before) == (line, byte)
    assert verdict.sentence.startswith(f"line {line}, byte {verdict.byte}: ")
    assert "\n" not in verdict.sentence


def test_the_good_one_is_good() -> None:
    entries, verdict = read(_linked(GOOD))
    assert verdict.state == "sound"
    assert entries[0].values == {"text": "a"}


def test_bytes_that_are_no_utf8_are_named() -> None:
    data = _linked(GOOD).replace(b'"a"', b'"a\xff"')
    verdict = read(data)[1]
    assert (verdict.code, verdict.line) == ("frame_utf8", 6)
    assert data[verdict.byte] == 0xFF


def test_an_edited_line_fails_at_its_entry() -> None:
    """Correcting a record (scenario of the edited file): the check names the entry."""
    data = small_log().replace(b'"1.372"', b'"1.273"')
    entries, verdict = read(data)
    assert [entry.n for entry in entries] == [1, 2, 3]
    assert (verdict.state, verdict.code, verdict.entries) == ("damaged", "frame_link", 3)
    lines = data.decode().splitlines()
    assert lines[verdict.first - 1] == "[[entry]]"
    assert 'text = "1.273"' in lines[verdict.first - 1 : verdict.line]
    assert lines[verdict.line - 1].startswith("link = ")


def test_an_entry_taken_out_is_missed() -> None:
    parts = small_log().split(b"[[entry]]\n")
    data = b"[[entry]]\n".join([*parts[:3], *parts[4:]])
    verdict = read(data)[1]
    assert (verdict.state, verdict.code, verdict.entries) == ("damaged", "frame_n", 2)


@pytest.mark.parametrize(
    "tail",
    [b"\n", b"x", b"\x00\x00\x00", b"[[entry]]\nn = 9", b"[[entry]]\r\n", b"[[entry]]\nn = 7\nby"],
)  # fmt: skip
def test_what_no_entry_begins_with_is_damaged_not_torn(tail: bytes) -> None:
    verdict = read(small_log() + tail)[1]
    assert (verdict.state, verdict.entries) == ("damaged", 6)


@pytest.mark.parametrize(
    "at", ["", "2", "2026-", "2026-1", "2026-02-2", "2026-06-3", "2026-06-09T2",
           "2026-06-09T14:31:00.1", "2026-06-09T14:31:00.123-", "2026-06-09T14:31:00.123-0"],
)  # fmt: skip
def test_a_time_that_was_cut_off_is_torn(at: str) -> None:
    assert read(small_log() + f"[[entry]]\nn = 7\nat = {at}".encode())[1].state == "torn"


@pytest.mark.parametrize(
    "at", ["3x", "12345", "2026-13", "2026-02-3", "2026-06-4", "2026-06-09T3", "2026-06-09 "]
)
def test_a_time_that_nothing_can_complete_is_damaged(at: str) -> None:
    assert read(small_log() + f"[[entry]]\nn = 7\nat = {at}".encode())[1].state == "damaged"


@pytest.mark.parametrize(
    ("line", "state"),
    [("by", "torn"), ("by =", "torn"), ('by = "', "torn"), ('by = "KB"', "torn"),
     ("kind", "damaged"), ("by = 7", "damaged"), ('by = "KB" ', "damaged"), ('by = ["', "damaged")],
)  # fmt: skip
def test_an_unfinished_head_is_torn_only_in_its_own_form(line: str, state: str) -> None:
    begun = small_log() + b"[[entry]]\nn = 7\nat = 2026-06-09T12:00:09.250+02:00\n"
    assert read(begun + line.encode())[1].state == state
    begun += b'by = "KB"\n'
    other = line.replace("kind", "sort").replace("by", "kind").replace("KB", "note")
    assert read(begun + other.encode())[1].state == state
    assert read(begun + b'kind = "No')[1].state == "damaged"


def test_a_sign_cut_within_its_bytes_is_torn_in_text_only() -> None:
    begun = (
        small_log()
        + b'[[entry]]\nn = 7\nat = 2026-06-09T12:00:09.250+02:00\nby = "KB"\nkind = "note"\n'
    )
    assert read(begun + b'text = "20 \xc2')[1].state == "torn"
    assert read(begun + b"text\xc2")[1].state == "damaged"
    assert read(begun + b'text = "a"\xc2')[1].state == "damaged"
    assert read(begun + b'text = "a\xc2"')[1].state == "damaged"


@pytest.mark.parametrize(
    "value",
    [1.5, None, "a\nb", "a\u200f", "e\u0301", "\ud800", 10**18, [1], [["a"]], {"a": "b"}, [{}],
     [{"A b": "c"}], [{"a": ["b"]}], datetime(2026, 6, 9, 12, 0, 0, 1, UTC), b"a",
     datetime(2026, 6, 9, 12, 0, 0)],  # noqa: DTZ001  a time without its offset is refused
    ids=repr,
)  # fmt: skip
def test_the_writer_never_writes_what_the_reader_would_refuse(value: object) -> None:
    with pytest.raises((TypeError, UnicodeEncodeError)):
        file_of([("opened", {"a": value})])


@pytest.mark.parametrize("name", ["", "A", "a b", "a.b", "ä", "a\nb", "0a"])
def test_the_writer_refuses_keys_that_are_none(name: str) -> None:
    with pytest.raises(TypeError):
        file_of([("opened", {name: "a"})])


def test_the_writer_refuses_a_line_that_is_too_long_with_its_key() -> None:
    with pytest.raises(BadInput, match=r"^lots makes a line of \d+ bytes; at most 8000"):
        file_of([("sample", {"lots": ["L" * 30] * 300})])
    with pytest.raises(BadInput, match="at most 60"):
        file_of([("sample", {f"k{i}": "a" for i in range(61)})])


def test_hostile_input_is_refused_at_once() -> None:
    """Deep brackets, an endless line, a giant number: no more is read than the line limit."""
    start = b'[[entry]]\nn = 1\nat = 2026-06-09T12:00:00.250+02:00\nby = "KB"\nkind = "note"\n'
    for line, sign in ((b"text = ", b"["), (b'text = "', b"x"), (b"text = ", b"9"), (b"", b"a."),
                       (b"", b"\x00")):  # fmt: skip
        reader = Reader(BY_NAME)
        whole = start + line + sign * (50_000_000 // len(sign))
        fed, begun = 0, time.process_time()
        while fed < len(whole) and not reader.stopped:
            reader.feed(whole[fed : fed + 65536])
            fed += 65536
        assert reader.end().state == "damaged"
        assert fed <= 2 * 65536
        assert time.process_time() - begun < 0.5


def test_a_log_that_is_too_large_is_refused() -> None:
    reader = Reader(BY_NAME, most=2000)
    data = file_of([("opened", OPENED), *[("reading", reading("1")) for _ in range(20)]])
    reader.feed(data[:1500])
    reader.feed(data[1500:])
    verdict = reader.end()
    assert (verdict.state, verdict.code, verdict.byte) == ("damaged", "frame_large", 2000)
    assert LARGEST_LOG == 16_000_000


def test_memory_stays_flat_and_time_grows_with_the_file() -> None:
    data = file_of([("opened", OPENED), *[("reading", reading("1")) for _ in range(400)]])
    longer = file_of([("opened", OPENED), *[("reading", reading("1")) for _ in range(4000)]])

    def peak_and_seconds(content: bytes) -> tuple[int, float]:
        reader = Reader(BY_NAME)
        tracemalloc.start()
        begun = time.thread_time()
        for at in range(0, len(content), 65536):
            reader.feed(content[at : at + 65536])
        seconds = time.thread_time() - begun
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert reader.end().state == "sound"
        return peak, seconds

    peak_and_seconds(data)
    small, fast = map(min, zip(*(peak_and_seconds(data) for _ in range(5)), strict=True))
    large, slow = map(min, zip(*(peak_and_seconds(longer) for _ in range(3)), strict=True))
    assert large < 1.2 * small
    assert slow < 20 * fast
