"""The kinds of the two small signed files: a statement about a sealed log, a mark of a register.

Each stands in the frame of a log and holds one entry; beside it stands its signature.

A *statement* is a person's own word about a sealed log: a second weigher, a reviewer, somebody who
was present. A *mark* is the end of a register as it was when a log was sealed: how many entries and
the last link. Who keeps one, on a report, knows later whether the register still holds that.
"""

from assaybench.record.kinds import MEANINGS, Key, Kind

LARGEST_SIGNED = 100_000
"""Largest statement or mark that is accepted, in bytes."""

STATEMENT_KINDS = (
    Kind("statement", 1, "A person's own word about a sealed log.", (
        Key("number", "whole", "number of the log", required=True),
        Key("bench", "id", "the bench whose register gave the number", required=True),
        Key("sha512", "text", "digest of the whole log", required=True),
        Key("size", "whole", "its size in bytes", required=True),
        Key("name", "text", "printed name of the signer", required=True),
        Key("role", "text", "what the signer does here", required=True),
        Key("fingerprint", "text", "fingerprint of the signing key", required=True),
        Key("meaning", "choice", "what the signature stands for", required=True, choices=MEANINGS),
        Key("text", "text", "what was looked at and found"),
    )),
)  # fmt: skip
STATEMENT_BY_NAME = {kind.name: kind for kind in STATEMENT_KINDS}

MARK_KINDS = (
    Kind("mark", 1, "The end of a register when a log was sealed.", (
        Key("bench", "id", "the bench of the register", required=True),
        Key("number", "whole", "the log that was sealed last", required=True),
        Key("count", "whole", "entries of the register", required=True),
        Key("last_link", "sha256", "its last link", required=True),
        Key("fingerprint", "text", "fingerprint of the signing key", required=True),
    )),
)  # fmt: skip
MARK_BY_NAME = {kind.name: kind for kind in MARK_KINDS}
