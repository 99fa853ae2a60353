"""The seal, step 7: everything that would be signed is shown, then the passphrase is asked for.

The last page of the review must have been in sight before anything can be signed; giving the
passphrase is the consent. It stands on line 23 as points, goes into the key and nowhere else.
Signing runs beside the page; whatever breaks it off, the page says what was done and goes on.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from assaybench.bench import signing_here
from assaybench.bench.across import Across, across
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import capital
from assaybench.bench.jobs import Job, Start, in_a_thread
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks
from assaybench.bench.pages.seal_lines import done_blocks, review_blocks
from assaybench.bench.passphrase import ask_new_passphrase, ask_passphrase
from assaybench.bench.run_log import RunLog
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import Line, Sheet
from assaybench.bench.turning import turned
from assaybench.logbook import keys
from assaybench.logbook.faults import NotDone
from assaybench.logbook.seal import Sealed, SealHead
from assaybench.logbook.seal_look import READ_ONLY, Ready, look
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.kinds import MEANINGS
from assaybench.record.seal_review import Hold
from assaybench.report import seal_view

_MORE_KEYS = ("enter.more", "arrows", "help", "back")
_HELD_KEYS = ("arrows", "help", "back")
_KEYS = ("enter.sign", "arrows", "help", "back")
_BACK_KEYS = ("enter.back", "help", "back")
_TURNED_KEYS = ("enter.back", "arrows", "help", "back")


class SealingPage(Saying, Asks):
    """The seal of one log.

    Attributes:
        run: the log.
        sealed: what was done, None as long as it was not.
    """

    name = "sealing"

    def __init__(self, run: RunLog, start: Start = in_a_thread) -> None:
        """Look at the log.

        Args:
            run: the log.
            start: how signing is begun: in a thread, unless said.
        """
        self.run = run
        self._start = start
        self.sealed: Sealed | None = None
        self._ready: Ready | None = None
        self._blocks: list[list[Line]] = []
        self._pages: list[list[Line]] = [[]]
        self._turned = 0
        self._seen = 0
        self._asking: Asking | None = None
        self._job: Job[Sealed] | None = None
        self._head: SealHead | None = None
        self._across: Job[Across] | None = None
        self._waits = False
        self._why = ""
        self._entries = -1
        self._look()

    def _look(self) -> None:
        """What would be signed, as the log stands now."""
        self._entries = len(self.run.entries)
        self._ready, self._why, self._blocks, self._across = None, "", [], None
        if self.run.name is None:
            self._why = say("seal_never")
            return
        desk = self.run.desk
        try:
            self._ready = look(desk.book, self.run.name, desk.files)
        except (BadInput, NotDone) as fault:
            self._why = capital(" ".join(" ".join(fault.lines).split()))
            return
        self._turned = self._seen = 0
        name, entries = self.run.name, self._ready.entries
        if self._ready.review is not None:
            self._across = Job(lambda _post: across(desk, name, entries), self._start)
        self._waits = self._looking
        self._set()

    def _set(self) -> None:
        """The blocks of the review, with what other logs hold as far as that was looked up."""
        if self._ready is not None:
            found = self._across.result() if self._across is not None else None
            self._blocks = review_blocks(self._ready, found)

    @property
    def _looking(self) -> bool:
        """Whether other logs are being looked at for further determinations."""
        return self._across is not None and not self._across.over

    @property
    def working(self) -> bool:
        """Whether it is being signed: the app looks oftener then."""
        return self._job is not None

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The review, or what was done."""
        self._pages = turned(self._blocks, room.block_lines)
        at = self._turned = min(self._turned, len(self._pages) - 1)
        self._seen = max(self._seen, at + 1)
        count = say("page_of", n=at + 1, of=len(self._pages))
        return Sheet(
            left=self.run.title,
            title=say("title_sealed" if self.sealed is not None else "title_sealing"),
            right=count if len(self._pages) > 1 else self.run.desk.who_and_when(),
            block=tuple(self._pages[at]),
            margin=self._margin(),
            promise=self._promise(),
            keys=self._key_line(),
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_sealing"),),
        )

    @property
    def _held(self) -> list[Hold]:
        """Checks that say stop and that nobody released."""
        review = None if self._ready is None else self._ready.review
        return [] if review is None else [hold for hold in review.holds if not hold.released]

    @property
    def _all_seen(self) -> bool:
        return self._seen >= len(self._pages)

    def _margin(self) -> tuple[str, ...]:
        if self._asking is not None:
            return self._asking.margin
        said = [*self._said]
        if self.sealed is not None:
            flags = [" ".join(f.text.split()) for f in seal_view.key_flags(self.sealed)]
            return (*said, *flags, say("sealed_keep"))
        if self._job is not None:
            return (*said, say("seal_working"))
        if self._ready is None:
            sealed = self.run.entries and self.run.entries[-1].kind == "sealed"
            return (*said, self._why, *((say("seal_sealed_how"),) if sealed else ()))
        if self._ready.begun is not None:
            left = self._ready.left
            key = () if left == (READ_ONLY,) else (say("seal_same_key"),)
            return (*said, say("seal_begun", left=", ".join(left)), *key)
        held = [
            say("seal_holds", id=hold.id, why=" ".join(hold.text.split())) for hold in self._held
        ]
        if held:
            held.append(say("seal_held_how"))
        # all of them stand in the block; who signs must not be pushed out by them
        found, who = self._elsewhere(), signing_here.who_signs(self.run)
        return (*said, *held, *found[:1], say("seal_all"), *who, *found[1:])

    def _elsewhere(self) -> list[str]:
        """What is known of determinations that stand in other logs."""
        job = self._across
        if job is None:
            return []
        if job.faults:
            return [say("results_across_unknown", why=job.faults[0])]
        found = job.result()
        return [say("seal_looking")] if found is None else found.flags()

    def _promise(self) -> str:
        if self._job is not None:
            return say("promise_seal_working")
        if self.sealed is None and self._ready is not None and not self._all_seen:
            return say("promise_seal_more", n=self._turned + 1, of=len(self._pages))
        if self.sealed is not None or self._ready is None:
            return say("promise_back")
        if self._looking:
            return say("promise_seal_looking")
        if self._ready.begun is not None:
            again = self._ready.left == (READ_ONLY,)
            code = "promise_seal_read_only" if again else "promise_seal_go_on"
            return say(code, name=self._ready.name.spelled)
        if self._held:
            return say("promise_seal_held")
        return say("promise_seal", name=self._ready.name.spelled)

    def _key_line(self) -> tuple[str, ...]:
        if self._asking is not None:
            return ANSWER_KEYS
        if self.sealed is None and self._ready is not None:
            waits = self._looking or self._held
            return (_HELD_KEYS if waits else _KEYS) if self._all_seen else _MORE_KEYS
        return _TURNED_KEYS if len(self._pages) > 1 else _BACK_KEYS

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Enter turns the pages, and signs when all were in sight."""
        if self._job is not None:
            return Bell()
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        match action:
            case "back":
                return Back()
            case "up" | "left":
                return self._turn(-1)
            case "down" | "right":
                return self._turn(1)
            case "enter":
                return self._enter()
        return Bell()

    def _turn(self, step: int) -> Outcome:
        at = self._turned + step
        if not 0 <= at < len(self._pages):
            return Bell()
        self._turned = at
        return Stay()

    def _enter(self) -> Outcome:
        ready = self._ready
        if self.sealed is not None or ready is None:
            return Back()
        if not self._all_seen:
            return self._turn(self._seen - self._turned)
        if self._looking:
            return self._refuse(say("promise_seal_looking"))
        if self._held:
            return self._refuse(say("promise_seal_held"))
        if ready.left == (READ_ONLY,):
            self._begin(None, b"", new=False)
            return Stay()
        try:
            self._asking = self._ask_key(None) if ready.begun is not None else self._ask_name()
        except (BadInput, NotDone) as fault:
            return self._refuse(*fault.lines)
        return Stay()

    # --- what is asked --------------------------------------------------------------------------

    def _ask_name(self) -> Asking:
        """Printed name and role, where the log and the settings do not say; then the meaning."""
        self.run.desk.keeper()
        person = signing_here.person_of(self.run.state, self.run.desk)
        by = self.run.desk.by

        def named(text: str) -> Asking:
            return self._ask_role(check.text(text), self._stored_person)

        if not person.name:
            return Asking(say("ask_seal_name", by=by), named, hint=(say("ask_seal_name_hint"),))
        if not person.role:
            return self._ask_role(person.name, self._stored_person)
        return self._ask_meaning(person.name, person.role)

    def _ask_role(self, name: str, then: Callable[[str, str], Asking]) -> Asking:
        prompt = say("ask_seal_role", name=name)
        hint = (say("ask_seal_role_hint"),)
        return Asking(prompt, lambda text: then(name, check.text(text)), hint=hint)

    def _stored_person(self, name: str, role: str) -> Asking:
        """Who stands behind the initials is one more entry of the log; it is signed with it."""
        values = {"initials": self.run.desk.by, "name": name, "role": role}
        self.run.append("person", values)
        seen = self._seen
        self._look()
        self._seen, self._turned = seen, seen - 1
        return self._ask_meaning(name, role)

    def _ask_meaning(self, name: str, role: str) -> Asking:
        def answer(text: str) -> Asking:
            meaning = text or MEANINGS[0]
            if meaning not in MEANINGS:
                what, choices = say("seal_meaning"), ", ".join(MEANINGS)
                raise BadInput.of("choice_unknown", x=quoted(text), what=what, choices=choices)
            return self._ask_key(SealHead(name, role, meaning))

        hint = (say("ask_seal_meaning_hint", name=name, role=role, choices=", ".join(MEANINGS)),)
        return Asking(say("ask_seal_meaning", meaning=MEANINGS[0]), answer, hint=hint)

    def _ask_key(self, head: SealHead | None) -> Asking:
        """The passphrase of the key; of a new key twice; of a key without one, only Enter."""
        desk = self.run.desk
        path = desk.signing_key()

        def begin(secret: bytes, *, new: bool = False) -> Asking | Outcome:
            return self._begin(head, secret, new=new)

        if not signing_here.has_key(desk):
            if head is None:
                raise NotDone([say("seal_key_gone", name=path.name)])
            signing_here.must_be_first(desk, head.name)
            asking = ask_new_passphrase(partial(begin, new=True))
            asking.hint = (*asking.hint, say("seal_new_key", name=path), say("key_keep"))
            return asking
        fingerprint = keys.public_of(desk.files, path).fingerprint
        told = say("seal_key", name=path.name, key=fingerprint)
        if keys.is_shut(desk.files, path):
            asking = ask_passphrase(path.name, begin)
            asking.hint = (*asking.hint, told)
            return asking

        def said(text: str) -> Asking | Outcome:
            if text.casefold() != say("seal_yes"):
                raise BadInput.of("seal_not_said", x=quoted(text))
            return begin(b"")

        prompt, hint = say("ask_seal_open", name=path.name), (told, say("ask_seal_open_hint"))
        return Asking(prompt, said, hint=hint)

    # --- signing --------------------------------------------------------------------------------

    def _begin(self, head: SealHead | None, secret: bytes, *, new: bool) -> Asking | Outcome:
        """The file is closed here, and signed beside the page."""
        name, desk = self.run.name, self.run.desk
        if name is None:
            return Bell()
        self.run.close()
        self._head = head
        sign = partial(signing_here.sign, desk, name, head, secret, new=new)
        self._asking = None
        self._job = Job(lambda _post: sign(), self._start)
        self._take_up()
        return self._asking or Stay()

    def tick(self, now: datetime) -> bool:
        """Whether what was begun is done now."""
        if self._waits and not self._looking:
            self._waits = False
            self._set()
            return True
        return self._take_up()

    def _take_up(self) -> bool:
        """What the job came to, when it is over: the log is open here again."""
        job = self._job
        if job is None or not job.over:
            return False
        self._job = None
        self.sealed = job.result()
        said = [*job.faults]
        try:
            signing_here.opened_again(self.run)
        except NotDone as fault:
            said += fault.lines
        self._ended(said)
        if job.again:
            self._ask_again(job.faults)
        return True

    def _ask_again(self, faults: tuple[str, ...]) -> None:
        """The same question once more: what is typed for it must reach no other place."""
        try:
            self._asking = self._ask_key(self._head)
            self._asking.faults = (*faults, say("passphrase_again"))
        except (BadInput, NotDone) as fault:
            self._said = fault.lines

    def _ended(self, said: Sequence[str]) -> None:
        sealed = self.sealed
        if sealed is None:
            seen = self._seen
            self._look()
            self._seen, self._turned = seen, max(seen - 1, 0)
            begun = self._ready is not None and self._ready.begun is not None
            self._said = (*said, say("seal_tried_begun" if begun else "seal_tried"))
            return
        written = ""
        try:
            written = str(signing_here.commands_written(self.run.desk, sealed))
        except NotDone as fault:
            said = [*said, *fault.lines]
        commands = signing_here.commands_of(self.run.desk, sealed)
        self._blocks = done_blocks(self.run.desk.book, sealed, commands, written)
        self._turned = self._seen = 0
        self._said = tuple(said)

    def come_back(self) -> None:
        """The page on top was left: the log may have grown."""
        if self.sealed is None and self._job is None and self._entries != len(self.run.entries):
            self._look()
