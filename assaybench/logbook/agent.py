"""Signing with an agent or a hardware key: `ssh-keygen -Y sign` is asked, no token is spoken to."""

from collections.abc import Mapping
from pathlib import Path

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.sshkeys import NotValid, PublicKey
from assaybench.messages import say

TOOL = "ssh-keygen"
TOOL_SECONDS = 180.0
"""How long an agent or a token may take: a person may have to touch it."""
_LONGEST_REASON = 160


def must_fit(key: PublicKey, armor: bytes, message: bytes, namespace: str) -> None:
    """Check a fresh signature: a faulty processor or tool must not seal a log.

    Raises:
        NotDone: when it does not fit.
    """
    try:
        made = sshsig.parse(armor)
        sshsig.check(made, message, namespace)
    except NotValid as fault:
        raise NotDone([say("signature_unfit", why=fault.line)]) from fault
    if made.key != key:
        raise NotDone([say("signature_unfit", why=say("signature_other_key"))])


class ToolSigner:
    """A signer that asks `ssh-keygen`."""

    def __init__(
        self,
        key: PublicKey,
        path: Path,
        environment: Mapping[str, str] | None = None,
        tool: str = TOOL,
        wait_seconds: float = TOOL_SECONDS,
    ) -> None:
        self.key = key
        self._path, self._environment = path, environment
        self._tool, self._wait_seconds = tool, wait_seconds

    def sign(self, message: bytes, namespace: str) -> bytes:
        """As `Signer.sign`; the message goes in on standard input, the signature comes out."""
        import subprocess

        arguments = [self._tool, "-Y", "sign", "-f", str(self._path.absolute()), "-n", namespace]
        try:
            done = subprocess.run(  # noqa: S603  fixed arguments, no shell; the tool by its name
                arguments,
                input=message,
                capture_output=True,
                check=False,
                timeout=self._wait_seconds,
                env=None if self._environment is None else dict(self._environment),
            )
        except FileNotFoundError as fault:
            raise NotDone([say("tool_missing", name=TOOL)]) from fault
        except subprocess.TimeoutExpired as fault:
            line = say("tool_slow", name=TOOL, n=round(self._wait_seconds))
            raise NotDone([line]) from fault
        except OSError as fault:
            raise NotDone([say("tool_refused", why=disk_reason(fault))]) from fault
        if done.returncode:
            raise NotDone([say("tool_refused", why=_last_line(done.stderr))])
        must_fit(self.key, done.stdout, message, namespace)
        return done.stdout


def _last_line(stderr: bytes) -> str:
    lines = [line for line in stderr.decode("utf-8", "replace").splitlines() if line.strip()]
    text = lines[-1].strip() if lines else say("tool_silent")
    shown = "".join(sign if sign.isprintable() else "·" for sign in text)
    return shown[:_LONGEST_REASON].rstrip(".")
