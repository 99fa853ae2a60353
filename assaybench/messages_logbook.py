"""The sentences of the record and the logbook: part of the one table of messages.

Kept apart only because one file of all of them would be too long to read.
"""

LOGBOOK: dict[str, str] = {
    # the frame: what a whole file is
    "frame_sound": "{n} entries, every link holds.",
    "frame_torn": (
        "{n} entries, every link holds; an entry begun in line {line} is unfinished ({size} bytes)."
    ),
    "frame_damaged": "line {line}, byte {byte}: {why}",
    # the frame: why a line is bad
    "frame_entry": "entry {entry} must begin with [[entry]] here.",
    "frame_n": "this must be n = {entry}; entries are missing, doubled or in another order.",
    "frame_order": "this key cannot stand here in entry {entry}.",
    "frame_head": "entry {entry} begins with n, at, by and kind, each of its own form.",
    "frame_key": "a key with small letters, then ' = ' and a value, is accepted here.",
    "frame_key_twice": "this key is there twice in entry {entry}.",
    "frame_keys_many": "an entry has too many keys; at most 60 are accepted.",
    "frame_dotted": "a dotted key; a log has none.",
    "frame_value": "not a value of a log: text in quotes, a whole number, a time, true or false.",
    "frame_many_lines": "text over many lines; a log has it on one line.",
    "frame_sign": "a sign that a log never holds (control or text direction), or no closing quote.",
    "frame_escape": 'an escape other than \\" and \\\\; a log holds signs as they are.',
    "frame_nfc": "text not in Unicode form NFC; the program writes it so.",
    "frame_whole": "not a whole number in its plain spelling, at most 18 digits.",
    "frame_float": "a number with a point; a log holds such figures as text in quotes.",
    "frame_time": "not a time like 2026-06-09T14:31:00.000+02:00.",
    "frame_array": "not a list of a log: texts or inline tables, parted by a comma and a blank.",
    "frame_table": 'not an inline table of a log, like {{ id = "A", value = "1.2" }}.',
    "frame_more": "more on the line than one value.",
    "frame_ends": "the line ends within its key or value.",
    "frame_link": (
        "the link does not fit: entry {entry}, from line {first} on, is not as it was written."
    ),
    "frame_blank": "one empty line must follow the link.",
    "frame_blank_line": "an empty line within entry {entry}.",
    "frame_bom": "a byte order mark; a log has none.",
    "frame_crlf": "the line ends in CR LF; a log has LF alone. Did a program rewrite the file?",
    "frame_comment": "a comment; a log has none.",
    "frame_brackets": "a bracketed line within entry {entry}; a log has [[entry]] alone.",
    "frame_utf8": "not UTF-8 text.",
    "frame_line_long": "a line of more than 8000 bytes.",
    "frame_large": "the file is larger than a log may be.",
    "frame_cut": "the file ends within entry {entry}.",
    # the frame: what cannot be written
    "frame_too_long": "{x} makes a line of {n} bytes; at most {most} are accepted.",
    # entries against those before them
    "kind_unknown": "{x} is not a kind of entry here. Kinds are {choices}.",
    "entry_first": "the first entry must be {first}.",
    "entry_not_first": "{first} is only ever the first entry.",
    "entry_unknown": "{x} is not an entry before this one; there are {most}.",
    "entry_stays": "entry {n} is {kind}; it is neither changed nor withdrawn.",
    "amendment_empty": "nothing is given anew. Give one of {choices}.",
    "log_sealed": "the log is sealed and takes no entries. Reissue it, or add a statement.",
    "value_sha512": "{x} is not a SHA-512 digest: 128 hex digits.",
    # the register
    "number_taken": "number {n} is taken.",
    "number_not_allotted": "number {n} was never allotted.",
    "number_void": "number {n} is void: {why}",
    "number_sealed": "log {n} is sealed.",
    "number_not_sealed": "log {n} is not sealed.",
    "number_allotted": "Number {name} is taken. If it has no log: go on with it, or make it void.",
    "register_of": "{name} is the register of {bench}.",
    "register_behind": (
        "there is a log {n} that the register of {bench} does not know: an old copy?"
        " No number was taken."
    ),
    "register_torn": "{name}: {why}",
    "register_damaged": "{name}: {why}",
    "register_fault": "{name}: {why}",
    "register_stranger": "{name} is a register of {bench} under another name.",
    "register_copy": "{a} is an older copy of the register of {bench}: {b} goes on after {n}.",
    "forked_registers": "The register of {bench} forked after {n}: {a} and {b} differ from there.",
    "forked_inside": "{name} forked after {n}: it holds two histories from there.",
    "number_without_log": "{bench}: number {n} was allotted and its log is not there.",
    "log_without_number": "{bench}: there is a log {n} that the register does not know.",
    "bench_name": (
        "{x} is not a name for a bench: 1 to 12 capital letters, digits or hyphens, a letter first."
    ),
    "log_name": "{x} is not a log. Write its number, 12, or with its bench, MAIN-12.",
    # what the disk did
    "log_busy": "{name} is being written by {by} (process {pid} on {host}) since {since}.",
    "log_busy_unnamed": "{name} is being written by another program.",
    "lock_failed": "{name} cannot be locked: {why}. Nothing was changed.",
    "lock_no_right": "you have no right to do this here",
    "lock_unknown_here": "this disk has no locks",
    "not_read": "{name} cannot be read: {why}.",
    "file_gone": "there is no such file or folder",
    "file_not_made": "{name} was not made: {why}.",
    "file_not_changed": "{name} was not changed: {why}.",
    "file_unconfirmed": "{name} is there, but the disk did not confirm it: {why}. Look again.",
    "file_half": "{name} is there in part: {why}. Open it again before going on.",
    "not_stored": "Not stored: {why}. {name} holds what it held before.",
    "not_confirmed": "Not confirmed: {why}. It may stand in {name}: look before typing it again.",
    "log_full": "Not stored: {name} would pass {most} bytes. Open a new log.",
    "log_changed": "{name} was changed by another program. Nothing was written; open it again.",
    "log_closed": "{name} is closed.",
    "log_closed_disk": "{name} takes no more: the disk failed. Open it again to check it.",
    "log_closed_unsure": "{name} takes no more: its end is not sure. Open it again to check it.",
    "log_damaged": "{name} is damaged and only read: {why}",
    "torn_too_many": "{name} has {most} torn ends kept beside it. Nothing was changed.",
    "torn_not_kept": "The torn end of {name} was not moved aside, so nothing was changed:",
    "torn_not_cut": "The torn end of {name} is kept beside it but was not cut off: {why}.",
    # settings
    "setting_unknown": "{x} is not a setting. Settings are {choices}.",
    "setting_bad": "setting {x}: {why} The default is used.",
    "setting_plan": '{x} is not rows x columns, like "4 x 6".',
    "setting_table": "{x} is not a table of texts.",
    "setting_fingerprint": "{x} is not a fingerprint, SHA256: and 43 signs.",
    "settings_defaults": "The settings were not read, defaults are used: {why}",
    "settings_large": "more than {most} bytes.",
    "settings_line": "line {line} has more than {most} bytes.",
    "settings_unreadable": "{name} could not be read, so it is not overwritten. Mend it first.",
}
