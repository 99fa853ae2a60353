"""Passphrases on line 23: shown as dots, typed twice for a new key, kept nowhere.

What is typed goes into one answer and from there into the key file; it stands in no log, no entry
and no message. A person who wants to see it types it elsewhere.
"""

from collections.abc import Callable

from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.logbook.keys import LONGEST_PASSPHRASE
from assaybench.messages import BadInput, say

Then = Callable[[bytes], Asking | Outcome]


def ask_passphrase(key: str, then: Then) -> Asking:
    """Asks for the passphrase of a key that is there.

    Args:
        key: name of its file.
        then: what is done with it.
    """

    def answer(text: str) -> Asking | Outcome:
        return then(_bytes(text))

    return Asking(say("passphrase_ask"), answer, "secret", (say("ask_passphrase_of", name=key),))


def ask_new_passphrase(then: Then) -> Asking:
    """Asks twice for the passphrase of a key that is to be made; two that differ begin anew.

    Args:
        then: what is done with it.
    """
    hint = (say("ask_passphrase_new_hint", most=LONGEST_PASSPHRASE),)

    def first(text: str) -> Asking:
        once = _bytes(text)

        def again(twice: str) -> Asking | Outcome:
            if twice.encode(errors="replace") != once:
                begun = ask_new_passphrase(then)
                begun.faults = (say("passphrase_differs"),)
                return begun
            return then(once)

        return Asking(say("passphrase_ask_again"), again, "secret", hint)

    return Asking(say("passphrase_ask_new"), first, "secret", hint)


def _bytes(text: str) -> bytes:
    """A passphrase as it goes into a key file.

    Raises:
        BadInput: for none, or one that is too long.
    """
    try:
        secret = text.encode()
    except UnicodeEncodeError as fault:
        raise BadInput.of("passphrase_signs") from fault
    if not 1 <= len(secret) <= LONGEST_PASSPHRASE:
        raise BadInput.of("passphrase_size", n=len(secret), most=LONGEST_PASSPHRASE)
    return secret
