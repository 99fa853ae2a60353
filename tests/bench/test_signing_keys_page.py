"""The signing keys: one is made with a passphrase typed twice, or a person's own file is used."""

import os
import time
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Room, Stay
from assaybench.bench.pages.signing_keys import SigningKeysPage
from assaybench.bench.sheet import text_of
from assaybench.logbook import keys, settings
from assaybench.logbook.allowed_signers import read_signers
from assaybench.logbook.files import Files
from assaybench.logbook.settings import SettingsFile
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.signers import add_signer, events_of, known_signers
from assaybench.logbook.sshkeys import PublicKey
from tests.bench.hands import at_once
from tests.bench.patience import until

WORDS = "iron on bone ash"


def page_of(desk: Desk, stored: list[Mapping[str, object]] | None = None) -> SigningKeysPage:
    kept = stored if stored is not None else []
    return SigningKeysPage(desk, kept.append, "AssayBench", at_once)


def give(page: SigningKeysPage, choice: int, *answers: str) -> None:
    marked = f"> {CHOICES[choice]}"
    until(
        lambda: marked in [text_of(one) for one in page.sheet(Room()).block],
        lambda: page.act("down"),
        lambda: said(page),
    )
    page.act("enter")
    for answer in answers:
        for sign in answer:
            page.typed(sign, sign)
        page.act("enter")


CHOICES = ("make a signing key", "use another key file", "name your key in this logbook")


def said(page: SigningKeysPage) -> str:
    return " ".join(str(one).replace("\n", " ") for one in page.sheet(Room()).margin)


def named(desk: Desk) -> list[tuple[str, str]]:
    signers, _ = known_signers(events_of(desk.book, desk.files))
    return [(signer.name, signer.key.fingerprint) for signer in signers]


def test_a_key_is_made_shut_and_named_here(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", people={"KB": "K. Berg"})
    page = page_of(desk)
    give(page, 0, "", WORDS, WORDS)
    path = desk.signing_key()
    assert f"Made and named: {path}" in said(page)
    own = keys.public_of(Files(), path).fingerprint
    assert named(desk) == [("K. Berg", own)]
    assert own in "".join(text_of(one) for one in page.sheet(Room()).block).replace(" ", "")
    signer = keys.open_key(Files(), path, WORDS.encode)
    assert signer.key.fingerprint == own
    assert keys.is_shut(Files(), path)
    if os.name != "nt":
        assert path.stat().st_mode & 0o077 == 0
    for file in (*desk.book.root.rglob("*"), path):
        assert file.is_dir() or WORDS.encode() not in file.read_bytes()


def test_the_public_part_is_written_to_a_file_for_those_who_check(desk: Desk) -> None:
    page = page_of(desk)
    assert page.act("file") == Bell()
    key = keys.make_key(Files(), desk.signing_key(), b"x", "K. Berg", rounds=1)
    page.come_back()
    page.act("file")
    path = desk.book.reports / "signing-key.txt"
    assert f"Written to {path}" in said(page)
    assert path.read_text(encoding="utf-8") == f"{key.fingerprint}\n{key.line}\n"


def test_two_passphrases_that_differ_make_nothing(desk: Desk) -> None:
    page = page_of(desk)
    give(page, 0, "K. Berg", WORDS, WORDS + " ")
    assert "the two passphrases differ" in said(page)
    typing = page.sheet(Room()).typing
    assert typing is not None
    assert (typing.accepts, typing.text) == ("secret", "")
    assert not desk.signing_key().exists()
    for _ in range(2):
        for sign in WORDS:
            page.typed(sign, sign)
        page.act("enter")
    assert desk.signing_key().exists()


@pytest.mark.parametrize("secret", ["", "a" * 73])
def test_a_passphrase_of_no_signs_or_too_many_is_told(desk: Desk, secret: str) -> None:
    page = page_of(desk)
    give(page, 0, "K. Berg", secret)
    assert "1 to 72 are accepted" in said(page)
    assert WORDS not in said(page)
    page.act("back")
    assert not desk.signing_key().exists()


def test_blanks_of_a_passphrase_count_and_no_sign_of_it_is_shown(desk: Desk) -> None:
    page = page_of(desk)
    give(page, 0, "K. Berg")
    for sign in " a b ":
        page.typed(sign, sign)
    typing = page.sheet(Room()).typing
    assert typing is not None
    assert (typing.text, typing.shown) == (" a b ", "·····")
    page.act("enter")
    for sign in " a b ":
        page.typed(sign, sign)
    page.act("enter")
    assert keys.open_key(Files(), desk.signing_key(), lambda: b" a b ").key


def test_a_key_that_is_there_is_never_written_over(desk: Desk) -> None:
    keys.make_key(Files(), desk.signing_key(), b"x", "K. Berg", rounds=1)
    before = desk.signing_key().read_bytes()
    page = page_of(desk)
    give(page, 0, str(desk.signing_key()))
    assert "there is a key file signing_key already" in said(page)
    page.act("back")
    give(page, 0, f"{desk.signing_key()}.pub")
    assert "a new key goes into a file without .pub" in said(page)
    assert desk.signing_key().read_bytes() == before


def test_an_own_file_or_one_of_an_agent_is_used_and_kept(desk: Desk, tmp_path: Path) -> None:
    own = tmp_path / "own"
    key = keys.make_key(Files(), own, b"x", "I. Marsh", rounds=1)
    stored: list[Mapping[str, object]] = []
    page = page_of(desk, stored)
    give(page, 1, str(own))
    assert stored == [{"signing_key": str(own)}]
    assert desk.signing_key() == own
    give(page, 1, f"{own}.pub")
    assert desk.signing_key() == keys.public_path(own)
    assert "not named in this logbook yet" in said(page)
    give(page, 2, "I. Marsh")
    assert named(desk) == [("I. Marsh", key.fingerprint)]
    assert "not named in this logbook" not in said(page)
    give(page, 2, "I. Marsh")
    assert len(named(desk)) == 1
    give(page, 1, "")
    assert desk.signing_key() == desk.key_file


@pytest.mark.parametrize("what", ["nowhere", "text"])
def test_what_is_no_key_is_told_and_not_kept(desk: Desk, tmp_path: Path, what: str) -> None:
    (tmp_path / "text").write_text("no key")
    stored: list[Mapping[str, object]] = []
    page = page_of(desk, stored)
    give(page, 1, str(tmp_path / what))
    assert what in said(page)
    assert stored == []
    assert page.sheet(Room()).typing is not None


def test_without_a_key_there_is_nothing_to_name(desk: Desk) -> None:
    page = page_of(desk)
    give(page, 2)
    assert "there is no key file signing_key" in said(page)
    assert page.typed("q", "q") == Bell()
    assert page.act("filter") == Bell()
    assert page.act("back") == Back()


def test_a_key_is_made_beside_the_page(desk: Desk) -> None:
    page = SigningKeysPage(desk, lambda _changes: None, "AssayBench")
    give(page, 0, "K. Berg", WORDS, WORDS)
    end = time.monotonic() + 60
    while page.working:
        assert time.monotonic() < end
        assert page.act("enter") == Bell()
        time.sleep(0.02)
        page.tick(desk.clock())
    assert "Made and named" in said(page)
    assert page.act("up") == Stay()


def make(desk: Desk, name: str, file: str) -> PublicKey:
    """A key in a file of its own, named in the register."""
    key = keys.make_key(Files(), desk.signing_key().with_name(file), b"x", name, rounds=1)
    add_signer(desk.book, desk.bench, desk.keeper(), key, name)
    return key


def to_key(page: SigningKeysPage, name: str) -> None:
    """Put the pointer on the key of a signer."""
    until(
        lambda: any(text_of(one).startswith(f"> {name}") for one in page.sheet(Room()).block),
        lambda: page.act("down"),
        lambda: said(page),
    )


def answer(page: SigningKeysPage, *answers: str) -> None:
    for text in answers:
        for sign in text:
            page.typed(sign, sign)
        page.act("enter")


@pytest.fixture
def two_keys(desk: Desk) -> tuple[SigningKeysPage, PublicKey, PublicKey]:
    desk.book.make(desk.files)
    first, second = make(desk, "K. Berg", "signing_key"), make(desk, "I. Marsh", "other")
    return page_of(desk), first, second


def test_a_key_is_retired_when_the_end_of_its_fingerprint_was_typed(
    desk: Desk, two_keys: tuple[SigningKeysPage, PublicKey, PublicKey]
) -> None:
    page, _, key = two_keys
    to_key(page, "I. Marsh")
    page.act("enter")
    answer(page, "r", "left the laboratory", "wrong!")
    assert '"wrong!" is not its last 6 signs' in said(page)
    assert all(known.since is None for known in known_signers(events_of(desk.book, Files()))[0])
    for _ in range(6):
        page.typed("backspace", "")
    answer(page, key.fingerprint[-6:])
    assert "Stored in the register" in said(page)
    known = {k.name: k for k in known_signers(events_of(desk.book, Files()))[0]}
    ended = known["I. Marsh"]
    assert (ended.event, ended.reason) == ("retired", "left the laboratory")
    assert ended.since == desk.clock()
    assert known["K. Berg"].since is None
    listed, _ = read_signers(desk.book.allowed_signers.read_bytes())
    assert {row.principal: row.before is not None for row in listed if row.key == key} == {
        "I.Marsh": True
    }
    day = f"{desk.clock().day} {desk.clock():%b %Y}"
    assert f"> I. Marsh, retired {day}" in [text_of(one) for one in page.sheet(Room()).block]


def test_a_key_that_others_may_have_used_is_given_up_since_a_day_with_a_reason(
    desk: Desk, two_keys: tuple[SigningKeysPage, PublicKey, PublicKey]
) -> None:
    page, key, _ = two_keys
    to_key(page, "K. Berg")
    page.act("enter")
    answer(page, "c", "yesterday")
    assert '"yesterday" is not a day' in said(page)
    for _ in range(9):
        page.typed("backspace", "")
    answer(page, "2099-01-01")
    assert "still to come" in said(page)
    for _ in range(10):
        page.typed("backspace", "")
    answer(page, "2026-06-01", "")
    assert "A reason is needed" in said(page)
    answer(page, "the stick was stolen", key.fingerprint[-6:])
    known = {k.name: k for k in known_signers(events_of(desk.book, Files()))[0]}["K. Berg"]
    assert (known.event, known.reason) == ("compromised", "the stick was stolen")
    assert known.since == datetime(2026, 6, 1).astimezone()
    assert "Your own key signs here no more." in said(page)


def test_esc_at_the_last_question_stores_nothing(
    desk: Desk, two_keys: tuple[SigningKeysPage, PublicKey, PublicKey]
) -> None:
    page, *_ = two_keys
    before = desk.book.register(desk.bench).read_bytes()
    to_key(page, "I. Marsh")
    page.act("enter")
    answer(page, "x")
    assert "r: it signs no more from now on" in said(page)
    page.typed("backspace", "")
    answer(page, "r", "")
    page.act("back")
    assert desk.book.register(desk.bench).read_bytes() == before
    assert page.sheet(Room()).typing is None


def test_all_keys_are_reached_however_many_they_are(desk: Desk) -> None:
    desk.book.make(desk.files)
    for n in range(9):
        make(desk, f"Signer {n}", f"key{n}")
    page = page_of(desk)
    assert " more keys below." in said(page)
    pointed = []
    for _ in range(len(CHOICES) + 9):
        lines = [text_of(one) for one in page.sheet(Room()).block]
        assert len(lines) <= Room().block_lines
        pointed += [one[2:] for one in lines if one.startswith("> ")]
        page.act("down")
    assert pointed[:3] == list(CHOICES)
    assert sorted(pointed[3:]) == [f"Signer {n}" for n in range(9)]


def test_another_key_is_made_beside_the_one_there_and_signs_from_then_on(desk: Desk) -> None:
    keys.make_key(Files(), desk.signing_key(), b"x", "K. Berg", rounds=1)
    first, before = desk.signing_key(), desk.signing_key().read_bytes()
    stored: list[Mapping[str, object]] = []
    page = page_of(desk, stored)
    give(page, 0, "", "K. Berg", WORDS, WORDS)
    second = first.with_name("signing_key-2")
    assert f"Made and named: {second}" in said(page)
    assert stored == [{"signing_key": str(second)}]
    assert desk.signing_key() == second
    assert first.read_bytes() == before
    assert keys.open_key(Files(), second, WORDS.encode).key.fingerprint == named(desk)[0][1]


def test_enter_alone_goes_back_to_the_usual_key_file(desk: Desk, tmp_path: Path) -> None:
    own = tmp_path / "own"
    keys.make_key(Files(), own, b"x", "I. Marsh", rounds=1)
    file = tmp_path / "settings.toml"

    def keep(changes: Mapping[str, object]) -> None:
        settings.save(Files(), file, changes)

    usual = desk.signing_key()
    page = SigningKeysPage(desk, keep, "AssayBench", at_once)
    give(page, 1, str(own))
    assert settings.load(Files(), file).settings.signing_key == str(own)
    give(page, 1, "")
    assert desk.signing_key() == usual
    found = settings.load(Files(), file)
    assert found._replace(text="") == SettingsFile(Settings(), (), {"signing_key": ""})


def test_a_name_without_its_folder_is_kept_with_it(desk: Desk, tmp_path: Path) -> None:
    own = tmp_path / "own"
    keys.make_key(Files(), own, b"x", "I. Marsh", rounds=1)
    stored: list[Mapping[str, object]] = []
    give(page_of(desk, stored), 1, os.path.relpath(own))
    kept = Path(str(stored[0]["signing_key"]))
    assert kept.is_absolute()
    assert kept.samefile(own)
