"""Options that commands share, and the collector that reports every fault of a line at once."""

import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any, ParamSpec, TextIO, TypeVar

import click

from assaybench.logbook.faults import NotPrinted, disk_reason
from assaybench.messages import BadInput, say
from assaybench.report import page
from assaybench.report.answer import Answer, Style, text_of
from assaybench.units import parse

Value = TypeVar("Value")
Arguments = ParamSpec("Arguments")
Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def once(*names: str, **attributes: Any) -> Callable[[Decorated], Decorated]:
    """A click option that is text, may be left out, and is refused when given twice."""

    def single(
        _context: click.Context, option: click.Parameter, values: Sequence[str]
    ) -> str | None:
        if len(values) > 1:
            raise BadInput.of("option_twice", x=option.opts[0])
        return values[0] if values else None

    return click.option(*names, multiple=True, callback=single, **attributes)


def answered(function: Decorated) -> Decorated:
    """The options of an answer without a sum: --json and --plain."""
    for names, text in (
        ("--plain", "Plain ASCII lines, one figure a line."),
        ("--json", "One JSON object."),
    ):
        function = click.option(names, f"as_{names[2:]}", is_flag=True, help=text)(function)
    return function


def output(function: Decorated) -> Decorated:
    """The options --json, --plain and --sum."""
    with_sum = click.option("--sum", "as_sum", is_flag=True, help="Print the sum with its numbers.")
    return answered(with_sum(function))


def shape_of(typed: Mapping[str, Any], texts: Sequence[str] = ()) -> Style:
    """How to print an answer, from the options of `answered` or `output`.

    Args:
        typed: the options by name.
        texts: what was typed; an answer uses their decimal mark.

    Raises:
        BadInput: when both --json and --plain are asked for.
    """
    as_json, as_plain = typed["as_json"], typed["as_plain"]
    if as_json and as_plain:
        raise BadInput.of("option_excludes", option="--json", other="--plain")
    return Style(as_json, as_plain, typed.get("as_sum", False), parse.uses_comma(texts))


class Faults:
    """Collects the faults of one command line, so that a person sees them all at once."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def take(
        self,
        place: str,
        reader: Callable[Arguments, Value],
        *args: Arguments.args,
        **kwargs: Arguments.kwargs,
    ) -> Value | None:
        """What `reader` makes of its arguments; on a fault, its lines are kept as by `add`."""
        try:
            return reader(*args, **kwargs)
        except BadInput as fault:
            self.add(place, fault)
            return None

    def add(self, place: str, fault: BadInput) -> None:
        """Keep one more fault; without a place when the fault names its options itself."""
        self._lines += (fault.named(place) if place else fault).lines

    def done(self) -> None:
        """End of the checks.

        Raises:
            BadInput: with every fault found.
        """
        if self._lines:
            raise BadInput(self._lines)


def terminal() -> bool:
    """Whether a person sits at both ends of this command."""
    return is_terminal(sys.stdin) and is_terminal(sys.stdout)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether a stream is a terminal; the interpreter has none where the shell closed it."""
    return stream is not None and stream.isatty()


def emit(answer: Answer, style: Style, *, practice: bool = False) -> None:
    """Print the answer on standard output, in ASCII where the terminal knows no more.

    Args:
        answer: what was found.
        style: how to print it.
        practice: whether it is of a practice log: then every printed line says so.
    """
    text = text_of(answer, style)
    if practice and not style.json:
        room = page.MOST - len(say("practice_line", line=""))
        lines = text.split("\n")
        if not style.plain:
            lines = [part for line in lines for part in page.fitted(line, room)]
        text = "\n".join(say("practice_line", line=line).rstrip() for line in lines)
    emit_text(text)


def emit_text(text: str) -> None:
    """Print a text on standard output, in ASCII where the terminal knows no more.

    Raises:
        NotPrinted: when it cannot be printed.
        BrokenPipeError: when its reader went away.
    """
    out = _standard_output()
    encoding = out.encoding or "utf-8"
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        text = page.to_ascii(text)
    try:
        out.write(text + "\n")
    except BrokenPipeError:
        raise
    except OSError as fault:
        raise unprinted(fault) from fault
    flush_output()


def flush_output() -> None:
    """See to it that what was printed has left; errors as `emit_text`."""
    try:
        _standard_output().flush()
    except BrokenPipeError:
        raise
    except OSError as fault:
        raise unprinted(fault) from fault


def _standard_output() -> TextIO:
    # the interpreter has none when the shell closed it
    out: TextIO | None = sys.stdout
    if out is None:
        raise NotPrinted([say("not_printed", why=say("output_closed"))])
    return out


def unprinted(fault: OSError) -> NotPrinted:
    """What a failed call of printing means."""
    return NotPrinted([say("not_printed", why=disk_reason(fault))])
