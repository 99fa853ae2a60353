"""The sentences of the self-test: part of the one table of messages."""

SELFTEST: dict[str, str] = {
    "selftest_agree": "All {n} answers of {cases} published cases agree on this machine.",
    "selftest_differ": (
        "{bad} of {cases} published cases do not agree on this machine; see below.\n"
        "Trust no figure before you know why. Install the program afresh."
    ),
    "selftest_answer": "{x}, {answer}: found {found}, printed {printed}",
    "selftest_fault": "{x}: not worked out, {why}",
    "selftest_evidence": (
        "Evidence for your own validation: that formulas and libraries agree.\n"
        "It sees no balance, no furnace and no reading."
    ),
    "selftest_memory": "The printed answers of {n} cases are quoted from memory.",
    "selftest_title": "Self-test of {program}",
    "selftest_log": "The log {name} was made for the record. Try selftest --record {name}.",
    "selftest_note": (
        "Self-test of {program}, method {method}: {agree} of {cases} cases agree,\n"
        "worst relative difference {worst}; {python}, {platform}."
    ),
}
