"""The signing keys: whose keys sign in this logbook, and the key of the one who works here.

A key is made here, shut with a passphrase that is typed twice and kept nowhere; or a person's own
key file is used, or a `.pub` file whose key an agent or a token holds. Keys that are named here are
retired or given up here too.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cut, wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, in_a_thread
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Works
from assaybench.bench.pages.beginning import Keep
from assaybench.bench.pages.ending_keys import ask_ending
from assaybench.bench.pages.new_key import ask_new_key, ask_printed, made_and_named, path_of
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.writing import write_new
from assaybench.logbook import keys
from assaybench.logbook.faults import NotDone
from assaybench.logbook.settings_fields import BY_NAME
from assaybench.logbook.signers import (
    Change,
    Known,
    add_signer,
    events_of,
    known_signers,
)
from assaybench.messages import BadInput, say

_KEYS = ("enter.choose", "arrows", "file", "help", "back")
_INDENT = 2
_EACH = 2
"""Lines of a key that is named."""


class SigningKeysPage(Saying, Asks, Works):
    """The signing keys of the logbook and of the one who works here."""

    name = "signers"

    def __init__(self, desk: Desk, keep: Keep, left: str, start: Start = in_a_thread) -> None:
        """Look what there is.

        Args:
            desk: where; its settings name the key file.
            keep: stores another key file in the settings; raises BadInput or NotDone.
            left: the left end of the running head.
            start: how making a key is begun.
        """
        self.desk, self._keep, self._left, self._start = desk, keep, left, start
        self._asking: Asking | None = None
        self._job: Job[str] | None = None
        self._new_file = ""
        self._at = 0
        self.come_back()

    def come_back(self) -> None:
        """Look again."""
        desk = self.desk
        self._own, self._fault = "", ""
        try:
            self._own = keys.public_of(desk.files, desk.signing_key()).fingerprint
        except NotDone as fault:
            self._fault = fault.lines[0]
        self._signers: list[Known] = []
        self._faults: list[str] = []
        try:
            self._signers, self._faults = known_signers(events_of(desk.book, desk.files))
        except NotDone as fault:
            self._faults = list(fault.lines)

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """Your key, what can be done, then the keys that this logbook names."""
        block = [*self._own_lines(), (), *self._choice_lines(), ()]
        named, below = self._named_lines(room.block_lines - len(block))
        return Sheet(
            left=self._left,
            title=say("title_signers"),
            right=self.desk.who_and_when(),
            block=tuple([*block, *named][: room.block_lines]),
            margin=tuple(self._margin(below)),
            promise=say("promise_working") if self._job else self._promise(),
            keys=ANSWER_KEYS if self._asking else _KEYS,
            typing=self._asking.typing if self._asking else None,
            about=(say("about_signers"),),
        )

    def _own_lines(self) -> Iterator[Line]:
        yield line(Span(say("signers_own"), "bold"))
        for text in (str(self.desk.signing_key()), self._own or self._fault):
            yield from (line("  " + part) for part in wrapped(text, BLOCK_WIDTH - _INDENT))

    def _choices(self) -> list[tuple[str, str, Callable[[], Asking]]]:
        return [
            (
                say("signers_make"),
                say("promise_signers_make"),
                lambda: ask_new_key(self.desk, self._make),
            ),
            (say("signers_use"), say("promise_signers_use"), self._ask_file),
            (say("signers_name"), say("promise_signers_name"), self._ask_name),
        ]

    def _choice_lines(self) -> Iterator[Line]:
        for i, (text, _, _) in enumerate(self._choices()):
            here = i == self._at
            mark = "> " if here else "  "
            yield line(Span(mark + text, "bold" if here else "plain"))

    def _promise(self) -> str:
        choices, signer = self._choices(), self._pointed
        if signer is None:
            return choices[self._at][1]
        if signer.event == "compromised":
            return say("promise_signers_ended")
        return say("promise_signers_key", who=signer.name or signer.by)

    @property
    def _pointed(self) -> Known | None:
        """The key that is named here under the pointer; None on the choices above."""
        at = self._at - len(self._choices())
        return self._signers[at] if 0 <= at < len(self._signers) else None

    def _named_lines(self, room: int) -> tuple[list[Line], int]:
        """The keys that are named here as far as there is room, and how many stand below."""
        head = line(Span(say("signers_named"), "bold"))
        if not self._signers:
            return [head, line("  " + say("signers_nobody"))], 0
        most = max((room - 1) // _EACH, 1)
        at = self._at - len(self._choices())
        first = max(min(at, len(self._signers) - 1) - most + 1, 0)
        shown = self._signers[first : first + most]
        lines = [head]
        for i, signer in enumerate(shown, start=first):
            here = i == at
            text = ("> " if here else "  ") + _known(signer)
            lines.append(line(Span(cut(text, BLOCK_WIDTH), "bold" if here else "plain")))
            lines.append(line(Span("  " + signer.key.fingerprint, "dim")))
        return lines, len(self._signers) - first - len(shown)

    def _margin(self, below: int) -> Iterator[str]:
        if self._asking is not None:
            yield from self._asking.margin
            return
        yield from self._said
        if self._job is not None:
            yield say("signers_making")
        yield from self._faults
        yield from keys.warnings(self.desk.files, self.desk.signing_key())
        own = [s for s in self._signers if s.key.fingerprint == self._own]
        if self._own and not own:
            yield say("signers_not_named")
        if any(signer.since is not None for signer in own):
            yield say("signers_own_ended")
        if below > 0:
            yield say("signers_hidden", n=below)
        yield say("signers_compare")

    # --- asking ---------------------------------------------------------------------------------

    def _make(self, path: Path, name: str, secret: bytes) -> Outcome:
        self._new_file = str(path) if path != self.desk.signing_key() else ""
        return self._begin(lambda _post: made_and_named(self.desk, path, name, secret))

    def _begin(self, work: Callable[[Post], str]) -> Outcome:
        self._job = Job(work, self._start)
        self._take()
        return Stay()

    def _take(self) -> None:
        job = self._job
        if job is None or not job.over:
            return
        self._job, said = None, job.result()
        self._said = job.faults if said is None else (said, say("key_keep"))
        if said is not None and self._new_file:
            try:
                self._use(self._new_file)
            except (BadInput, NotDone) as fault:
                self._said = (*fault.lines, *self._said)
        self.come_back()

    def _ask_file(self) -> Asking:
        def answer(text: str) -> Outcome:
            path = path_of(text)
            # a name without its folder would mean another file wherever the program is started next
            value = text if path is None or text.startswith("~") else str(path)
            BY_NAME["signing_key"].value(value)
            if path is not None:
                keys.public_of(self.desk.files, path)
            self._use(value)
            self.come_back()
            return self._tell(say("signers_used", path=self.desk.signing_key()))

        return Asking(say("ask_key_file"), answer, "text", (say("ask_key_file_hint"),))

    def _use(self, value: str) -> None:
        """Store which key file signs from now on.

        Raises:
            BadInput, NotDone: when it cannot be stored.
        """
        self._keep({"signing_key": value})
        self.desk.settings = self.desk.settings._replace(signing_key=value)

    def _ask_name(self) -> Asking:
        """Name the key in the register of this bench.

        Raises:
            BadInput, NotDone: when there is none.
        """
        desk = self.desk
        desk.keeper()
        key = keys.public_of(desk.files, desk.signing_key())

        def named(name: str) -> Outcome:
            desk.book.make(desk.files)
            change = add_signer(desk.book, desk.bench, desk.keeper(), key, name)
            self.come_back()
            self._said = tuple(_changed(change))
            return Stay()

        return ask_printed(desk, named)

    def _ask_ending(self) -> Asking:
        """Retire the key under the pointer, or give it up.

        Raises:
            BadInput: as long as nobody said who works here.
        """
        self.desk.keeper()
        signer = self._pointed
        assert signer is not None  # noqa: S101  it is asked for where the pointer is at one

        def done(change: Change) -> Outcome:
            self.come_back()
            code = "signers_ended" if change.changed else "signer_as_before"
            self._said = (say(code), *_lost(change))
            return Stay()

        return ask_ending(self.desk, signer, done)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Arrows move over the choices, Enter asks for what one needs."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        if action == "back":
            return Back()
        if self._job is not None:
            return Bell()
        match action:
            case "up" | "down":
                step = 1 if action == "down" else -1
                self._at = (self._at + step) % (len(self._choices()) + len(self._signers))
            case "enter":
                signer = self._pointed
                ask = self._choices()[self._at][2] if signer is None else self._ask_ending
                return self._asked(ask)
            case "file" if self._own:
                return self._write()
            case _:
                return Bell()
        return Stay()

    def _write(self) -> Outcome:
        """The public part of your key into a text file: to be given to those who check."""
        try:
            key = keys.public_of(self.desk.files, self.desk.signing_key())
            text = f"{key.fingerprint}\n{key.line}\n"
            path = write_new(self.desk, "signing-key", text.encode())
        except NotDone as fault:
            return self._refuse(*fault.lines)
        return self._tell(say("written_to", path=path))

    def _asked(self, ask: Callable[[], Asking]) -> Outcome:
        try:
            self._asking, self._said = ask(), ()
        except (BadInput, NotDone) as fault:
            return self._refuse(*fault.lines)
        return Stay()


def _known(signer: Known) -> str:
    """One key: whose, and whether it still signs."""
    who = signer.name or signer.by
    if signer.since is None:
        return who
    day = f"{signer.since.day} {signer.since:%b %Y}"
    code = "signers_retired" if signer.event == "retired" else "signers_compromised"
    return say(code, who=who, day=day)


def _changed(change: Change) -> Iterator[str]:
    yield say("signers_is_named" if change.changed else "signer_as_before")
    yield from _lost(change)


def _lost(change: Change) -> Iterator[str]:
    """Lines of `allowed_signers` that came from no register and are gone."""
    return (say("signers_line_lost", x=lost) for lost in change.lost)
