"""SSH signatures: strict reading, checking, writing.

Source: OpenSSH, PROTOCOL.sshsig. A blob holds "SSHSIG", version 1, the public key, the namespace,
nothing, the name of a hash and the raw signature; what is signed is "SSHSIG", the namespace,
nothing, the name of the hash and the digest of the message.

Stricter than the tool `ssh-keygen`, which lets text after the END line pass, a missing last line
feed, version 0, reserved bytes, and lines of any width. `cryptography` is loaded when the first
signature is checked.
"""

import re
from base64 import b64encode
from hashlib import sha256, sha512
from typing import NamedTuple

from assaybench.logbook.sshkeys import (
    RSA,
    RSA_HASHES,
    NotValid,
    PublicKey,
    Short,
    Wire,
    checker_of,
    of_base64,
    of_blob,
    packed,
)
from assaybench.messages import quoted

LOG = "assaybench-log"
STATEMENT = "assaybench-statement"
MARK = "assaybench-mark"
REPORT = "assaybench-report"
NAMESPACES = (LOG, STATEMENT, MARK, REPORT)
"""What a signature is for; one for another kind of file never fits."""
LARGEST_SIGNATURE = 16_000
"""In bytes; one of the longest RSA key takes 6,000."""
_WIDTH, _WIDEST = 70, 76
_MAGIC = b"SSHSIG"
_VERSION = 1
_HASHES = {"sha512": sha512, "sha256": sha256}
_BEGIN, _END = b"-----BEGIN SSH SIGNATURE-----\n", b"-----END SSH SIGNATURE-----\n"
_LINES = re.compile(rb"(?:[A-Za-z0-9+/=]{1,%d}\n)+" % _WIDEST)


class Signature(NamedTuple):
    """A signature that was read; whether it fits is another question.

    Attributes:
        key: the public key it names.
        namespace: what it is for.
        hash: name of the hash of the message.
        signature: the raw signature: its algorithm, its bytes, and what hardware adds.
    """

    key: PublicKey
    namespace: str
    hash: str
    signature: bytes


def parse(armor: bytes) -> Signature:
    """The signature of a file as `ssh-keygen -Y sign` writes it.

    Args:
        armor: the whole file.

    Raises:
        NotValid: for anything that is not wholly so; whether it fits is not looked at.
    """
    if len(armor) > LARGEST_SIGNATURE:
        raise NotValid("signature_size", most=LARGEST_SIGNATURE)
    if not armor.startswith(_BEGIN):
        raise NotValid("signature_begins")
    if not armor.endswith(_END):
        raise NotValid("signature_ends")
    try:
        return _of_blob(_unwrapped(armor[len(_BEGIN) : -len(_END)]))
    except Short as fault:
        raise NotValid("signature_blob") from fault


def _unwrapped(body: bytes) -> bytes:
    """The bytes of base64 in lines of one width, the last no wider."""
    if not _LINES.fullmatch(body):
        raise NotValid("signature_base64")
    *lines, last = body[:-1].split(b"\n")
    widths = {len(line) for line in lines}
    if len(widths) > 1 or (widths and len(last) > widths.pop()):
        raise NotValid("signature_base64")
    try:
        return of_base64(body.replace(b"\n", b"").decode("ascii"))
    except NotValid as fault:
        raise NotValid("signature_base64") from fault


def _of_blob(blob: bytes) -> Signature:
    wire = Wire(blob)
    if wire.take(len(_MAGIC)) != _MAGIC:
        raise Short
    version = wire.whole()
    if version != _VERSION:
        raise NotValid("signature_version", n=version)
    public, namespace, reserved = wire.string(), wire.name(), wire.string()
    hashed, raw = wire.name(), wire.string()
    wire.end()
    if not namespace:
        raise NotValid("signature_namespace_empty")
    if reserved:
        raise NotValid("signature_reserved")
    if hashed not in _HASHES:
        raise NotValid("signature_hash", x=quoted(hashed))
    key = of_blob(public)
    algorithm = Wire(raw).name()
    if algorithm not in (RSA_HASHES if key.type == RSA else (key.type,)):
        raise NotValid("signature_algorithm", x=quoted(algorithm), key=key.type)
    return Signature(key, namespace, hashed, raw)


def digest_of(message: bytes, hash_name: str) -> bytes:
    """Digest of a message by `sha512` or `sha256`."""
    return _HASHES[hash_name](message).digest()


def check(signature: Signature, message: bytes, namespace: str) -> None:
    """Check that a signature was made over this message, for this namespace, by the key it names.

    Raises:
        NotValid: when it was not.
    """
    check_digest(signature, None, message, namespace)


def check_digest(
    signature: Signature, sha512_digest: bytes | None, message: bytes, namespace: str
) -> None:
    """As `check`, for one who has the message's SHA-512 already.

    Args:
        signature: the signature.
        sha512_digest: 64 bytes, or None; taken when the signature uses this hash.
        message: the message, for the other hash.
        namespace: what the signature must be for.

    Raises:
        NotValid: when it does not fit.
    """
    if signature.namespace != namespace:
        raise NotValid("signature_namespace", x=quoted(signature.namespace), wanted=namespace)
    digest = sha512_digest if signature.hash == "sha512" else None
    if digest is None:
        digest = digest_of(message, signature.hash)
    signed = signed_blob(namespace, signature.hash, digest)
    raw = Wire(signature.signature)
    try:
        fits = checker_of(signature.key)(raw.name(), raw, signed)
    except Short as fault:
        raise NotValid("signature_form", key=signature.key.type) from fault
    if not fits:
        raise NotValid("signature_other")


def signed_blob(namespace: str, hash_name: str, digest: bytes) -> bytes:
    """The bytes that a key signs: PROTOCOL.sshsig, "Signed Data"."""
    return _MAGIC + packed(namespace.encode(), b"", hash_name.encode(), digest)


def armored(key: PublicKey, namespace: str, raw: bytes, hash_name: str = "sha512") -> bytes:
    """The file of a signature, byte for byte as `ssh-keygen -Y sign` writes it.

    Args:
        key: the public key.
        namespace: what it is for.
        raw: the raw signature on the wire, its algorithm first.
        hash_name: name of the hash of the message.
    """
    head = _MAGIC + _VERSION.to_bytes(4, "big")
    blob = head + packed(key.blob, namespace.encode(), b"", hash_name.encode(), raw)
    text = b64encode(blob)
    lines = (text[at : at + _WIDTH] + b"\n" for at in range(0, len(text), _WIDTH))
    return _BEGIN + b"".join(lines) + _END
