"""The sentences of the tray and the balance pages: part of the one table of messages."""

TRAY: dict[str, str] = {
    # the desk and the log
    "bench_no_initials": "Nobody said who weighs. Type initials first (key k).",
    "bench_practice_title": "PRACTICE run",
    "bench_practice_line": "PRACTICE: {line}",
    "bench_practice_mark": "PRACTICE",
    # where a run was left, for the contents
    "bench_left_empty": "no sample yet",
    "bench_left_weigh_in": "weigh-in, {place}",
    "bench_left_charge": "charge, {place}",
    "bench_left_fire": "fire, {place}",
    "bench_left_beads": "cupel {place}",
    "bench_left_parting": "cup {place}",
    "bench_left_results": "results",
    # the tray
    "title_tray": "THE TRAY",
    "title_cups": "THE PARTING CUPS",
    "tray_notch": "notch",
    "tray_back": "back of the muffle",
    "tray_door": "door",
    "cups_back": "back of the hood",
    "cups_door": "front",
    "tray_next": "next",
    "tray_free": "free",
    "tray_long": "long",
    "tray_whole": "the whole tray",
    "tray_row": "row {row}",
    "bench_known": "known",
    "bench_as": "as {place}",
    "bench_no_charge": "none",
    "bench_lost": "lost",
    "tray_upper_weigh_in": "charge",
    "tray_upper_charge": "silver added, mg",
    "tray_upper_fire": "minute it opened",
    "tray_upper_beads": "bead, mg",
    "tray_upper_parting": "gold, mg",
    "tray_caption": "Upper line: {upper}. Lower line: sample.",
    "tray_caption_prefix": "Upper line: {upper}. Lower line: sample {prefix}.",
    "bench_count_weigh_done": "{n} weighed",
    "bench_count_weigh_left": "{n} to weigh",
    "bench_count_charge_done": "{n} noted",
    "bench_count_charge_left": "{n} to note",
    "bench_count_out_done": "{n} out",
    "bench_count_out_left": "{n} to go in",
    "bench_count_frozen": "{n} frozen",
    "bench_count_fire": "{n} in the fire",
    "bench_count_lost": "{n} lost",
    "about_tray": (
        "The plan of the muffle, or of the parting cups. Digits choose the step.\n"
        "Left of a row is its letter, above the letters the notch: row and tray."
    ),
    # its margin
    "tray_margin_next": "Next: {place}, {sample}.",
    "tray_margin_none": "Nothing waits at this step. Key {n}: {step}.",
    "bench_sealed": "Sealed: the log takes no entries.",
    "bench_void": (
        "Number {n} was made void ({why}).\nWhat was stored stays; what is typed now is not stored."
    ),
    "promise_closed": "Nothing is stored here any more. Key 6: results; key 7: the seal.",
    "promise_closed_back": "Nothing is stored here any more. Esc goes back.",
    "tray_no_balance": "No balance here weighs {what}. Key b: describe one.",
    "tray_resumed": "The work goes on here, {gap}. Everything before it is stored.",
    "tray_of": "{place}, {sample}: {told}.",
    "tray_of_none": "{place}: {sample}.",
    "tray_no_sample": "Nobody lives here.",
    "tray_no_charge": "A blank, a proof, slag or a cupel has no sample to weigh in.",
    "tray_no_page": "The page of this step, {step}, is not here yet. The command shows it.",
    "margin_blank_holds": "{place}, the blank, holds a little metal.",
    "margin_tray_not_detected": "{place}: not detected, {m} {unit}. Not zero.",
    "margin_tray_detected_rough": "{place} is rough: {m} {unit}, {div} divisions.",
    "margin_tray_readings_disagree": "{place}: its readings disagree. Weigh it again.",
    "margin_tray_below_zero": "{place}: far below zero. Zero the balance, weigh again.",
    "margin_bead_heavier": "{place} outweighs its sample.",
    "margin_gold_heavier": "{place}: its gold is heavier than its bead. Weigh one again.",
    "margin_not_parted": "{place} did not part: inquart and part it again.",
    "margin_look": "{place} looked {look}.",
    "margin_repeats_of": "{place} repeats {of}.",
    "margin_lost": "{place} lost: {why}.",
    "margin_lost_by": "{place} lost: {why}. {by}, {t}.",
    # what Enter does on the tray
    "promise_safety": "Enter says that you have read the safety line in the margin.",
    "promise_write": "Enter writes a sample down for {place}.",
    "promise_weigh": "Enter goes to the balance with {place}.",
    "promise_no_charge": "Nothing is weighed in for {place}. Arrows move on.",
    "promise_nobody": "Nobody lives in {place}. Step 1, weigh-in, writes samples down.",
    "tray_columns": "In sight: places {first} to {last} of {of}.",
    "tray_rows": "In sight: rows {first} to {last} of {of}.",
    "promise_lost": "{place} is lost. Arrows move on.",
    "promise_charge": "Enter asks for the charge of {place}: silver, lead, lots.",
    "promise_same": "Enter gives {place} the same: {charge}.",
    "promise_mark_in": "Enter marks {place} in the fire, now.",
    "promise_mark_drives": "Enter marks that {place} drives (opens), now.",
    "promise_mark_out": "Enter marks {place} out of the fire, now.",
    "promise_mark_frozen": "{place}: {n} frozen. Key d when it drives again, o when it is out.",
    "promise_mark_none": "All of {place} is out. Step 4 weighs the beads.",
    "stored_mark_in": "{place}: in, {n} marked.",
    "stored_mark_drives": "{place}: drives, {n} marked.",
    "stored_mark_blick": "{place}: blick, {n} marked.",
    "stored_mark_out": "{place}: out, {n} marked.",
    "stored_mark_frozen": "{place}: frozen, {n} marked. It can often be saved with more heat.",
    "stored_mark_none": "{place}: nothing to mark.",
    "stored_charge": "{place}: {charge}. Stored.",
    "stored_sample": "{sample} is written down.",
    "stored_move": "{sample} stands in {place} now.",
    "stored_print": "Printed to {path}",
    "ask_find": "Go to which sample or place:",
    "ask_find_hint": "Type or scan an id, its last signs, or a place such as B6.",
    "ask_move": "New place of {sample}:",
    "code_not_known": "No sample of this code: {x}. Nothing was done.",
    "code_not_wanted": "No code is asked for here. What came did nothing.",
    "sample_not_found": "{x} is no sample and no place of this tray.",
    "place_unknown": "{x} is no place. Write it like B6.",
    "place_outside": "{place} lies outside this plan of {size} places.",
    "place_taken": "{place} is the place of {sample}. Move that one first.",
    # the timer
    "timer_minutes": "Write whole minutes, 1 to {most}.",
    "timer_running": "In the fire for {gone} min.",
    "timer_running_of": "In the fire for {gone} of {wanted} min.",
    "timer_due": "TIME: {gone} min in the fire; {wanted} were asked for. Look at the cupels.",
    "timer_off": "Key m sets after how many minutes the bell rings.",
    "timer_set": "The bell rings {wanted} min after the first cupel is in.",
    "ask_minutes": "Minutes in the fire until the bell:",
    "ask_minutes_hint": "Whole minutes, such as 25. The timer never stops you.",
    "stored_minutes": "The bell rings after {n} min.",
    # weigh-in
    "ask_sample": "Sample for {place}:",
    "ask_sample_hint": "Type or scan its id. A repeat or a duplicate has an id of its own.",
    "sample_there": "{x} is in this run already, in {place}. Give this one another id.",
    "ask_role": "{id} is a (Enter: sample):",
    "ask_role_hint": (
        "s sample, b blank, p proof, d duplicate, r repeat, k known (reference),\n"
        "m metallics, or another part of a sample."
    ),
    "role_unknown": "{x} is no role. The letters of the roles:",
    "ask_of_duplicate": "{id} is a duplicate of:",
    "ask_of_repeat": "{id} repeats:",
    "ask_of_hint": "Its id, or its place such as A2.",
    "ask_from": "Taken from (p pulp, r reject, f field):",
    "ask_from_hint": "A duplicate proves little unless it says from where it was taken.",
    "ask_gold_known": "Gold in the proof, mg:",
    "ask_gold_known_hint": "The mass of known gold, as weighed: 1.000 or 1.000 ± 0.002 mg.",
    "ask_silver_known": "Silver in the proof, mg (Enter: none):",
    "ask_silver_known_hint": (
        "All silver in it, with what is added at the charge:\n"
        "so the silver loss of this fire shows."
    ),
    "ask_value": "Its value, such as 3.2 ± 0.2 g/t (Enter: not known):",
    "ask_value_hint": "The value on its certificate. Write the unit.",
    # charge
    "charge_silver": "silver {x}",
    "charge_lead": "lead {x}",
    "charge_lots": "lots {x}",
    "charge_wrapped": "wrapped: {x}",
    "charge_reason": "charge made up",
    "ask_offered": "(Enter: {x})",
    "ask_silver": "Silver added to {place}, mg{offer}:",
    "ask_silver_hint": "A mass, or n for none added, or u for unknown. None is an answer.",
    "ask_lead": "Lead or foil of {place}, g{offer}:",
    "ask_lead_hint": "Lead that is reduced, or foil that wraps. A - when there is none to note.",
    "ask_lots": "Reagent lots of {place}{offer}:",
    "ask_lots_hint": "Their numbers with blanks between. A - when there is none to note.",
    "ask_material": "Lot {lot} is of:",
    "ask_material_hint": "One of: {list}. First letters will do.",
    "ask_wrapping": "Wrapping of {place}{offer}:",
    "ask_wrapping_hint": "Such as lead foil, cloth, paper. Enter alone, or -, for none.",
    # lost, notes
    "ask_lost": "{place} is lost. Why:",
    "ask_lost_hint": "A word or two: spit, spill, cracked cupel. It stays in the log.",
    "ask_lost_why": "Lost needs a word why.",
    "ask_repeat": "Id of a repeat of {place} (Enter: none):",
    "ask_repeat_hint": "The repeat is linked to the sample and has a place of its own.",
    "stored_repeat": "{id} repeats {place}. Weigh it in at step 1.",
    "ask_note": "Note on {place}:",
    "ask_note_empty": "A note needs a word.",
    "stored_note": "The note is stored.",
    # looks
    "title_looks": "HOW THE BEAD LOOKS",
    "title_parted": "HOW IT PARTED",
    "about_looks": "Choose what was seen. The margin says what it usually means; no rule.",
    "looks_no_code": "{x} chooses no word. Store one, or Esc; scan the code on the tray.",
    "looks_of": "{place}, {sample}",
    "looks_stored": "stored",
    "looks_parting_steps": "Then: the acids and minutes, when you want to note them.",
    "promise_look": "Enter stores {word} for {place}.",
    "promise_parted": "Enter asks for acids and minutes, then stores {word} for {place}.",
    "ask_parting_steps": "Acids and minutes (Enter: not noted):",
    "ask_parting_hint": "Such as: 1:7 10 min, 1:1 10 min, washed three times.",
    "look_round": "Round and bright. The usual look of a bead that went well.",
    "look_dull": "Dull or flat. Often too hot, or base metal in it. Metal may be lost.",
    "look_stuck": "Stuck, yellow below. Often too cold: lead is kept. Cupel it again hotter.",
    "look_sprouted": "Sprouted: it spat on cooling. Metal may be lost. Cool slower.",
    "look_skin": "A skin on it: base metal or dross. More lead, or scorify first.",
    "look_glassy": "Glassy: flux or slag on it. Clean it, or repeat the fusion.",
    "look_black": "Black. Copper or other base metal. More lead, cupel again.",
    "look_none": "No bead seen. No metal, or it is lost: look at the cupel again.",
    "look_whole": "Whole: it held together. Wash it, dry it, anneal it.",
    "look_broken": "Broken: the gold fell to flakes. Count nothing lost in the glass.",
    "look_not_parted": (
        "Not parted: too little silver for the acid.\n"
        "Inquart it to about three times its gold and part it again."
    ),
    # at the balance
    "title_balance": "AT THE BALANCE",
    "about_balance": (
        "Type what the balance displays, in its unit, and press Enter: it is stored.\n"
        "Notches of the beam part the verdicts below it; the rider hangs at the mass."
    ),
    "balance_place_charge": "Place",
    "balance_place_bead": "Cupel",
    "balance_place_gold": "Cup",
    "balance_what_charge": "Charge",
    "balance_what_bead": "Bead",
    "balance_what_gold": "Gold",
    "balance_its_bead": "bead {m}",
    "balance_zero": "zero {z} before",
    "balance_no_zero": "no zero read yet",
    "balance_mass": "{m}, {div} divisions",
    "balance_mass_mean": "{m}, {n} readings",
    "balance_no_mean": "{n} readings disagree: no mean is taken",
    "balance_none_described": "No balance here weighs {what}. Describe one first.",
    "balance_type_first": "Type the reading of {place} first.",
    "balance_no_letters": (
        "{x} is not taken: the reading is in {unit}, as this balance displays it.\n"
        "Another unit? Key s another balance, key b describes one."
    ),
    "balance_no_scan": "{x} is not put on the pan at this step.",
    "balance_no_figure": '"{x}" is no reading yet.',
    "balance_no_sample": "another",
    "balance_role_sample": "A sample.",
    "balance_role_blank": "A blank: what the reagents bring.",
    "balance_role_proof": "A proof: known metal.",
    "balance_role_duplicate": "A duplicate of {of}.",
    "balance_role_reference": "Known: a reference material.",
    "balance_cold": "Gold cold? Dry? Annealed yellow?",
    "bell_look_again": "look again",
    "promise_balances": "Enter goes to the balances.",
    "promise_zero": "Enter stores {x} {unit} as a zero; {place} waits.",
    "promise_store": "Enter stores {x} {unit} for {place} and moves to {next}.",
    "promise_store_last": "Enter stores {x} {unit} for {place}; it is the last one.",
    "promise_next": "Enter moves to {place}. A figure typed now is a repeat.",
    "promise_all_weighed": "Enter goes back to the tray: all are weighed.",
    "promise_type": "Type the reading of {place} as displayed, then Enter.",
    "ask_look_again": "Type what you see now:",
    "ask_zero": "Zero as displayed, {unit}:",
    "ask_reading": "Reading:",
    "stored_zero": "Zero {x} {unit} is stored, {by}.",
    "stored_reading": "{place}: {x} {unit} is stored, {by}.",
    # its margin
    "margin_aim": "The aim is ± {aim} %.\nThis is ± {pct} %.",
    "margin_aim_none": "No mass can meet it: the calibration alone is wider.",
    "margin_need": "One reading needs a {what} of {need} {unit}.",
    "need_charge": "charge",
    "need_bead": "bead",
    "need_gold": "bead",
    "margin_repeats": "Or weigh it {n} times: ± {pct} %.",
    "margin_not_detected": (
        "Not detected on this balance.\nNot zero: up to {LD} {unit}{grade} may be there unseen."
    ),
    "margin_grade": "({g} g/t)",
    "margin_rough": "Metal is there. The figure is rough: ± {pct} %.",
    "margin_within": "The aim is ± {aim} %. This is ± {pct} %.",
    "margin_dore": "Doré: gold and silver together.\nGold not determined.",
    "margin_spread": "Spread of one reading: {s} {unit}.",
    "margin_spread_unknown": (
        "Spread of this balance not measured.\nWeigh one small weight ten times (key b)."
    ),
    "margin_aim_not_shown": (
        "The steps alone would allow ± {pct} %; the aim is ± {aim} %.\n"
        "Spread not measured: weigh one small weight ten times (key b)."
    ),
    "margin_k": "U: k = {k}.",
    "margin_one_grain": "One grain of {d} mm is {g} g/t here.",
    "margin_one_division": "One division of {balance} is {g} g/t here.",
    # words under the beam
    "beam_not_detected": "not\ndetected",
    "beam_rough": "detected,\nrough",
    "beam_wider": "wider\nthan aim",
    "beam_within": "within\naim",
    # the print
    "print_sheet": "Sheet of {run}, step {step}",
    "print_sheet_of": "Weighing sheet of {run}, step {step}: {what}, {unit}",
    "print_by": "By: ______  Date: ____________",
    "print_by_balance": (
        "By: ______  Date: ____________  Balance: __________  Check weight: ________"
    ),
    "print_place": "place",
    "print_sample": "sample",
    "print_is": "is",
    "print_zero": "zero",
    "print_one": "reading 1",
    "print_two": "reading 2",
    "print_silver": "silver, mg",
    "print_lead": "lead, g",
    "print_lots": "lots",
    "print_in": "in",
    "print_drives": "opens",
    "print_blick": "blick/flash",
    "print_out": "out",
    "print_no_charge": "no charge",
    "safety_first": "Read the line of safety above first: Enter says that you have.",
    # safety lines, one for each step, and the longer text behind ?
    "safety_pulp": (
        "Dust of pulp and flux harms. Wipe damp, no sweeping, no compressed air.\n"
        "Placer concentrate may hold mercury: never into the furnace. More: ?"
    ),
    "safety_pulp_more": (
        "Open burning of amalgam poisons. Mercury-bearing sand needs a retort first.\n"
        "Sulphide, arsenic and tellurium ores fume: roast under a hood or outdoors."
    ),
    "safety_pulp_most": (
        "Wash hands and face; no food at the bench; leave work clothes here.\n"
        "Local rules and licensed practice decide, not this program."
    ),
    "safety_flux": (
        "Mixing flux raised the most lead dust that a survey measured.\n"
        "Hood, respirator, damp wipe. Your local rules decide. More: ?"
    ),
    "safety_flux_more": (
        "13000 µg/m³ of lead over 38 min was measured while mixing (NIOSH survey).\n"
        "Damp mould or tool under molten lead explodes: dry mould, face shield."
    ),
    "safety_flux_most": (
        "OSHA 29 CFR 1910.1025: 50 µg/m³ over 8 h, action level 30.\n"
        "Local rules and licensed practice decide, not this program."
    ),
    "safety_fire": (
        "Lead fume harms before you feel it. Work under the hood; dry cupels first.\n"
        "Your local rules decide. More: ?"
    ),
    "safety_fire_more": (
        "Steam from a damp cupel throws molten lead. No torch indoors.\n"
        "Sand with sulphide or magnetite does not cupel: crucible or scorifier first."
    ),
    "safety_fire_most": (
        "OSHA 29 CFR 1910.1025: 50 µg/m³ over 8 h, action level 30.\n"
        "Local rules and licensed practice decide, not this program."
    ),
    "safety_beads": (
        "1400 µg/m³ of lead at unloading (NIOSH survey): cool cupels under the hood.\n"
        "Brush beads there too. Your local rules decide. More: ?"
    ),
    "safety_beads_more": (
        "Used cupels, slag and lead scraps: hazardous until they are tested.\n"
        "Never bury them, never give cupels away as fill."
    ),
    "safety_beads_most": (
        "Wash hands and face; no food at the bench; children are at risk from dust.\n"
        "Local rules and licensed practice decide, not this program."
    ),
    "safety_parting": (
        "Nitric acid: red-brown fume can kill hours later. Hood, goggles, apron.\n"
        "Acid into water. Breathed fume? See a doctor. Local rules decide. More: ?"
    ),
    "safety_parting_more": (
        "Nitrogen dioxide: lungs may fill hours later although you feel well.\n"
        "No alcohol near acid or silver nitrate: it can explode."
    ),
    "safety_parting_most": (
        "Never add ammonia to silver solution and keep it: explosive silver forms.\n"
        "Local rules and licensed practice decide, not this program."
    ),
}
