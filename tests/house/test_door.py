"""The door of the program: what a command of its own process does to the interpreter."""

import signal
import subprocess
import sys

import pytest

from assaybench.__main__ import SELDOM


def collected_after(*argv: str) -> str:
    """After how many new things a fresh interpreter collects garbage at the end of a command."""
    script = (
        "import gc, sys\nfrom assaybench.__main__ import run\n"
        f"sys.argv = ['assaybench', *{list(argv)!r}]\n"
        "try:\n    run()\nexcept SystemExit:\n    print('\\n' + str(gc.get_threshold()[0]))"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    return done.stdout.splitlines()[-1]


@pytest.mark.parametrize("argv", [("weigh", "0.31mg", "--readability", "0.01mg"), ("--version",)])
def test_a_command_that_is_soon_over_collects_garbage_seldom(argv: tuple[str, ...]) -> None:
    assert collected_after(*argv) == str(SELDOM)


def test_verify_collects_as_usual_for_it_may_go_through_thousands_of_logs() -> None:
    usual = subprocess.run(
        [sys.executable, "-I", "-c", "import gc; print(gc.get_threshold()[0])"],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert collected_after("verify", "--help") == usual.stdout.strip()


INTERRUPT = (
    "import signal, sys\nfrom assaybench.__main__ import run\n"
    "signal.signal(signal.SIGALRM, signal.default_int_handler)\n"
    "sys.argv = ['assaybench', 'weigh', '0.31mg', '--readability', '0.01mg']\n"
    "signal.setitimer(signal.ITIMER_REAL, {seconds})\nrun()"
)


@pytest.mark.parametrize("milliseconds", range(2, 60, 4))
def test_an_interrupt_while_the_program_is_loaded_is_no_traceback(milliseconds: int) -> None:
    done = subprocess.run(
        [sys.executable, "-I", "-c", INTERRUPT.format(seconds=milliseconds / 1000)],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    # sooner or later: it may have been done before, or its interpreter nearly gone
    assert done.returncode in {0, 130, -signal.SIGALRM}
    assert "Traceback" not in done.stderr


SWALLOWED = (
    "import sys, weakref\nfrom assaybench.__main__ import run\n"
    "class Seen(set):\n    pass\n"
    "def struck(_gone):\n    raise {fault}\n"
    "seen = Seen()\nkept = weakref.ref(seen, struck)\n"
    "class Finder:\n"
    "    def find_spec(self, *_asked):\n        globals().pop('seen', None)\n"
    "sys.meta_path.insert(0, Finder())\n"
    "sys.argv = ['assaybench', 'weigh', '0.31mg', '--readability', '0.01mg']\nrun()"
)
"""A fault in a callback while a module is looked for: the interpreter can raise it nowhere."""


def in_a_callback(fault: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", "-c", SWALLOWED.format(fault=fault)],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip


def test_an_interrupt_that_nothing_can_raise_ends_the_command_too() -> None:
    done = in_a_callback("KeyboardInterrupt")
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")


def test_any_other_fault_that_nothing_can_raise_is_told_and_the_command_goes_on() -> None:
    done = in_a_callback("ValueError('of a library')")
    assert done.returncode == 0
    assert "0.31" in done.stdout
    assert "ValueError: of a library" in done.stderr
