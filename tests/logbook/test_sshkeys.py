"""Public keys: which count, how they are spelled, hardware keys, when the library is loaded."""

from base64 import b64encode
from hashlib import sha256
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from assaybench.logbook import sshsig
from assaybench.logbook.sshkeys import HARDWARE, NotValid, PublicKey, Wire, of_blob, of_line, packed
from assaybench.logbook.sshsig import LOG, digest_of, parse
from tests.house.test_floors import modules_after
from tests.logbook import ssh_tools
from tests.logbook.ssh_signatures import MESSAGE, blob_of, code_of, flipped, holds, keys, public
from tests.logbook.ssh_tools import WHO

__all__ = ["keys"]


def test_rsa_is_accepted_with_sha2_alone_and_from_2048_bits_on(
    keys: dict[str, Path], tmp_path: Path
) -> None:
    signature = parse(ssh_tools.signed(keys["rsa2048"], MESSAGE, LOG))
    raw = signature.signature[-256:]
    for name in (b"ssh-rsa", b"rsa-sha2-1024", b"ssh-ed25519"):
        bad = blob_of(signature, raw=packed(name, raw))
        assert code_of(bad) == "signature_algorithm"
    assert code_of(blob_of(signature, raw=packed(b"rsa-sha2-256", raw))) == "signature_other"
    assert code_of(blob_of(signature, raw=packed(b"rsa-sha2-512", b"\0" + raw))) == "signature_form"
    short = ssh_tools.made(tmp_path, "short", "-t", "rsa", "-b", "1024")
    assert code_of(ssh_tools.signed(short, MESSAGE, LOG)) == "key_rsa_bits"


def test_numbers_have_one_spelling(keys: dict[str, Path]) -> None:
    """RFC 4251 section 5: no needless zero bytes before a whole number, and none below zero."""
    signature = parse(ssh_tools.signed(keys["p256"], MESSAGE, LOG))
    wire = Wire(signature.signature)
    algorithm, both = wire.string(), Wire(wire.string())
    r, s = both.string(), both.string()
    assert holds(blob_of(signature, raw=packed(algorithm, packed(r, s))))
    for other in (b"\0" + r, b"\xff" + r, b"", b"\0"):
        bad = blob_of(signature, raw=packed(algorithm, packed(other, s)))
        assert code_of(bad) == "signature_form"
    blob = public(keys["rsa2048"]).blob
    exponent = packed(b"\1\0\1")
    assert exponent in blob
    for other in (b"\0\1\0\1", b"\x80\0\1", b""):
        with pytest.raises(NotValid, match="the parts of a ssh-rsa key"):
            of_blob(blob.replace(exponent, packed(other)))


def hardware_key(application: bytes = b"ssh:") -> tuple[PublicKey, Ed25519PrivateKey]:
    private = Ed25519PrivateKey.generate()
    raw = private.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)
    return PublicKey(HARDWARE, packed(HARDWARE.encode(), raw, application)), private


def test_a_hardware_key_s_signature_holds_as_the_format_says(tmp_path: Path) -> None:
    """PROTOCOL.u2f: the token signs digests, its flags and its counter."""
    key, private = hardware_key()
    said = b"\x01" + (1234).to_bytes(4, "big")
    blob = sshsig.signed_blob(LOG, "sha512", digest_of(MESSAGE, "sha512"))
    signed = sha256(b"ssh:").digest() + said + sha256(blob).digest()
    raw = packed(HARDWARE.encode(), private.sign(signed)) + said
    whole = sshsig.armored(key, LOG, raw)
    line = f"{WHO} {key.line}\n"
    assert holds(whole)
    assert ssh_tools.accepted(tmp_path, whole, MESSAGE, LOG, line)
    assert [bit for bit in range(len(whole) * 8) if holds(flipped(whole, bit))] == []
    for other in (raw[:-1] + b"\0", raw + b"\0", raw[:-5]):
        bad = sshsig.armored(key, LOG, other)
        assert not holds(bad)
        assert not ssh_tools.accepted(tmp_path, bad, MESSAGE, LOG, line)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("", "key_line"),
        ("ssh-ed25519", "key_line"),
        ("ssh-dss AAAA", "key_type"),
        ("ssh-ed25519 AAAA", "key_line"),
        ("ssh-ed25519 AAAA=", "key_base64"),
        ("ssh-ed25519 " + b64encode(packed(b"ssh-ed25519", b"x" * 31)).decode(), "key_blob"),
        ("ssh-ed25519 " + b64encode(packed(b"ssh-ed25519", b"x" * 32, b"")).decode(), "key_blob"),
        ("ssh-rsa " + b64encode(packed(b"ssh-ed25519", b"x" * 32)).decode(), "key_blob"),
        ("ssh-ed25519 " + "A" * 5000, "key_line"),
        (
            "ecdsa-sha2-nistp256 "
            + b64encode(packed(b"ecdsa-sha2-nistp256", b"nistp256", b"\4" + b"x" * 64)).decode(),
            "key_blob",
        ),
        (
            "ecdsa-sha2-nistp256 "
            + b64encode(packed(b"ecdsa-sha2-nistp256", b"nistp384", b"\4" + b"x" * 96)).decode(),
            "key_blob",
        ),
    ],
)
def test_a_line_that_is_no_public_key_is_told(line: str, code: str) -> None:
    with pytest.raises(NotValid) as caught:
        of_line(line)
    assert caught.value.code == code
    assert caught.value.line.isprintable()


def test_the_cryptography_library_is_loaded_by_the_first_check_alone() -> None:
    code = "import assaybench.logbook.sshsig, assaybench.logbook.keys, assaybench.logbook.signers"
    assert "cryptography" not in modules_after(code)
