"""Keys of every kind, and signatures put together by hand, for tests of signatures."""

from base64 import b64encode
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.files import Files
from assaybench.logbook.keys import read_public
from assaybench.logbook.sshkeys import NotValid, PublicKey, packed
from assaybench.logbook.sshsig import LOG, check, parse
from tests.logbook import ssh_tools
from tests.record.frames import small_log

MESSAGE = small_log()
KINDS = {
    "ed25519": ("-t", "ed25519"),
    "p256": ("-t", "ecdsa", "-b", "256"),
    "p384": ("-t", "ecdsa", "-b", "384"),
    "p521": ("-t", "ecdsa", "-b", "521"),
    "rsa2048": ("-t", "rsa", "-b", "2048"),
    "rsa3072": ("-t", "rsa", "-b", "3072"),
}


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("keys")
    return {name: ssh_tools.made(folder, name, *kind) for name, kind in KINDS.items()}


def public(path: Path) -> PublicKey:
    return read_public(Files(), path.with_name(f"{path.name}.pub"))


def holds(signature: bytes, message: bytes = MESSAGE, namespace: str = LOG) -> bool:
    try:
        check(parse(signature), message, namespace)
    except NotValid:
        return False
    return True


def code_of(signature: bytes, message: bytes = MESSAGE, namespace: str = LOG) -> str:
    with pytest.raises(NotValid) as caught:
        check(parse(signature), message, namespace)
    assert caught.value.line.isprintable()
    return caught.value.code


def wrapped(text: bytes, width: int) -> bytes:
    lines = [text[at : at + width] for at in range(0, len(text), width)]
    return b"\n".join(
        (b"-----BEGIN SSH SIGNATURE-----", *lines, b"-----END SSH SIGNATURE-----", b"")
    )


def blob_of(
    signature: sshsig.Signature,
    *,
    magic: bytes = b"SSHSIG",
    version: int = 1,
    reserved: bytes = b"",
    tail: bytes = b"",
    **changed: bytes,
) -> bytes:
    """A signature put together by hand, with parts of it changed."""
    parts = {
        "key": signature.key.blob,
        "namespace": signature.namespace.encode(),
        "hash": signature.hash.encode(),
        "raw": signature.signature,
        **changed,
    }
    body = packed(parts["key"], parts["namespace"], reserved, parts["hash"], parts["raw"])
    return wrapped(b64encode(magic + version.to_bytes(4, "big") + body + tail), 70)


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)
