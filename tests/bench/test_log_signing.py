"""Signing from the logbook: a statement of one's own, and a seal that was broken off."""

import pytest
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

from assaybench.bench.desk import Desk
from assaybench.bench.pages.countersigning import CountersignPage
from assaybench.bench.pages.sealing import SealingPage
from assaybench.logbook import keys
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.signing import signature_path
from assaybench.logbook.sshkeys import PublicKey
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.bench.books import press, shown
from tests.bench.conftest import Clock
from tests.bench.keepers import at_the_book, kept_book, settled
from tests.bench.log_hands import answered, at_log, choices, chosen, said
from tests.bench.patience import until
from tests.logbook.sealed_books import TestKey

WORDS = "iron on bone ash"


def reviewer(desk: Desk) -> PublicKey:
    """I. Marsh works here, with a key of his own."""
    desk.settings = Settings(initials="IM", people={"IM": "I. Marsh"})
    desk.by = "IM"
    return keys.make_key(Files(), desk.signing_key(), WORDS.encode(), "I. Marsh", rounds=1)


def test_a_statement_is_signed_with_ones_own_key(desk: Desk, clock: Clock) -> None:
    key = reviewer(desk)
    stack = at_log(desk, clock, 6)
    before = desk.book.log(LogName("MAIN", 6)).read_bytes()
    chosen(stack, clock, "countersign it")
    assert isinstance(stack.top, CountersignPage)
    press(stack, "enter")
    answered(stack, "", "partner", "", "all blanks and proofs looked at")
    assert stack.sheet.typing is not None
    for sign in WORDS:
        stack.press(sign, sign)
    page = shown(stack)
    assert "·" * len(WORDS) in page
    assert WORDS not in page
    press(stack, "enter")
    settled(stack, clock)
    stated = stack.top.stated
    assert stated is not None
    assert (stated.signer.name, stated.signer.role, stated.signer.meaning) == (
        "I. Marsh", "partner", "reviewed",
    )  # fmt: skip
    assert stated.fingerprint == key.fingerprint
    assert "ssh-keygen -Y verify" in shown(stack, 120, 40).replace("\n", " ")
    low = shown(stack)  # at 24 lines the command goes on on another page, whole
    while not stack.press("down", None).bell:
        low += shown(stack)
    assert "000006.statement-1.toml.sig" in _joined(low)
    assert key.fingerprint in low
    press(stack, "p")
    written = next(desk.book.reports.glob("000006.statement-1*.txt"))
    assert "ssh-keygen" in written.read_text(encoding="utf-8")
    result = Verified()
    verify_book(Files(), desk.book, Ask(processes=1), result=result, only={LogName("MAIN", 6)})
    assert result.status == 0
    assert desk.book.log(LogName("MAIN", 6)).read_bytes() == before
    press(stack, "enter")
    assert "signed statements beside it: 1" in shown(stack)
    for path in desk.book.root.rglob("*"):
        assert path.is_dir() or WORDS.encode() not in path.read_bytes()


def test_a_wrong_passphrase_writes_nothing_and_can_be_tried_again(desk: Desk, clock: Clock) -> None:
    reviewer(desk)
    stack = at_log(desk, clock, 6)
    files = {p: p.read_bytes() for p in desk.book.root.rglob("*") if p.is_file()}
    chosen(stack, clock, "countersign it")
    press(stack, "enter")
    answered(stack, "", "partner", "", "", "wrong")
    settled(stack, clock)
    assert "a wrong passphrase" in said(stack)
    after = {p: p.read_bytes() for p in desk.book.root.rglob("*") if p.is_file()}
    assert {p: d for p, d in after.items() if "locks" not in p.parts} == files
    assert "Type it again" in said(stack)
    answered(stack, WORDS)
    settled(stack, clock)
    assert isinstance(stack.top, CountersignPage)
    assert stack.top.stated is not None
    assert stack.top.stated.signer.role == "partner"


def test_a_key_without_a_passphrase_signs_after_a_word_of_consent(desk: Desk, clock: Clock) -> None:
    reviewer(desk)
    desk.signing_key().write_bytes(
        TestKey("I. Marsh", 11).private.private_bytes(
            Encoding.PEM, PrivateFormat.OpenSSH, NoEncryption()
        )
    )
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "countersign it")
    press(stack, "enter")
    answered(stack, "", "partner", "", "", "no")
    assert 'Nothing was signed: "no" is not yes.' in said(stack)
    press(stack, "backspace", "backspace")
    answered(stack, "yes")
    settled(stack, clock)
    assert isinstance(stack.top, CountersignPage)
    assert stack.top.stated is not None


def test_a_key_that_vanished_is_told_with_what_to_do(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "countersign it")
    assert stack.press("enter", None).bell
    assert "There is no signing key." in said(stack)


def test_what_is_no_meaning_is_told_and_asked_again(desk: Desk, clock: Clock) -> None:
    reviewer(desk)
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "countersign it")
    press(stack, "enter")
    answered(stack, "", "partner", "guessed")
    assert '"guessed" is not a choice' in said(stack)
    assert stack.sheet.typing is not None


@pytest.mark.parametrize("gone", ["000006.toml.sig", "mark", "register"])
def test_a_seal_that_was_broken_off_is_gone_on_with(desk: Desk, clock: Clock, gone: str) -> None:
    book = kept_book(desk)
    name = LogName("MAIN", 6)
    private = TestKey().private
    desk.signing_key().parent.mkdir(parents=True)
    desk.signing_key().write_bytes(
        private.private_bytes(Encoding.PEM, PrivateFormat.OpenSSH, NoEncryption())
    )
    if gone == "register":
        data = book.register("MAIN").read_bytes()
        at = data.index(b'kind = "sealed"\nnumber = 6')
        book.register("MAIN").write_bytes(data[: data.rindex(b"[[entry]]", 0, at)])
        for path in (book.mark(name), signature_path(book.mark(name))):
            path.unlink()
        book.log(LogName("MAIN", 7)).unlink()
    elif gone == "mark":
        book.mark(name).unlink()
        signature_path(book.mark(name)).unlink()
    else:
        (book.logs("MAIN") / gone).unlink()
    stack = at_the_book(desk, clock)
    marked = "> MAIN-000006"
    until(lambda: marked in shown(stack), lambda: press(stack, "down"), lambda: shown(stack))
    press(stack, "d")
    assert "broken off" in said(stack)
    assert "countersign it" not in choices(stack)
    chosen(stack, clock, "go on with its seal")
    assert isinstance(stack.top, SealingPage)
    press(stack, "enter")
    answered(stack, "yes")
    settled(stack, clock)
    assert stack.top.sealed is not None
    press(stack, "escape")
    assert "countersign it" in choices(stack)
    result = Verified()
    verify_book(Files(), book, Ask(processes=1), result=result, only={name})
    assert result.status == 0


def _joined(pages: str) -> str:
    """What stands in the text block, without the ends of its lines."""
    return "".join(row.partition("│")[0].strip() for row in pages.splitlines())


def test_the_key_that_sealed_is_told_before_anything_is_typed(desk: Desk, clock: Clock) -> None:
    public = desk.signing_key().with_suffix(".pub")
    public.parent.mkdir(parents=True, exist_ok=True)
    public.write_text(TestKey().key.line + "\n", encoding="utf-8")
    desk.settings = desk.settings._replace(signing_key=str(public))
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "countersign it")
    assert "This key sealed the log, for " in " ".join(map(str, stack.sheet.margin))
