"""The sentences of the guided path: plain English for a first test, a part of the one table."""

GUIDED: dict[str, str] = {
    # the guided path
    "title_guided": "STEP BY STEP",
    "about_guided": (
        "One question after another, for two catches of gold from the same material.\n"
        "Each answer is stored at once."
    ),
    "about_guided_back": (
        "Typed wrong? Arrow up goes back to an answer. Esc leaves. To go on, open\n"
        "the test on the first page with Enter, then press e."
    ),
    "about_guided_safety": (
        "Mercury and lead fume harm before you feel it. Never heat gold that was\n"
        "worked with mercury in the open. Your local rules decide."
    ),
    "guided_welcome_1": "How much of the gold does your sluice, shaking table or pan catch?",
    "guided_welcome_2": (
        "Run a measured amount of material and keep the gold. Then run all that\n"
        "came out at the lower end once more, and keep that gold apart."
    ),
    "guided_welcome_3": (
        "Dry both catches. Take out all that is not gold, such as the heavy dark\n"
        "grains (black sand)."
    ),
    "guided_welcome_4": (
        "Then answer what the line at the foot asks, and press Enter: ten minutes.\n"
        "Any scale will do. You are told what it cannot show."
    ),
    "guided_safety": (
        "Gold worked with mercury: never heat it in the open.\nYour local rules decide."
    ),
    "guided_safety_heat": (
        "Acid and fume harm before you feel it: leave both to who is trained and\n"
        "allowed to. Your local rules decide."
    ),
    "guided_concentrate": "first",
    "guided_rerun": "second",
    "guided_parted": "parted",
    "guided_scale": "Smallest step your scale shows, g:",
    "guided_hint_scale": "If it goes 0.01, 0.02, 0.03, the step is 0.01.",
    "guided_step": (
        "{x} is no step of a scale. Type its number in g, such as 0.01.\n"
        "If it shows mg, put mg behind it, such as 1 mg."
    ),
    "guided_kind": "Silver taken out with acid? p: yes. Enter: no:",
    "guided_hint_kind": (
        "Gold from the ground holds some silver, until acid takes it out: then it\n"
        "is parted, type p. Else Enter; no silver may have been added to it."
    ),
    "guided_kind_which": "{x} is no answer here: type p for yes, or Enter alone for no.",
    "guided_fineness": "How unlike may both catches be in purity, % (Enter: 5):",
    "guided_hint_fineness": (
        "The purity itself does not matter here, if both catches have the same.\n"
        "5 is a guess (common practice, no source). Type more if unsure."
    ),
    "guided_feed": "Material you ran, kg (Enter: not weighed):",
    "guided_hint_feed": "All that went in at the top, dry. With t behind it, in tonnes.",
    "guided_mass": "{x} is no mass above zero. Type kilograms, such as 400; or tonnes: 2 t.",
    "guided_number": "{x} is not what a scale shows. Type the number alone, in {unit}.",
    "guided_zero_far": (
        "Empty, it shows {x}: take everything off, press its zero key (tare),\n"
        "and type what it shows now."
    ),
    "guided_anew": "{what}, now {now}. Right is (Enter: as it is):",
    "guided_hint_anew": "Type it anew. What stood there stays in the log, struck.",
    "guided_anew_reason": "typed wrong, typed anew at the question",
    "guided_no_earlier": "No answer stands before this one.",
    "guided_zero": "Scale empty. What does it show? (Enter: skip):",
    "guided_hint_zero": "Wait until it is still. Type all that it shows, such as 0.00.",
    "guided_catch": "Gold of the {which} run on the scale, {unit}:",
    "guided_hint_catch": "Type all that the scale shows, such as 0.49 or 0.50.",
    "guided_again": "Off and on again, {which} catch. Now? (Enter: skip):",
    "guided_hint_again": "Weighing twice shows whether the scale says the same again.",
    "guided_look_again": "Please look again. Type what you see now:",
    "promise_guided": "Enter shows the same with lines and figures.",
    "guided_elsewhere": "The gold was typed on the page before; this page asks no more.",
    "guided_so_far": "Stored so far",
    "guided_list_scale": "step of the scale",
    "guided_list_feed": "material you ran",
    "guided_list_zero": "scale empty",
    "guided_none": "Nothing can be worked out from this yet.",
    "guided_caught": "You caught {a} in the first run, and {b} in the second.",
    "guided_unfelt": "less than the scale can feel",
    "guided_most": (
        "The first run caught at most {x} parts in 100 of the gold. It may be much\n"
        "less: gold that both runs let go is in neither catch."
    ),
    "guided_alike": (
        "If the second run catches as well as the first, then the first caught\n"
        "{x} parts in 100. If the second is worse, which is common, even less."
    ),
    "guided_between": (
        "So: {lo} to {hi} parts in 100, with what {why} may be off,\n"
        "if the second run is no worse than the first."
    ),
    "guided_why_scale": "the scale",
    "guided_why_both": "scale and purity",
    "guided_too_coarse": (
        "This scale cannot show it: from {lo} to {hi} parts in 100 are possible,\n"
        "even if the second run is no worse. The figures below are rough."
    ),
    "guided_apart": (
        "The scale showed two things for the {name}: {shown}.\n"
        "Typed wrong? Up goes back to it. Else find a scale that says the same again."
    ),
    "guided_first_unseen": (
        "Your scale cannot feel the {name}: nothing follows from it. Use a\n"
        "finer scale, or run more material. It does not mean that no gold is there."
    ),
    "guided_not_alike": (
        "The second run may have caught as much as the first. So the first may\n"
        "let go most of the gold; how much cannot be said from two catches."
    ),
    "guided_second_unseen": (
        "The scale cannot feel the second catch. Of both catches the first has\n"
        "{x} parts in 100 or more. That is no proof that little was lost."
    ),
    "guided_next": (
        "To know more: have a laboratory measure the gold in several samples of\n"
        "what came out after the second run, mixed well (an assay)."
    ),
    "guided_next_finer": (
        "To know: use a finer scale, run more material, or have a laboratory\n"
        "measure the gold in samples of what came out last, mixed well (an assay)."
    ),
    "guided_scale_step": "Your scale goes in steps of {step}.",
    "guided_scale_unseen": "Gold of less than {x} may lie on it unseen.",
    "guided_scale_none": "The {name}: your scale cannot tell it from nothing.",
    "guided_scale_catch": "The {name} is {steps} of its steps: {lo} to {hi}.",
    "guided_scale_spread": (
        "How well it repeats, and which grains a run happens to catch, is not in it."
    ),
    "guided_scale_grains": "Which grains a run happens to catch is not in it.",
}
