"""Questions by which a key that this logbook names is retired, or given up as compromised.

Neither can be taken back, so the end of the fingerprint is typed before it is stored.
"""

from collections.abc import Callable
from datetime import datetime

from assaybench.bench.asking import Asking
from assaybench.bench.desk import Desk
from assaybench.bench.page import Outcome
from assaybench.logbook.signers import (
    Change,
    Known,
    compromised_signer,
    retire_signer,
    since_of,
)
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check

TYPED = 6
"""Signs of the end of a fingerprint that are typed."""
Done = Callable[[Change], Outcome]


def ask_ending(desk: Desk, signer: Known, done: Done) -> Asking:
    """Asks whether a key is retired, or others may have used it.

    Args:
        desk: where, and who says so.
        signer: the key.
        done: what the page does when it is stored.
    """
    retired, compromised = say("key_word_retire"), say("key_word_compromised")

    def answer(text: str) -> Asking:
        if text == compromised:
            return _ask_since(desk, signer, done)
        if text == retired:
            return _ask_retired(desk, signer, done)
        raise BadInput.of("ask_ending_hint")

    return Asking(say("ask_ending", who=signer.name or signer.by), answer, "id",
                  (say("ask_ending_hint"),))  # fmt: skip


def _ask_retired(desk: Desk, signer: Known, done: Done) -> Asking:
    def answer(text: str) -> Asking:
        reason = check.text(text) if text else ""

        def store() -> Change:
            key = signer.key.fingerprint
            return retire_signer(desk.book, desk.bench, desk.keeper(), key, reason)

        return _confirmed(signer, store, done)

    return Asking(say("ask_retire_reason"), answer, "text", (say("ask_retire_hint"),))


def _ask_since(desk: Desk, signer: Known, done: Done) -> Asking:
    def answer(text: str) -> Asking:
        since = since_of(text)
        if since > desk.clock():
            raise BadInput.of("signer_since_to_come", x=quoted(text))
        return _ask_given_up(desk, signer, since, done)

    return Asking(say("ask_since"), answer, "text", (say("ask_since_hint"),))


def _ask_given_up(desk: Desk, signer: Known, since: datetime, done: Done) -> Asking:
    def answer(text: str) -> Asking:
        if not text:
            raise BadInput.of("ask_given_up_hint")
        reason = check.text(text)

        def store() -> Change:
            key = signer.key.fingerprint
            return compromised_signer(desk.book, desk.bench, desk.keeper(), key, since, reason)

        return _confirmed(signer, store, done)

    return Asking(say("ask_given_up_reason"), answer, "text", (say("ask_given_up_hint"),))


def _confirmed(signer: Known, store: Callable[[], Change], done: Done) -> Asking:
    """Asks for the end of the fingerprint; what is typed otherwise stores nothing."""
    key = signer.key.fingerprint

    def answer(text: str) -> Outcome:
        if text != key[-TYPED:]:
            raise BadInput.of("confirm_key_not", x=quoted(text), n=TYPED)
        return done(store())

    return Asking(say("ask_confirm_key", n=TYPED), answer, "id",
                  (say("ask_confirm_key_hint"), key))  # fmt: skip
