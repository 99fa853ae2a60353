"""The real `ssh-keygen`, and keys it made: what our own reading and writing is held against."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

WHO = "K.Berg"


def keygen(*arguments: str, message: bytes = b"") -> "subprocess.CompletedProcess[bytes]":
    # a terminal that is not there asks nobody
    quiet = {**os.environ, "SSH_ASKPASS_REQUIRE": "never", "TZ": "UTC"}
    return subprocess.run(
        ["ssh-keygen", *arguments],
        input=message,
        capture_output=True,
        check=False,
        timeout=60,
        env=quiet,
    )


def made(folder: Path, name: str, *kind: str, passphrase: str = "") -> Path:
    """A key file made by the tool."""
    path = folder / name
    options = ("-q", *(kind or ("-t", "ed25519")), "-N", passphrase, "-C", name, "-f", str(path))
    done = keygen(*options)
    assert done.returncode == 0, done.stderr
    return path


def signed(key: Path, message: bytes, namespace: str, *more: str) -> bytes:
    """The file of a signature made by the tool."""
    done = keygen("-Y", "sign", *more, "-f", str(key), "-n", namespace, message=message)
    assert done.returncode == 0, done.stderr
    return done.stdout


def accepted(
    folder: Path, signature: bytes, message: bytes, namespace: str, signers: str, *more: str
) -> bool:
    """Whether the tool accepts a signature by a file of allowed signers."""
    (folder / "allowed").write_text(signers, "utf-8")
    (folder / "sig").write_bytes(signature)
    files = ("-f", str(folder / "allowed"), "-s", str(folder / "sig"))
    done = keygen("-Y", "verify", *more, "-I", WHO, "-n", namespace, *files, message=message)
    assert done.returncode in (0, 255)
    return done.returncode == 0


@contextmanager
def agent(folder: Path) -> Iterator[dict[str, str]]:
    """A real agent for as long as this lasts; gives the variables by which it is found."""
    socket = folder / "agent"
    process = subprocess.Popen(
        ["ssh-agent", "-D", "-a", str(socket)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "SSH_ASKPASS": "/bin/false", "SSH_ASKPASS_REQUIRE": "force"},
    )
    try:
        assert process.stdout is not None
        process.stdout.readline()
        yield {**os.environ, "SSH_AUTH_SOCK": str(socket), "SSH_ASKPASS_REQUIRE": "never"}
    finally:
        process.terminate()
        process.communicate()


def lent(environment: dict[str, str], key: Path, *options: str) -> None:
    """Put a key into the agent and take its file away; the public one stays."""
    subprocess.run(
        ["ssh-add", "-q", *options, str(key)], check=True, env=environment, capture_output=True
    )
    key.unlink()
