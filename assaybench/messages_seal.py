"""The sentences of seals, signatures and signers: part of the one table of messages.

Kept apart only because one file of all of them would be too long to read.
"""

SEAL: dict[str, str] = {
    # a signature
    "signature_begins": "the signature does not begin with its BEGIN line.",
    "signature_ends": "the signature does not end with its END line and a line feed.",
    "signature_size": "the signature is larger than any this program reads: {most} bytes.",
    "signature_base64": "the signature is not the one spelling of its bytes in base64.",
    "signature_blob": "the signature does not hold the parts of an SSH signature, in full.",
    "signature_version": "the signature is of version {n}; version 1 is known here.",
    "signature_namespace_empty": "the signature names no namespace.",
    "signature_reserved": "the signature holds something where version 1 has nothing.",
    "signature_hash": "the signature uses {x}; sha512 and sha256 are accepted.",
    "signature_algorithm": "the signature is made with {x}, which does not fit its key, {key}.",
    "signature_form": "the signature has not the form of one made with {key}.",
    "signature_namespace": "the signature is for {x}, not for {wanted}.",
    "signature_other": "the signature does not fit: the file or the signature was changed.",
    "signature_other_key": "it is made with another key.",
    # a public key
    "key_type": "this is not a type of key known here. Known are {choices}.",
    "key_blob": "the key does not hold the parts of a {x} key, in full.",
    "key_rsa_bits": "the RSA key has {n} bits; {least} to {most} are accepted.",
    "key_line": 'this is not a public key. It is one line, like "ssh-ed25519 AAAA…".',
    "key_base64": "the key is not the one spelling of its bytes in base64.",
    # a file of a key
    "key_exists": (
        "there is a key file {name} already; it stays. Name it: assaybench signers add FILE.pub"
    ),
    "key_file_none": "there is no key file {name}. Make one with: assaybench signers new",
    "key_file_lines": "{name} has {n} lines; a public key is one line.",
    "key_file_other": "{name} is not the file of a signing key, or it is broken.",
    "key_file_public": "{name} is a public key. Name it with .pub at the end, or give the key.",
    "key_file_format": (
        "{name} is a key in another format. OpenSSH's own is accepted: ssh-keygen -p -f FILE"
    ),
    "key_file_cipher": "{name} is shut with a cipher not known here. Use ssh-keygen -p -f FILE.",
    "key_rounds": "{name} asks for {n} rounds of key derivation; up to {most} are accepted.",
    "key_shared": "others on this computer may read {name}. Keep it: chmod 600 FILE",
    # a passphrase
    "passphrase_size": "the passphrase has {n} bytes; 1 to {most} are accepted.",
    "passphrase_missing": "{name} is shut with a passphrase, and none was given.",
    "passphrase_wrong": "{name} was not opened: a wrong passphrase, or the file is broken.",
    "passphrase_again": "Nothing was written. Type it again, or Esc to leave it.",
    "passphrase_none": "{name} has no passphrase in its first line, or more than {most} bytes.",
    "passphrase_no_terminal": (
        "a passphrase is asked for at a terminal, and this is none. Give --passphrase-file."
    ),
    "passphrase_signs": "the passphrase holds signs that this terminal does not pass on.",
    "passphrase_differs": "the two passphrases differ. Nothing was made.",
    "passphrase_ask": "Passphrase of the signing key:",
    "passphrase_ask_new": "New passphrase:",
    "passphrase_ask_again": "The same again:",
    # signing by the tool
    "tool_missing": "{name} is not on this computer. Install OpenSSH, or use a key file.",
    "tool_slow": "{name} gave no answer in {n} seconds: was the key touched?",
    "tool_refused": "the agent or the key did not sign: {why}.",
    "tool_silent": "it gave no reason",
    # the file of the signers
    # the signers of a logbook
    "signer_faulty": "{key}: {why}",
    "signer_other_key": "the register holds another key, {x}.",
    "signer_no_key": "the register never held its key.",
    "signer_unknown": "{x} is no signing key of this logbook. assaybench signers lists them.",
    "signer_retired": "{key} was retired on {since}. Make a new key: assaybench signers new",
    "signer_compromised": "{key} is not to be trusted since {since}. Make a new key.",
    "signer_since_to_come": "{x} is still to come.",
    "signer_register": "In a register, {why}",
    "signer_as_before": "Nothing new: the register said so before.",
    "signers_none": "No signing key is named here yet. Make one: assaybench signers new",
    "signers_differ": (
        "allowed_signers is not what the registers say.\n"
        "Any of new, add, retire or compromised writes it anew."
    ),
    "signers_file": "allowed_signers, {why}",
    "signers_line_lost": "Not in any register, so no longer in allowed_signers: {x}",
    "key_keep": (
        "Keep a copy of the key file, and the passphrase apart from it.\n"
        "Nobody can open the key without it. Give your fingerprint to clients."
    ),
    "key_new_pub": "{x} is the name of a public key; a new key goes into a file without .pub.",
    "key_not_named": "The key was made. Name it: assaybench signers add {name}",
    "since_needed": "Write from when on: --since 2026-06-09.",
    "since_unreadable": "{x} is not a day like 2026-06-09, or a time like 2026-06-09T14:00.",
    "option_unfit": "{x} does not go with {what}.",
    "signers_not_written": (
        "The register has it; allowed_signers is as before.\nGive the same command again."
    ),
    "signers_large": "the file of signers has more than {most} bytes; it is not read.",
    "signers_at_line": "line {n}: {why}",
    "signers_more": "and {n} more lines.",
    "signers_long": "more than {most} bytes.",
    "signers_utf8": "not UTF-8 text.",
    "signers_principal": "what is first is not one name: letters, digits and . _ @ - are accepted.",
    "signers_namespace": "what it may sign is not one namespace; patterns are not accepted.",
    "signers_option": "what stands there is not an option accepted here. Accepted are {choices}.",
    "signers_option_twice": "{x} is there twice.",
    "signers_time": "its time is not a time like 20260609120000Z.",
    # a seal
    "sealing_name_needed": '{by} has no printed name: --name "K. Berg", or people in the settings.',
    "sealing_role_needed": "Write what {by} does: --role assayer, or a person entry in the log.",
    "signer_added": "New to this logbook, now named as {name}: key {key}",
    "statement_unsigned": "{name} was begun and never signed.",
    "seal_held": ("{id} holds the seal: {why} Weigh again, or: assaybench {how}"),
    "review_bead_only": "a bead was weighed, no gold follows",
    "seal_practice": "{name} is practice; practice is never sealed.",
    "seal_half": (
        "The seal of {name} is not finished; done: {done}.\n"
        "Go on with the same key: assaybench seal {name}"
    ),
    "seal_unsure": (
        "{name} may be closed by its seal, or not.\n"
        "Type assaybench seal {name} again: it looks and goes on from there."
    ),
    "seal_other": "The register holds another digest of {name}: one of the two was changed.",
    "signature_gone": "{name} is sealed and its signature is not beside it. Nothing was signed.",
    "statement_key_sealed": (
        "{was} sealed {name} with this key; {now} needs another one.\n"
        "Make one: in the settings of the bench, or assaybench signers new."
    ),
    "statement_there": "this key said just this before: {name}.",
    "statement_half": (
        "{name} is not finished; done: {done}.\n"
        "Say the same again with the same key: countersign goes on from there."
    ),
    "statements_many": "{name} has {most} statements; no more are made.",
    "signature_early": "{name} stands beside a log that is not sealed. Look, then move it away.",
    "signature_stands": "{name} is no signature of {of}: {why} Look, then move it away.",
    "key_other": "{name} was begun with key {was}; this is {now}. Use the first.",
    "not_read_only": "{name} was not made read-only: {why}.",
    "mark_stands": "the register mark {name} does not fit: {why}",
    "mark_unfit": "the register has no such entry.",
    "log_no_right": "{name} is only read: {why}.",
    # a log that replaces another
    "replaces_second": "replaces is only ever the second entry; reissue makes it.",
    "replaces_none": "log and entry_kind name an entry of a replaced log; this one replaces none.",
    "old_log_missing": "{old}, which {name} replaces, is not beside it: nothing follows then.",
    "old_log_changed": "{old}, which {name} replaces, is not as it was when it was replaced.",
    "log_not_sealed": "{name} is not sealed: amend it where it stands, or seal it first.",
    "reissue_half": (
        "Number {name} is taken for the log that replaces {old}.\n"
        "Type it again to go on with this number: assaybench reissue {old}"
    ),
    "number_replaced": "log {n} is replaced already, by log {by}. Reissue that one.",
    "log_replaced": "Replaced by {by}: that one counts.",
    "log_replaces": "Replaces {old}, which stays as it is. Why: {why}",
    "signature_unfit": "the signature that was made does not hold, so it is not used: {why}",
}
