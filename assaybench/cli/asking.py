"""Asking about a suspected slip before a reading is stored: at a terminal, or by --seen."""

from collections.abc import Callable, Sequence

import click

from assaybench.cli.options import terminal
from assaybench.cli.storing import Wanted, alone
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check, slips
from assaybench.record.entries import Entry
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay
from assaybench.record.slip_words import Question

Ask = Callable[[Sequence[Question]], str | None]
"""Puts the questions to a person and returns what is seen now; None where nobody can be asked."""
_TEXT = BY_NAME["reading"].by_name["text"]


def at_terminal(questions: Sequence[Question]) -> str | None:
    """Ask the person at the terminal, until a figure is typed; None off a terminal."""
    if not terminal():
        return None
    for question in questions:
        for line in question.lines:
            click.echo(f"  {line}", err=True)
    while True:
        typed: str = click.prompt(say("slip_prompt"), err=True)
        try:
            return str(check.value(_TEXT, typed))
        except BadInput as fault:
            for line in fault.lines:
                click.echo(f"  {line}", err=True)


class Asker:
    """Gives the rows of a wanted entry; of a suspicious reading, with what was asked.

    What is seen is asked for once; the same answer serves when the rows are made again behind the
    lock, unless a new question came up in the meantime.
    """

    def __init__(self, seen: str | None, ask: Ask = at_terminal) -> None:
        """Ask when there is something to ask.

        Args:
            seen: the value of --seen, which answers beforehand; None without it.
            ask: asks a person.
        """
        self._seen, self._ask = seen, ask
        self._asked: Sequence[Question] = ()

    def rows(self, entries: Sequence[Entry], wanted: Wanted) -> list[Row]:
        """What is stored for an entry that was checked.

        Raises:
            BadInput: the questions, when nobody can be asked; or a --seen that is no answer.
        """
        if wanted.kind != "reading":
            return self._unasked(entries, wanted)
        asked = slips.questions(replay(entries), slips.Candidate.of(wanted.values))
        if not asked and not self._asked:
            return self._unasked(entries, wanted)
        new = {question.code for question in asked} - {q.code for q in self._asked}
        if new and self._asked:
            raise self._unanswered(asked, wanted)
        if not self._asked:
            self._asked = asked
            self._seen = self._answer(asked, wanted)
        return slips.rows(wanted.values, self._asked, self._seen or "")

    def _answer(self, asked: Sequence[Question], wanted: Wanted) -> str:
        if self._seen is None:
            answer = self._ask(asked)
            if answer is None:
                raise self._unanswered(asked, wanted)
            return answer
        try:
            return str(check.value(_TEXT, self._seen))
        except BadInput as fault:
            raise fault.named("--seen") from fault

    @staticmethod
    def _unanswered(asked: Sequence[Question], wanted: Wanted) -> BadInput:
        how = say("slip_how", x=wanted.values["text"])
        return BadInput([*(question.seen for question in asked), how])

    def _unasked(self, entries: Sequence[Entry], wanted: Wanted) -> list[Row]:
        typed = str(wanted.values.get("text", "")).strip() if wanted.kind == "reading" else ""
        if self._seen is not None and self._seen.strip() != typed:
            raise BadInput.of("seen_not_asked", x=quoted(self._seen)[1:-1])
        return alone(entries, wanted)
