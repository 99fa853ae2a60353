"""Public keys as SSH spells them: strict reading, and checking raw signatures with them.

Source: RFC 4251 section 5 (strings, mpint), RFC 4253 section 6.6 (RSA keys), RFC 5656 section 3.1
(ECDSA), RFC 8709 (Ed25519), OpenSSH PROTOCOL.u2f (hardware keys), RFC 8332 section 3 (RSA with
SHA-2). Every part has one spelling; `cryptography` is loaded when the first key is used.
"""

from base64 import b64decode, b64encode
from binascii import Error as NotBase64
from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256
from typing import NamedTuple

from assaybench.messages import say

ED25519 = "ssh-ed25519"
HARDWARE = "sk-ssh-ed25519@openssh.com"
RSA = "ssh-rsa"
CURVES = {"nistp256": 32, "nistp384": 48, "nistp521": 66}
"""Bytes of a coordinate, by the name of the curve."""
ECDSA = {f"ecdsa-sha2-{curve}": curve for curve in CURVES}
RSA_HASHES = {"rsa-sha2-512": "SHA512", "rsa-sha2-256": "SHA256"}
TYPES = (ED25519, HARDWARE, *ECDSA, RSA)
LEAST_RSA_BITS, MOST_RSA_BITS = 2048, 16384
LARGEST_LINE = 4_000
_LARGEST_EXPONENT = 1 << 64

Check = Callable[[str, "Wire", bytes], bool]
"""Whether a raw signature fits: its algorithm, what follows that, and the message."""


class NotValid(Exception):
    """A signature, or the key of one, that does not hold.

    Attributes:
        code: which fault, by the table of messages.
        line: the fault in one line.
    """

    def __init__(self, code: str, **fields: object) -> None:
        self.code = code
        self.line = say(code, **fields)
        super().__init__(self.line)


class Short(ValueError):
    """Bytes that are not what they should be on the wire."""


class Wire:
    """The parts of a run of bytes, one after the other (RFC 4251 section 5)."""

    def __init__(self, data: bytes) -> None:
        self._data, self._at = data, 0

    def take(self, size: int) -> bytes:
        """The next bytes, exactly so many.

        Raises:
            Short: when there are fewer; as all of these.
        """
        end = self._at + size
        if end > len(self._data):
            raise Short
        part, self._at = self._data[self._at : end], end
        return part

    def whole(self) -> int:
        """A whole number of four bytes."""
        return int.from_bytes(self.take(4), "big")

    def string(self) -> bytes:
        """A string: its length, then its bytes."""
        return self.take(self.whole())

    def name(self) -> str:
        """A string of printable ASCII."""
        text = self.string().decode("ascii", "replace")
        if not (text.isascii() and text.isprintable()):
            raise Short
        return text

    def mpint(self) -> int:
        """A whole number above zero, in as few bytes as it needs."""
        data = self.string()
        if not data or data[0] >= 0x80 or (data[0] == 0 and data[1:2] < b"\x80"):
            raise Short
        return int.from_bytes(data, "big")

    def end(self) -> None:
        """Nothing follows."""
        if self._at != len(self._data):
            raise Short


def packed(*parts: bytes) -> bytes:
    """Strings of the wire, one after the other."""
    return b"".join(len(part).to_bytes(4, "big") + part for part in parts)


class PublicKey(NamedTuple):
    """A public key.

    Attributes:
        type: its type, as SSH names it.
        blob: its bytes on the wire.
    """

    type: str
    blob: bytes

    @property
    def line(self) -> str:
        """As files of SSH hold it: type and base64."""
        return f"{self.type} {b64encode(self.blob).decode()}"

    @property
    def fingerprint(self) -> str:
        """SHA-256 of its bytes, as `ssh-keygen -l` shows it."""
        return f"SHA256:{b64encode(sha256(self.blob).digest()).decode().rstrip('=')}"


def of_blob(blob: bytes) -> PublicKey:
    """The public key of these bytes.

    Raises:
        NotValid: for an unknown type, missing or further parts, or an RSA key that is too short.
    """
    try:
        kind = Wire(blob).name()
    except Short as fault:
        raise NotValid("key_line") from fault
    if kind not in TYPES:
        raise NotValid("key_type", choices=", ".join(TYPES))
    key = PublicKey(kind, blob)
    checker_of(key)
    return key


def of_line(line: str) -> PublicKey:
    """The public key of a line: type, base64, and any comment.

    Raises:
        NotValid: when it is none, or none that is known here.
    """
    words = line.split(None, 2)
    if len(words) < 2 or len(line) > LARGEST_LINE:
        raise NotValid("key_line")
    kind, text = words[:2]
    if kind not in TYPES:
        raise NotValid("key_type", choices=", ".join(TYPES))
    key = of_blob(of_base64(text))
    if key.type != kind:
        raise NotValid("key_blob", x=kind)
    return key


def of_base64(text: str) -> bytes:
    """The bytes that this is the one base64 of.

    Raises:
        NotValid: for anything else.
    """
    try:
        data = b64decode(text, validate=True)
    except (NotBase64, ValueError) as fault:
        raise NotValid("key_base64") from fault
    if b64encode(data).decode() != text:
        raise NotValid("key_base64")
    return data


@lru_cache(maxsize=64)
def checker_of(key: PublicKey) -> Check:
    """What checks raw signatures with a key; kept, since many files have one signer.

    The algorithm's name was compared with the key's type before.

    Raises:
        NotValid: for a key that is not in full what its type says.
    """
    wire = Wire(key.blob)
    try:
        wire.string()
        if key.type == ED25519:
            return _ed25519(wire)
        if key.type == HARDWARE:
            return _hardware(wire)
        if key.type == RSA:
            return _rsa(wire)
        return _ecdsa(wire, ECDSA[key.type])
    except ValueError as fault:
        raise NotValid("key_blob", x=key.type) from fault


def fits(check: Callable[[], None]) -> bool:
    """Whether a check of `cryptography` ends without its fault."""
    from cryptography.exceptions import InvalidSignature

    try:
        check()
    except InvalidSignature:
        return False
    return True


def _ed25519(wire: Wire) -> Check:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    public = Ed25519PublicKey.from_public_bytes(wire.string())
    wire.end()

    def check(_algorithm: str, signature: Wire, message: bytes) -> bool:
        raw = _sized(signature.string(), 64)
        signature.end()
        return fits(lambda: public.verify(raw, message))

    return check


def _hardware(wire: Wire) -> Check:
    """A key in a hardware token: it signs the message's digest among other things it says.

    PROTOCOL.u2f, "SSH U2F Signatures": SHA-256 of the application, flags, counter, SHA-256 of the
    message. Which flags must be set is not asked here, as `ssh-keygen` does not ask either.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    public = Ed25519PublicKey.from_public_bytes(wire.string())
    application = sha256(wire.string()).digest()
    wire.end()

    def check(_algorithm: str, signature: Wire, message: bytes) -> bool:
        raw = _sized(signature.string(), 64)
        flags_and_counter = signature.take(5)
        signature.end()
        signed = application + flags_and_counter + sha256(message).digest()
        return fits(lambda: public.verify(raw, signed))

    return check


def _rsa(wire: Wire) -> Check:
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric.padding import PKCS1v15
    from cryptography.hazmat.primitives.asymmetric.rsa import RSAPublicNumbers

    exponent, modulus = wire.mpint(), wire.mpint()
    wire.end()
    bits = modulus.bit_length()
    if not LEAST_RSA_BITS <= bits <= MOST_RSA_BITS:
        raise NotValid("key_rsa_bits", n=bits, least=LEAST_RSA_BITS, most=MOST_RSA_BITS)
    if exponent >= _LARGEST_EXPONENT:
        raise Short
    public = RSAPublicNumbers(exponent, modulus).public_key()
    by_name = {"SHA256": hashes.SHA256(), "SHA512": hashes.SHA512()}

    def check(algorithm: str, signature: Wire, message: bytes) -> bool:
        raw = _sized(signature.string(), (bits + 7) // 8)
        signature.end()
        digest = by_name[RSA_HASHES[algorithm]]
        return fits(lambda: public.verify(raw, message, PKCS1v15(), digest))

    return check


def _ecdsa(wire: Wire, curve: str) -> Check:
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature

    kinds = {
        "nistp256": (ec.SECP256R1(), hashes.SHA256()),
        "nistp384": (ec.SECP384R1(), hashes.SHA384()),
        "nistp521": (ec.SECP521R1(), hashes.SHA512()),
    }
    group, digest = kinds[curve]
    named, point = wire.name(), wire.string()
    wire.end()
    if named != curve or len(point) != 1 + 2 * CURVES[curve]:
        raise Short
    public = ec.EllipticCurvePublicKey.from_encoded_point(group, point)

    def check(_algorithm: str, signature: Wire, message: bytes) -> bool:
        both = Wire(signature.string())
        r, s = both.mpint(), both.mpint()
        both.end()
        signature.end()
        raw = encode_dss_signature(r, s)
        return fits(lambda: public.verify(raw, message, ec.ECDSA(digest)))

    return check


def _sized(data: bytes, size: int) -> bytes:
    if len(data) != size:
        raise Short
    return data
