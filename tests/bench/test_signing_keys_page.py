"""The signing keys: one is made with a passphrase typed twice, or a person's own file is used."""

import os
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Room, Stay
from assaybench.bench.pages.signing_keys import SigningKeysPage
from assaybench.bench.sheet import text_of
from assaybench.logbook import keys
from assaybench.logbook.files import Files
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.signers import events_of, known_signers
from tests.bench.hands import at_once

WORDS = "iron on bone ash"


def page_of(desk: Desk, stored: list[Mapping[str, object]] | None = None) -> SigningKeysPage:
    kept = stored if stored is not None else []
    return SigningKeysPage(desk, kept.append, "AssayBench", at_once)


def give(page: SigningKeysPage, choice: int, *answers: str) -> None:
    while f"> {CHOICES[choice]}" not in [text_of(one) for one in page.sheet(Room()).block]:
        page.act("down")
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
    give(page, 0)
    assert page.sheet(Room()).typing is None
    assert "there" in said(page)
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
    end = time.monotonic() + 20
    while page.working:
        assert time.monotonic() < end
        assert page.act("enter") == Bell()
        time.sleep(0.02)
        page.tick(desk.clock())
    assert "Made and named" in said(page)
    assert page.act("up") == Stay()
