"""From arguments to an exit status: finds the command, turns every fault into one clear line.

Exit status: 0 done, 1 checked and not good, 2 bad input, 3 could not be done, 130 interrupted.
"""

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING

import click

from assaybench import __version__
from assaybench.cli.examples import example
from assaybench.cli.options import emit_text, flush_output, unprinted
from assaybench.cli.table import BY_NAME, COMMANDS
from assaybench.logbook.faults import NotDone, NotGood, NotPrinted
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.units import parse

if TYPE_CHECKING:
    from types import TracebackType

    from click import Command, Context

TOLD_BY = {
    "open": "logbook",
    "enter": "show",
    "correct": "show",
    "leave-out": "show",
    "void": "logbook",
    "import": "logbook",
    "selftest": "logbook",
    "signers": "signers",
    "seal": "verify",
    "countersign": "verify",
    "reissue": "logbook",
    "settings": "settings",
}
"""For each command that stores something, the one that tells what was stored."""
HELP = ["--help", "-h"]
DONE, NOT_GOOD, BAD_INPUT, NOT_DONE, INTERRUPTED = 0, 1, 2, 3, 130


class _Commands(click.Group):
    """The group of all commands; a command's file is loaded only when it is called."""

    def list_commands(self, ctx: "Context") -> list[str]:
        return [entry.name for entry in COMMANDS]

    def get_command(self, ctx: "Context", cmd_name: str) -> "Command | None":
        entry = BY_NAME.get(cmd_name)
        if entry is None:
            return None
        command: Command = import_module(f"assaybench.cli.{entry.module}").command
        command.epilog = example(cmd_name)
        return command

    def format_commands(self, ctx: "Context", formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(entry.name, entry.help) for entry in COMMANDS])


@click.group(cls=_Commands, context_settings={"help_option_names": HELP})
@click.version_option(__version__, message="assaybench %(version)s")
def _program() -> None:
    """A fire-assay lab bench calculator and logbook.

    Without a command, on a terminal, it opens the bench: pages for a whole screen. With demo
    alone it opens the bench on a copy of the demo. COMMAND --help ends with an example.

    Figures are typed with their unit: 0.31mg, "0.31 mg", 0,31mg. ± is always U (95 in 100),
    parentheses as in 3.20(20) are always u.
    """


def main(argv: Sequence[str]) -> int:
    """Run one command line and return its exit status; never raises, never prints a traceback."""
    arguments = _arguments(argv)
    place = "assaybench"
    try:
        if not arguments:
            context = click.Context(_program, info_name="assaybench", help_option_names=HELP)
            emit_text(_program.get_help(context))
            return BAD_INPUT
        if arguments[0] in BY_NAME:
            place = f"assaybench {arguments[0]}"
        status = _program.main(arguments, prog_name="assaybench", standalone_mode=False)
        flush_output()
    except BadInput as fault:
        return _complain(place, fault.lines)
    except NotPrinted as fault:
        _close_quietly()
        _complain(place, (*fault.lines[:-1], _and_stored(fault.lines[-1], arguments)))
        return NOT_DONE
    except NotDone as fault:
        _complain(place, fault.lines)
        return NOT_GOOD if isinstance(fault, NotGood) else NOT_DONE
    except click.ClickException as fault:
        return _complain(place, (_one_line(fault),))
    except (KeyboardInterrupt, click.Abort):
        return _interrupt(place, arguments)
    except (BrokenPipeError, SystemExit):
        # click leaves by SystemExit when the reader of a pipe went away
        _close_quietly()
        return DONE
    except Exception as fault:  # noqa: BLE001  the last door: a person never sees a traceback
        return _last(place, arguments, fault)
    return status if isinstance(status, int) else DONE


def _interrupt(place: str, arguments: Sequence[str]) -> int:
    """End after an interrupt; who stores something is told where to look for it."""
    if not TOLD_BY.keys().isdisjoint(arguments[:1]):
        _complain(place, (_and_stored(say("interrupted"), arguments),))
    return INTERRUPTED


def _and_stored(line: str, arguments: Sequence[str]) -> str:
    """A line, and where to look for what was stored by a command that stores something."""
    told_by = TOLD_BY.get(arguments[0]) if arguments else None
    return f"{line} {say('stored_told', command=told_by)}" if told_by else line


def _interrupted(fault: BaseException) -> bool:
    """Whether an interrupt lies behind a fault: struck while a class is made it is another."""
    cause = fault.__cause__ or fault.__context__
    return cause is not None and (isinstance(cause, KeyboardInterrupt) or _interrupted(cause))


def _last(place: str, arguments: Sequence[str], fault: Exception) -> int:
    """Tell of a fault that nobody foresaw: an interrupt that was taken for one, or lost help."""
    if _interrupted(fault):
        return _interrupt(place, arguments)
    if isinstance(fault, OSError) and _in_click(fault):
        _close_quietly()
        _complain(place, unprinted(fault).lines)
    else:
        line = say("program_fault", what=f"{type(fault).__name__} in {_where(fault)}")
        _complain(place, (_and_stored(line, arguments),))
    return NOT_DONE


def _arguments(argv: Sequence[str]) -> list[str]:
    """The arguments, units that stand alone joined to their figures where figures are asked for."""
    entry = BY_NAME.get(argv[0]) if argv else None
    if entry is not None and not entry.figures:
        return list(argv)
    return [_as_reading(token) for token in parse.joined(list(argv))]


def _as_reading(token: str) -> str:
    """A token like -0.002mg is a reading: a true minus sign keeps it from being an option."""
    return f"−{token[1:]}" if parse.is_negative_figure(token) else token


def _complain(place: str, lines: Sequence[str]) -> int:
    for line in lines:
        click.echo(printable(f"{place}: {line}".replace("\n", " ").replace("−", "-")), err=True)
    return BAD_INPUT


def _where(fault: BaseException) -> str:
    """File and line of a fault of the program, without any folder of the machine."""
    trace = _innermost(fault)
    if trace is None:
        return "an unknown place"
    return f"{os.path.basename(trace.tb_frame.f_code.co_filename)}:{trace.tb_lineno}"  # noqa: PTH119  pathlib is slow to import


def _innermost(fault: BaseException) -> "TracebackType | None":
    trace = fault.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    return trace


def _in_click(fault: BaseException) -> bool:
    """Whether a fault arose in click, which prints the help by itself."""
    trace = _innermost(fault)
    return trace is not None and str(trace.tb_frame.f_globals.get("__name__")).startswith("click.")


def _close_quietly() -> None:
    """After a closed pipe, keep the interpreter from complaining once more at exit."""
    sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115  open for the process's last moments


def _one_line(fault: click.ClickException) -> str:
    """What click has to say, as one line that names what was wrong and what is accepted."""
    if isinstance(fault, click.NoSuchOption):
        hint = f" Did you mean {fault.possibilities[0]}?" if fault.possibilities else ""
        return say("option_unknown", x=quoted(fault.option_name), hint=hint)
    if isinstance(fault, click.BadOptionUsage):
        return say("option_value_missing", x=quoted(fault.option_name))
    if isinstance(fault, click.UsageError) and "No such command" in fault.message:
        return _unknown_command(fault)
    if isinstance(fault, click.UsageError) and "unexpected extra argument" in fault.message:
        extra = fault.message.partition("(")[2].rstrip(").")
        return say("argument_unexpected", x=quoted(extra), accepted=_usage(fault))
    return " ".join(fault.format_message().split())


def _unknown_command(fault: click.UsageError) -> str:
    import difflib

    typed = fault.message.partition("'")[2].rpartition("'")[0]
    close = difflib.get_close_matches(typed, BY_NAME, n=1)
    hint = f" Did you mean {close[0]}?" if close else ""
    return say("command_unknown", x=quoted(typed), hint=hint)


def _usage(fault: click.UsageError) -> str:
    if fault.ctx is None:
        return ""
    return " ".join(fault.ctx.get_usage().split())
