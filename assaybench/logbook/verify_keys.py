"""Whose key signed: named by the one who checks, only by this logbook, or by nobody.

A logbook names its own signers, so whoever can write in its folder can name himself there. Only a
key that the one who checks names himself, by a file of signers, a fingerprint or his settings, ties
a signature to a person.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.allowed_signers import Listed, names
from assaybench.logbook.sshkeys import PublicKey
from assaybench.logbook.verify_found import Found, SignedSeen, Signer, found, label
from assaybench.record.entries import Entry

Trust = Literal["named", "listed", "unknown"]
TRUST_WORDS: Mapping[Trust, str] = {
    "named": "a key you named",
    "listed": "a key that only this logbook names",
    "unknown": "a key that nobody names, or not for that time",
}


class Named(NamedTuple):
    """The keys that the one who checks names.

    Attributes:
        signers: lines of his own file of signers.
        fingerprints: fingerprints, from the command line and the settings.
    """

    signers: tuple[Listed, ...] = ()
    fingerprints: frozenset[str] = frozenset()


@dataclass(slots=True)
class KeyUse:
    """What one key signed.

    Attributes:
        fingerprint: of the key.
        principal: who it belongs to, by the file that names it; empty when none does.
        trust: who names it.
        logs, statements, marks: how many of each it signed.
        ended: compromised or retired, empty when neither.
        since: from when on.
    """

    fingerprint: str
    principal: str = ""
    trust: Trust = "unknown"
    logs: int = 0
    statements: int = 0
    marks: int = 0
    ended: str = ""
    since: datetime | None = None


_COUNTED = {sshsig.LOG: "logs", sshsig.STATEMENT: "statements", sshsig.MARK: "marks"}
_ORDER: tuple[Trust, ...] = ("unknown", "listed", "named")


class Keys:
    """Judges the key of each signature, and counts what each key signed.

    Attributes:
        uses: by key, in the order they were met.
    """

    def __init__(
        self, named: Named, listed: Sequence[Listed], events: Mapping[str, Iterable[Entry]]
    ) -> None:
        """Begin.

        Args:
            named: the keys that the one who checks names.
            listed: lines of the logbook's own file of signers.
            events: the registers' entries about each signing key, by fingerprint.
        """
        self.uses: dict[PublicKey, KeyUse] = {}
        self._named, self._listed = named, listed
        self._ends = {key: _end(entries) for key, entries in events.items()}

    def judge(
        self, key: PublicKey, namespace: str, signer: Signer, path: str
    ) -> tuple[KeyUse, list[Found]]:
        """Who names the key of one signature, and what is not good about it at its time."""
        use = self._use(key)
        setattr(use, _COUNTED[namespace], getattr(use, _COUNTED[namespace]) + 1)
        theirs = names(self._named.signers, key, namespace, signer.at)
        ours = names(self._listed, key, namespace, signer.at)
        row = theirs or ours
        if row is not None:
            use.principal = use.principal or row.principal
        by_me = theirs is not None or use.fingerprint in self._named.fingerprints
        trust: Trust = "named" if by_me else "listed" if ours is not None else "unknown"
        use.trust = max(use.trust, trust, key=_ORDER.index)
        late = self._late(use, signer, path)
        if late:
            return use, late
        if self._is_in(self._named.signers, key) and theirs is None:
            return use, [self._not_then(use, signer, path)]
        if not by_me and ours is None:
            if self._is_in(self._listed, key):
                return use, [self._not_then(use, signer, path)]
            name = label(path)
            return use, [found("bad", "key_not_listed", path, name=name, key=use.fingerprint)]
        return use, []

    def judge_signed(self, seen: SignedSeen, namespace: str) -> list[Found]:
        """As `judge`, of a statement or a mark whose signature holds."""
        if seen.key is None or seen.signer is None:
            return []
        return self.judge(seen.key, namespace, seen.signer, seen.path)[1]

    def _use(self, key: PublicKey) -> KeyUse:
        use = self.uses.get(key)
        if use is None:
            use = self.uses[key] = KeyUse(key.fingerprint)
            use.ended, use.since = self._ends.get(use.fingerprint, ("", None))
        return use

    def _late(self, use: KeyUse, signer: Signer, path: str) -> list[Found]:
        """Signed after its key was retired or compromised."""
        if use.since is None or signer.at < use.since:
            return []
        fields = {"name": label(path), "since": use.since.date().isoformat()}
        return [found("bad", f"key_{use.ended}_before", path, **fields)]

    @staticmethod
    def _is_in(rows: Sequence[Listed], key: PublicKey) -> bool:
        return any(row.key == key for row in rows)

    @staticmethod
    def _not_then(use: KeyUse, signer: Signer, path: str) -> Found:
        fields = {"name": label(path), "day": signer.at.date().isoformat()}
        return found("bad", "key_not_then", path, key=use.fingerprint, **fields)

    def told(self) -> list[Found]:
        """What is to be told of the keys as a whole."""
        return [
            found("note", "key_compromised_after", key=use.fingerprint, since=use.since.date())
            for use in self.uses.values()
            if use.ended == "compromised" and use.since is not None
        ]


def _end(entries: Iterable[Entry]) -> tuple[str, datetime | None]:
    """Whether a key was compromised, else retired, and from when on."""
    ends: dict[str, datetime] = {}
    for entry in entries:
        event, since = str(entry.values.get("event", "")), entry.values.get("since")
        if event in ("retired", "compromised"):
            at = since if isinstance(since, datetime) else entry.at
            ends[event] = min(at, ends.get(event, at))
    if not ends:
        return "", None
    since = min(ends.values())
    return "compromised" if "compromised" in ends else "retired", since
