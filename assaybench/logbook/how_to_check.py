"""The text of HOW-TO-CHECK.txt: how to check a logbook without this program.

It is for somebody who has the folder, a computer, and never saw this program. A test runs its lines
for `sh` as they stand. Plain ASCII.
"""

import re
from typing import NamedTuple

from assaybench.logbook.folder import LogName
from assaybench.logbook.sshsig import LOG, MARK, STATEMENT


class Bundled(NamedTuple):
    """The log of a bundle.

    Attributes:
        name: its name.
        statements: files of the statements about it, each with its signer.
        marked: whether its register mark is there.
    """

    name: LogName
    statements: tuple[tuple[str, str], ...]
    marked: bool


class Facts(NamedTuple):
    """What the text says of one logbook.

    Attributes:
        benches: names of its benches.
        bundled: the log, when the text is of a bundle.
        people: each signer as `allowed_signers` spells him, with the fingerprint of his key.
    """

    benches: tuple[str, ...]
    people: tuple[tuple[str, str], ...]
    bundled: Bundled | None = None


def how_to_check(facts: Facts) -> bytes:
    """The whole file.

    Args:
        facts: the examples are of the first bench and the first signer.
    """
    bench = facts.benches[0] if facts.benches else "MAIN"
    who = facts.people[0][0] if facts.people else "NAME"
    named = "\n".join(f"    {who:<20} {key}" for who, key in facts.people) or "    nobody yet"
    fields = {
        "bench": bench,
        "benches": ", ".join(facts.benches) or bench,
        "who": who,
        "named": named,
        "windows": f"logs\\{bench}\\000001.toml",
        "log": LOG,
        "statement": STATEMENT,
        "mark": MARK,
    }
    text = _kept(facts.bundled)
    for name, value in fields.items():
        text = text.replace(f"@{name}@", value)
    if facts.bundled is not None:
        number = facts.bundled.name.number
        text = text.replace("000001", f"{number:06}").replace(" log 1 of ", f" log {number} of ")
    return text.encode("ascii")


def _kept(bundled: Bundled | None) -> str:
    """The text with the blocks that are about what is there."""
    kept = {"logbook"}
    text = _TEXT
    if bundled is not None:
        kept = {"bundle"}
        if bundled.marked:
            kept.add("mark")
        if bundled.statements:
            kept.add("statements")
        blocks = (
            f"    statement=logs/@bench@/{file}\n"
            f"    ssh-keygen -Y verify -f allowed_signers -I {who} -n @statement@ \\\n"
            '        -s "$statement.sig" < "$statement"\n'
            for file, who in bundled.statements
        )
        text = text.replace("@stated@\n", "\n".join(blocks)).replace(
            "@bundled@", bundled.name.spelled
        )
    return _BLOCK.sub(lambda m: m[2] if kept.intersection(m[1].split("|")) else "", text)


_BLOCK = re.compile(r"^<([a-z|]+)\n(.*?)^>\n", re.MULTILINE | re.DOTALL)
"""A block: a line `<` with the facts any of which keeps it, its lines, a line `>`."""


_TEXT = """\
HOW TO CHECK THIS LOGBOOK WITHOUT THE PROGRAM THAT WROTE IT

<bundle
This folder is a bundle: @bundled@ with all that it takes to check it, and
the logs that it replaces. The register, which numbers the logs of every
client, is not in it.

No signature covers report.txt, this text or allowed_signers. The figures are
those of the log: 'assaybench verify' prints the report anew and compares.


>
You need this folder and ssh-keygen, which is part of OpenSSH and of Git. All
commands are given in this folder. They are for log 1 of bench @bench@ and the
signer @who@: write other numbers and names in their place.
Benches here: @benches@.


1. WHOSE KEY IS IT?

allowed_signers names the keys of this logbook, so whoever wrote this folder
could name himself there. Ask the signer for the fingerprint of his key by
another way (on paper, by telephone), and compare all of it:

@named@

On 'assaybench signers' and on the signer's own 'ssh-keygen -lf KEY.pub' it is
the same. A fingerprint that nobody confirmed shows only that one key was used
all along.


2. IS THE SIGNATURE OF A LOG GOOD?

The log must come in through '<' as it is. A pipe of PowerShell alters bytes,
so there cmd is asked to do it.

Linux, macOS, Git Bash (sh):

    log=logs/@bench@/000001.toml
    who=@who@
    ssh-keygen -Y verify -f allowed_signers -I "$who" -n @log@ \\
        -s "$log.sig" < "$log"

Windows, cmd:

    ssh-keygen -Y verify -f allowed_signers -I @who@ -n @log@ -s @windows@.sig < @windows@

Windows, PowerShell:

    cmd /c "ssh-keygen -Y verify -f allowed_signers -I @who@ -n @log@ -s @windows@.sig < @windows@"

Good is one line that begins with: Good "@log@" signature for @who@
Anything else is not good: the log, its signature or allowed_signers is not as
it was. Who signed, when none is known beforehand (sh):

    ssh-keygen -Y find-principals -f allowed_signers -s "$log.sig"

"key has expired": the key was retired or given up later. Ask whether it was
named when the log was sealed: take the time 'at' of the last entry of the log,
in UTC, and add for example  -O verify-time=20260609140000Z  before -I. That
time is the signer's own word. Of a key that others may have had, believe only
what a mark or a report shows that you kept yourself (see 5).


3. IS IT THE LOG THAT THE REGISTER KNOWS?

<logbook
The register registers/@bench@.toml numbers the logs of the bench. For a sealed
log it holds the SHA-512 digest of the whole file:
>
<bundle
The register is not in this folder. It holds the SHA-512 digest of the whole
log. A report and a statement name it too: compare with one that you kept.
>

Linux, Git Bash (sh):

    sha512sum "$log"

macOS:

    shasum -a 512 "$log"

Windows, cmd:

    certutil -hashfile @windows@ SHA512

Windows, PowerShell:

    Get-FileHash -Algorithm SHA512 @windows@
<logbook

Look for these 128 signs in the register, in small letters. It prints 1 (sh):

    grep -c "$(sha512sum "$log" | cut -c 1-128)" registers/@bench@.toml

Every number from 1 on must be there: opened, then sealed or void. One that is
only opened is a log that is still written to: it has no digest yet. A number
that is not void must have its log in logs/@bench@, or a log is missing.
>


4. DO THE LINKS HOLD?

Each entry of a log, a register, a statement or a mark ends in its link, which
chains it to all before (see 6). Name a log or a register as file; on macOS
write 'shasum -a 256' for 'sha256sum'. It prints a line for each entry (sh):

    file=$log
    from=0
    LC_ALL=C grep -abo '^link = "[0-9a-f]*"' "$file" | while IFS=: read -r to line
    do
        sum=$(tail -c +$((from + 1)) "$file" | head -c $((to - from)) | sha256sum)
        want="link = \\"$(echo "$sum" | cut -c 1-64)\\""
        if [ "$line" = "$want" ]; then echo "byte $to: holds"
        else echo "byte $to: DOES NOT HOLD"; fi
        from=$to
    done

A log whose signature is good needs no such check; a register has none of its
own, and there the links and the marks are what holds it together.


5. STATEMENTS AND MARKS

<logbook|statements
A statement is another person's word about a sealed log: reviewed, or was
present. It names the log and its SHA-512 digest, and is signed itself (sh):

>
<statements
@stated@
>
<logbook
    statement=logs/@bench@/000001.statement-1.toml
    who=$(ssh-keygen -Y find-principals -f allowed_signers -s "$statement.sig")
    ssh-keygen -Y verify -f allowed_signers -I "$who" -n @statement@ \\
        -s "$statement.sig" < "$statement"

>
<logbook|mark
A mark is the end of the register at the moment when a log was sealed: 'count'
is the number of entries, 'last_link' the link of the last of them. It is
signed (sh):

    mark=marks/@bench@/000001.toml
    who=$(ssh-keygen -Y find-principals -f allowed_signers -s "$mark.sig")
    ssh-keygen -Y verify -f allowed_signers -I "$who" -n @mark@ \\
        -s "$mark.sig" < "$mark"

>
<logbook
The register must still hold that link at that entry. It prints 1 (sh):

    count=$(sed -n 's/^count = //p' "$mark")
    last=$(sed -n 's/^last_link = //p' "$mark")
    sed -n 's/^link = //p' registers/@bench@.toml | sed -n "${count}p" | grep -cxF "$last"

>
What all this cannot show: somebody who alone holds the key and the folder can
write another history and sign it anew. So each report prints a mark,
COUNT:LINK. Keep it. If a later register does not hold that link at that entry,
the history was written anew, whatever its signatures say.


6. THE FORMAT, ON ONE PAGE

Text in UTF-8, lines end in LF alone, no byte order mark, no comments; it is
TOML. Any change of line ends breaks the signatures: copy the folder as it is.

    [[entry]]
    n = 7                                    number of the entry, from 1
    at = 2026-06-09T14:02:11.480+02:00       clock of the computer, and offset
    by = "KB"                                initials, a claim
    kind = "reading"                         what the entry is
    what = "gold"                            keys of that kind, one a line
    text = "1.327"                           as the balance showed it
    link = "4be1..."                         64 hex digits
                                             one empty line ends the entry

link: SHA-256 of all bytes from the first byte of the line 'link = ' before
(for the first entry from the start of the file) up to, without it, the first
byte of this line 'link = '. So every byte is covered once.
Nothing is ever rewritten. An 'amendment' names an entry, gives keys anew and
says why; 'withdrawn' and 'left_out' say why an entry does not count. Figures
follow from the entries alone; 'results' holds them as they were when the log
was sealed, and 'sealed', the last entry, says who sealed it and what for.

    registers/BENCH.toml            begun, opened, sealed, void, signer, statement
    logs/BENCH/000001.toml          a log; .sig is its signature
    logs/BENCH/000001.statement-1.toml    a statement, with .sig
    logs/BENCH/000001.attached/     files that its entries name with their SHA-256
    marks/BENCH/000001.toml         the mark of its sealing, with .sig
    allowed_signers                 as in ssh-keygen(1), "ALLOWED SIGNERS"

A .sig file is as OpenSSH writes it (PROTOCOL.sshsig), over SHA-512, with the
namespace @log@, @statement@ or @mark@.
"""
