"""The sentences of the logbook and settings pages: part of the one table of messages."""

BOOKS: dict[str, str] = {
    # the contents
    "contents_logbook_counts": "logbook: {counts}",
    "contents_counts_sealed": "{n} sealed",
    "contents_counts_void": "{n} void",
    "contents_counts_open": "{n} open",
    "contents_checked": "checked {day}",
    "contents_checked_bad": "not good {day}",
    # the list
    "title_logbook": "THE LOGBOOK",
    "logbook_number": "number",
    "logbook_opened": "opened",
    "logbook_state": "state",
    "logbook_title": "title",
    "logbook_kind": "log",
    "logbook_shown": "{first} to {last} of {total}, newest first",
    "logbook_shown_early": "{first} to {last}, newest first; the others are being read",
    "logbook_shown_filter": "{first} to {last} of {total} that you asked for, newest first",
    "logbook_reading": "The logbook is being read.",
    "logbook_reading_register": (
        "The register of {bench} is being read: {share} in 100.\n"
        "Which numbers are void or missing follows."
    ),
    "logbook_reading_n": (
        "Read for the list, once: {n} of {of} logs.\nNewest first; go on meanwhile."
    ),
    "logbook_none": "There is no log yet.",
    "logbook_none_filter": (
        "No log is as you asked. A bare word is looked for in titles:\n"
        "write sample KV-016 for a sample. Key f and Enter alone show all."
    ),
    "logbook_filter": "Shown: {x}.",
    "logbook_more_findings": "{n} more to look at. Key v tells them all.",
    "logbook_row": "{name}: {log}{by}.",
    "logbook_by": ", {by}",
    "logbook_samples": "Samples: {n}.",
    "logbook_sealed": "Sealed {day}.",
    "logbook_void": "Void: {why}",
    "logbook_replaces": "Replaces {old}.",
    "about_logbook": (
        "All logs by their numbers, newest first. Left and right turn the page.\n"
        "Gaps, copies and registers that grew apart are told in the margin."
    ),
    "promise_log": "Enter opens {name}, to be read.",
    "promise_log_open": "Enter goes on with {name}.",
    "promise_no_log": "No log to open here. Esc goes back.",
    "ask_filter": "Show only:",
    "ask_filter_hint": (
        "A state (sealed), run or circuit, a day (2026-06-09), words of a title;\n"
        "sample KV-016, since DAY, until DAY, bench NAME. Enter alone: all."
    ),
    "filter_twice": "{x} is asked for twice. Write it once.",
    "filter_needs": "{x} needs a word behind it.",
    # one log
    "log_is": "{log}, {title}",
    "log_opened": "opened {day} by {by}",
    "log_holds": "entries: {n}, samples: {samples}",
    "log_sealed_by": "sealed {day} by {name}, {role}: {meaning}",
    "log_key": "signing key {key}",
    "log_statements": "signed statements beside it: {n}",
    "log_torn_ends": "unfinished ends kept aside: {n}",
    "log_results": "results",
    "log_entries": "all entries, in order",
    "log_verify": "verify it",
    "log_report": "write its report to a file",
    "log_bundle": "a bundle that a client can check",
    "log_countersign": "countersign it",
    "log_reissue": "reissue: a new log that replaces it",
    "log_void": "make its number void",
    "log_seal_on": "go on with its seal",
    "promise_log_seal_on": "Enter opens the seal of {name}, to go on with it.",
    "log_half_margin": "Its seal was broken off. The same key goes on with it; nothing is lost.",
    "promise_log_results": "Enter shows the results of {name}.",
    "promise_log_entries": "Enter shows every entry of {name}.",
    "promise_log_verify": "Enter verifies {name}.",
    "promise_log_report": "Enter writes the report of {name} to a new file.",
    "promise_log_bundle": "Enter asks where the bundle of {name} goes.",
    "promise_log_countersign": "Enter opens a statement about {name}.",
    "promise_log_reissue": "Enter asks why {name} is replaced.",
    "promise_log_void": "Enter asks why {name} is void.",
    "log_reissue_hint": "{name} stays sealed as it is. Reports on the new log print your reason.",
    "log_void_hint": "The number {name} stays taken and its log stays. It takes no more entries.",
    "log_reissued": "{new} replaces {old}. It is open: amend it, then seal it.",
    "log_voided": "{name} is void. It stays in the logbook, with your reason.",
    "log_only_read": "this log is only read here. Enter in the list of logs goes on with it.",
    "log_other_bench": "A log of bench {bench}: it is sealed, signed and replaced there.",
    "log_working": "It is being made.",
    "log_sealed_margin": "Sealed: nothing in it changes. Who was present can countersign it.",
    "about_log": "One log: what is known of it, and what can be done with it.",
    "ask_bundle": "Folder (Enter: usual):",
    "ask_bundle_hint": "A new folder, such as one on a stick. Enter alone makes\n{folder}",
    "bundle_made": "{n} files in {path}",
    "written_to": "Written to {path}",
    "promise_working": "It is being made; the page says when it is there.",
    # entries
    "title_entries": "ALL ENTRIES",
    "entries_lines": "{first} to {last} of {total}",
    "entries_margin": "{n} entries, as they were made. What was amended stands struck.",
    "about_entries": "Every entry of the log, in order: number, time, initials, kind, values.",
    "promise_entries": "Enter turns the page.",
    "promise_entries_end": "This is the end. Enter begins again, Esc goes back.",
    # verify
    "title_verify": "VERIFY",
    "verify_all": "the whole logbook",
    "verify_of": "Verify: {what}",
    "verify_done": "logs looked at",
    "verify_goes_on": "Links, signatures, register, marks and figures are looked at.",
    "verify_not_good": "not good",
    "about_verify": (
        "Whether the logs are as they were signed, and figures come out again.\n"
        "Nothing is changed. Compare the fingerprints by another way."
    ),
    "promise_verifying": "Esc gives it up; nothing in the logbook was changed.",
    # countersign
    "title_countersign": "COUNTERSIGN",
    "about_countersign": (
        "A statement of your own about a sealed log, signed with your own key.\n"
        "The log stays as it is; the statement stands beside it."
    ),
    "countersign_about": "A statement about {name}",
    "countersign_own_key": "Your own key signs: {path}",
    "countersign_sealing_key": (
        "This key sealed the log, for {who}.\n"
        "Somebody else takes a key of his own first: key o, signing keys."
    ),
    "countersign_no_key": "There is no signing key. Make one, or name yours, in the settings (o).",
    "countersign_working": "It is being signed.",
    "countersign_keep": "Key p writes this to a file.",
    "countersigned": "Signed",
    "countersign_nothing": "nothing more",
    "countersign_name_hint": "Your printed name, as reports show it.",
    "countersign_role_hint": "What you do here, such as assayer, partner, auditor.",
    "countersign_meaning_hint": "What your signature stands for: {choices}.",
    "countersign_text_hint": "What you looked at and found, in a line. Then comes the passphrase.",
    "ask_countersign_name": "Printed name{offer}:",
    "ask_countersign_role": "Role{offer}:",
    "ask_countersign_meaning": "Meaning{offer}:",
    "ask_countersign_text": "What was found{offer}:",
    "promise_countersign": "Enter asks who signs about {name}, then for the passphrase.",
    "promise_back": "Enter goes back.",
    # passphrases
    "ask_passphrase_of": "Of {name}. Each sign shows as a point; it is kept nowhere.",
    "ask_passphrase_new_hint": "Up to {most} signs, typed twice. Nobody can get it back for you.",
    # settings
    "promise_setting_table": "Enter opens {name}, line by line.",
    "settings_signing": "signing keys",
    "settings_practice": "a practice run, never sealed",
    "promise_settings_signing": "Enter opens the signing keys.",
    "promise_settings_practice": "Enter begins a practice run.",
    "about_settings_signing": "Make a signing key, use your own, see who signs here.",
    "about_settings_practice": "Practice is marked on every line, has no number, is never sealed.",
    "title_table": "SETTINGS: {name}",
    "about_table": "Each change is stored at once. Key a adds a line, d takes one out.",
    "table_empty": "No line yet. Key a adds one.",
    "table_dropped": "{x} is taken out.",
    "promise_table": "Enter changes {x}.",
    "promise_table_list": "Enter adds a line.",
    "promise_table_add": "Key a adds the first line.",
    "ask_new_people": "Initials:",
    "ask_new_keys": "Action, by its id such as look:",
    "ask_new_trusted": "Fingerprint, SHA256:",
    "ask_value_people": "Printed name of {x}:",
    "ask_value_keys": "Key for {x}:",
    # signing keys
    "title_signers": "SIGNING KEYS",
    "about_signers": (
        "Your key signs seals and statements. Its file is shut with a passphrase.\n"
        "Give its fingerprint to those who check, by another way."
    ),
    "signers_own": "Your signing key",
    "signers_named": "Keys that this logbook names",
    "signers_nobody": "none yet",
    "signers_make": "make a signing key",
    "signers_use": "use another key file",
    "signers_name": "name your key in this logbook",
    "promise_signers_make": "Enter asks for a name, then twice for a passphrase.",
    "promise_signers_use": "Enter asks for the file of your key.",
    "promise_signers_name": "Enter names your key in the register.",
    "signers_making": "The key is being made.",
    "signers_made": "Made and named: {path}",
    "signers_used": "This key signs now: {path}",
    "signers_is_named": "Your key is named in the register.",
    "signers_not_named": "Your key is not named in this logbook yet. A seal names it too.",
    "signers_hidden": "{n} more keys below.",
    "signers_own_ended": (
        "Your own key signs here no more.\nMake another one, or use another key file."
    ),
    "promise_signers_key": "Enter asks what became of the key of {who}.",
    "promise_signers_ended": "Enter asks whether others may have used this key.",
    "key_word_retire": "r",
    "key_word_compromised": "c",
    "ask_ending": "{who}: r retire, c compromised:",
    "ask_ending_hint": (
        "r: it signs no more from now on; what it signed holds.\n"
        "c: others may have used it since some day. Neither is taken back."
    ),
    "ask_retire_reason": "Why is it retired? (may be empty)",
    "ask_retire_hint": "A word why, for the register: left the laboratory.",
    "ask_since": "Since when?",
    "ask_since_hint": (
        "The first day others may have used it: 2026-06-09, or 2026-06-09T14:00.\n"
        "What it signed from then on is not to be trusted."
    ),
    "ask_given_up_reason": "Why is it given up?",
    "ask_given_up_hint": "A reason is needed, for the register: the stick was stolen.",
    "ask_confirm_key": "Last {n} signs of the key:",
    "ask_confirm_key_hint": "It cannot be taken back. Type the end of this fingerprint:",
    "confirm_key_not": "{x} is not its last {n} signs. Nothing is stored.",
    "signers_ended": "Stored in the register, and allowed_signers is written anew.",
    "ask_new_key_file": "File for the key ({x}):",
    "ask_new_key_file_hint": (
        "There is a key file already; it stays. Enter takes the name offered.\n"
        "Or type another file."
    ),
    "signers_compare": "Whoever can write here can name himself. Compare fingerprints elsewhere.",
    "signers_retired": "{who}, retired {day}",
    "signers_compromised": "{who}, not to be trusted since {day}",
    "ask_printed_name": "Printed name{offer}:",
    "ask_printed_name_hint": "As seals and reports show it: K. Berg.",
    "ask_key_file": "Key file (Enter: usual):",
    "ask_key_file_hint": "Your own OpenSSH key file, or a .pub of one in an agent or a token.",
    # nobody there
    "title_idle": "NOBODY HERE",
    "idle_hidden": "Names are hidden. This is no lock.",
    "idle_goes_on": "Timers go on; everything stored is stored.",
    "idle_working": "The work begun goes on.",
    "promise_idle": "Any key comes back to where you were.",
}
