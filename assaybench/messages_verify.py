"""The sentences of verify and of bundles: part of the one table of messages.

Kept apart only because one file of all of them would be too long to read. Words: a signature holds
or does not fit; a log is as it was sealed or it is not.
"""

VERIFY: dict[str, str] = {
    # verdicts
    "verify_good": "Nothing is amiss: {n} {logs} looked at.",
    "verify_bad": "{bad} of {n} {logs} not as it should be; findings stand below.",
    "verify_bad_around": "The logs hold, and something around them does not; see below.",
    "verify_undone": "Nothing is amiss in what could be checked; not all of it could.",
    "verify_none": "There is no log here.",
    "verify_more": "And {n} more; --json lists the first thousand.",
    # what was asked for
    "verify_what": "{x} is neither a log's number nor a file or folder here.",
    "verify_no_logs": "{x} is a folder without logs.",
    "verify_not_a_log": "{x} is not a log. Give 000012.toml, or its folder.",
    "file_not_plain": "it is no ordinary file",
    # signatures of any file
    "signature_missing": (
        "{name} has no signature, a .sig, beside it.\n"
        "Its signer runs seal or countersign again; others look for it in a copy."
    ),
    "signature_not": "{name}: {why}\nCompare the file and its .sig with a copy.",
    "fingerprint_differs": (
        "{name} names another key than signed it: {said}….\n"
        "Signed by {own}…. Ask the signer which key is his."
    ),
    "signed_file_broken": "{name} is not as it was written: {why}\nLook for a copy.",
    # one log
    "log_gone": "{name} was there and is gone. Check again.",
    "verify_damaged": "{name} is not as it was written: {why}\nLook for a copy.",
    "verify_torn": (
        "{name}: the entry begun in line {line} is unfinished.\n"
        "As after a power cut: opening the log sets it aside."
    ),
    "verify_empty": "{name} holds no whole entry.\nLook for a copy, or make the number void.",
    "verify_other": (
        "{name} holds the log {other}: renamed, or exchanged.\n"
        "Find the file that {name} was; this one belongs elsewhere."
    ),
    "verify_practice": "{name} is practice, and practice is no part of a logbook.\nMove it out.",
    "verify_newer": (
        "A newer program wrote part of {name}; its links hold.\nUse that program to read all of it."
    ),
    "verify_not_signed": (
        "{name} ends with a seal and has no signature beside it.\n"
        "Its signer runs seal again; others look for {name}.sig in a copy."
    ),
    "verify_no_seal": (
        "{name} is signed and does not end with a seal.\nAsk the signer; do not rely on it."
    ),
    "verify_added_after": (
        "{name}: the signature covers the earlier state, {size} bytes.\n"
        "The {n} bytes behind it were added after the seal: do not rely on them."
    ),
    "verify_covers_earlier": (
        "{name}: the signature covers the earlier state.\n"
        "From line {line} on it is not as it was signed. Look for a copy."
    ),
    "verify_replaces": (
        "{name} replaces {other}, which is there as it was.\n"
        "The earlier signature covers that earlier state."
    ),
    "verify_older_gone": (
        "{name} replaces {other}, which is not there.\nLook for it in a copy of the logbook."
    ),
    "verify_older_differs": ("{name} replaces {other}, which has changed since.\nLook for a copy."),
    "verify_torn_gone": ("{name}: its torn end {x} is not there as it was.\nLook for a copy."),
    "verify_torn_unnamed": (
        "{x} is a torn end that {name} does not name yet.\nOpening the log names it."
    ),
    "verify_statement_other": "{name} is a statement about another file than {log} is now.",
    "verify_attached_alone": (
        "{name} has attachments, not looked at outside a logbook.\n"
        "Verify the logbook, or a bundle of it."
    ),
    # recomputing
    "verify_newer_results": (
        "Results of {name} are of a newer program: not worked out again.\nUse that program."
    ),
    "verify_no_results": "{name} is sealed and holds no results.\nAsk the signer.",
    "verify_not_worked_out": "{name}: no results follow from its entries: {why}\nAsk the signer.",
    "verify_differently": (
        "{name} recomputes differently than by method {version}: {n} of {of} figures.\n"
        "First: {figure}, sealed {was}, now {now}."
    ),
    "verify_not_again": (
        "{name} does not recompute: {n} of {of} figures. Ask the signer.\n"
        "First: {figure}, sealed {was}, now {now}."
    ),
    # keys
    "key_not_listed": (
        "{name} is signed by a key that nobody names: ask the signer. It is\n{key}."
    ),
    "key_not_then": ("{name}: on {day} its key was not named, or not for this:\n{key}."),
    "key_retired_before": (
        "{name} is signed with a key that was retired on {since}.\n"
        "Ask the signer, and compare a report."
    ),
    "key_compromised_before": (
        "{name} is signed with a key that others had since {since}.\nDo not rely on it."
    ),
    "key_compromised_after": (
        "Others had the key {key}\n"
        "since {since}. Only marks on reports from before show what is older."
    ),
    "verify_not_trusted": (
        "{name} is sealed by a key that you did not name.\n"
        "Compare its fingerprint with the signer's, then give --fingerprint."
    ),
    "statement_not_trusted": (
        "{name} is signed by a key that you did not name.\n"
        "Compare its fingerprint with the signer's, then give --fingerprint."
    ),
    "statement_same_key": ("{name}:\n{who} signed with the key that sealed the log."),
    # a log against its register
    "verify_gap_sealed": (
        "{name} was sealed and is not here.\n"
        "Restore its file, and what stands beside it, from a copy."
    ),
    "verify_gap": (
        "{name} was numbered and is not here.\nLook for it in a copy, or make its number void."
    ),
    "verify_unknown_number": (
        "{name} is not in the register.\nLook for a later copy of the register."
    ),
    "verify_not_registered": (
        "{name} is sealed and the register does not say so.\nIts signer runs seal {n} again."
    ),
    "verify_replaces_other": (
        "{name} says it replaces {old}; the register says {said}.\nAsk the signer."
    ),
    "verify_cut": (
        "{name} has {size} bytes, sealed with {was}: its end was cut off.\nLook for a copy."
    ),
    "verify_changed": (
        "{name} ({size} bytes) is not the file that was sealed ({was}).\nLook for a copy."
    ),
    "verify_statement_gone": "{log}: the register names {name}, which is not there.",
    "verify_statement_alone": "{name} is not in the register.\nAsk who signed it.",
    "verify_statement_changed": "{name} is not the file that the register names.\nLook for a copy.",
    # marks
    "verify_mark_gone": (
        "{name} is sealed and its register mark is not there.\n"
        "Its signer runs seal {n} again; others look for a copy."
    ),
    "verify_mark_none": "{name} has no register mark here: a register cannot be told by it.",
    "verify_mark_other": "The mark {name} is of another log: renamed, or put in its place.",
    "verify_mark_alone": "The mark {name} is of a log that is not sealed, or not there.",
    "verify_mark_copy": (
        "{name} is a second mark under another name.\n"
        "If it differs, two histories were sealed: compare both."
    ),
    "verify_mark_early": "A mark says {n} entries of {name}, before its log was sealed there.",
    "verify_register_cut": (
        "{name} has {there} entries; a signed mark counts {n}: its end was cut.\n"
        "Look for a copy of the register."
    ),
    "verify_register_other": (
        "{name} is not the history that a mark signed at entry {n}: forked.\n"
        "Compare copies of the register."
    ),
    "mark_unreadable": "{x} is not a mark. Write it as on a report: 640:ab12…, 16 hex digits.",
    "mark_holds": "The mark {x}… holds: {name} still holds what it did.",
    "mark_not_held": (
        "No register here holds the mark {x}….\n"
        "Logs were taken away or written anew since it was printed."
    ),
    "end_unseen": (
        "A register cut at its end, with its logs and marks, shows no trace here.\n"
        "Compare with a mark that was printed on a report: --mark."
    ),
    "compare_key": (
        "Only this logbook names its keys. Ask each signer for the fingerprint,\n"
        "then name that key: --fingerprint, --signers, or trusted in the settings."
    ),
    "compare_keys": (
        "Some keys only this logbook names. Ask their signers for the fingerprint,\n"
        "then name those too: --fingerprint, --signers, or trusted in the settings."
    ),
    # strangers, copies, forks
    "verify_lost": "{bench}: {name} is about a log that is not here.\nLook for the log in a copy.",
    "verify_more_strangers": "And {n} more files in {name} that are no part of a logbook.",
    "verify_stranger": "{name} is no part of a logbook.\nMove it out.",
    "verify_copy": "{name} is a copy of {log}, whole or in part.\nMove it out.",
    "verify_copy_changed": (
        "{name} is a copy of {log} that was changed behind entry {n}.\n"
        "The log itself is judged by its own line. Move the copy out."
    ),
    "verify_copy_alone": "{name} is a copy of {log}, which is not here.\nGive it its name back.",
    "verify_fork": (
        "{log} forked after entry {n}: {name} goes on in another way.\n"
        "Two people wrote it, or it was written anew. Compare both."
    ),
    "register_gone": "{bench} has logs and no register {name}.\nLook for it in a copy.",
    "bundle_only": (
        "A bundle without the register of {bench}: each log in it is checked.\n"
        "Whether there are other logs or statements cannot be told from it."
    ),
    # bundles
    "bundle_exists": "{x} is there already; a bundle takes a new folder: --out.",
    "bundle_not_sealed": "{name} is not sealed: nothing to check yet. Seal it first.",
    "bundle_not_good": "The bundle was not made. What is not good in it:",
    "bundle_printed": (
        "report.txt and HOW-TO-CHECK.txt are as printed anew from the log.\n"
        "No signature covers them."
    ),
    "bundle_altered": (
        "{name} is not what follows from the log, from line {line} on.\n"
        "No signature covers it: do not rely on it, print the report anew."
    ),
    "bundle_uncovered": (
        "No signature covers report.txt and HOW-TO-CHECK.txt; not compared:\n{why}"
    ),
    "bundle_no_results": "no results follow from the log.",
    "bundle_other_version": "another version of the program made the report.",
    "bundle_other_logs": "the report says something of other logs, which are not here.",
    "bundle_statement_key": "Exported all the same, the seal of the log being good: {why}",
    "bundle_how": (
        "Hand on the whole folder: HOW-TO-CHECK.txt in it says how to check it.\n"
        "Give the fingerprint of the key by another way."
    ),
    "bundle_needs": "Name a log: export --bundle 12.",
    # the logbook's own signers
    "signers_gone": "There is no allowed_signers here.\nLook for a copy.",
    "verify_signers": "allowed_signers is not as it was written: {why}",
    "signers_unnamed": (
        "allowed_signers names a key that no register names so.\n"
        "Ask who wrote it there; the command signers shows those of the registers."
    ),
    "signers_behind": (
        "allowed_signers is behind the registers, which count here.\nThe next seal writes it anew."
    ),
    "signers_spelled": "allowed_signers names the keys of the registers, in another spelling.",
}
