"""The one table of entry kinds of format 1: every key of every entry, its type and its meaning.

The codec, the strict checks, the forms of the bench, the options of `enter` and the tables of the
README are derived from it. Format 1 is closed: a key or kind is only added with a later `since`.
Every value is text, a whole number, a yes or no, a time, or a list of texts; a figure is the text
that was read or typed, with its unit, so that no digit is ever lost to a float.
"""

from typing import Literal, NamedTuple

Type = Literal[
    "text", "id", "initials", "whole", "yes_no", "time", "choice", "reading", "mass",
    "mass_or_word", "fraction", "length", "share", "unit", "sha256", "figures",
]  # fmt: skip

TREATED_AGAIN = ("slag", "cupel")
SCREENED = ("plus", "minus")
PARTS = (*SCREENED, "piece", *TREATED_AGAIN)
ROLES = ("sample", "blank", "proof", "duplicate", "reference")
WHAT = (
    "zero", "charge", "bead", "gold", "button", "lead", "silver", "plus", "minus", "total",
    "proof_gold", "proof_silver", "cupel", "product", "portion",
)  # fmt: skip
MATERIALS = ("lead", "foil", "litharge", "flux", "silver", "acid", "cupel")
MARKS = ("in", "drives", "blick", "out", "frozen", "lost")
LOOKS = ("round", "dull", "stuck", "sprouted", "skin", "glassy", "black", "none")
PRODUCTS = (
    "feed", "concentrate", "stage-1 tailings", "rerun", "tailings", "middlings", "mats",
)  # fmt: skip
SILVER_WORDS = ("none", "unknown")
MEANINGS = ("weighed", "reviewed", "was present")


class Key(NamedTuple):
    """One key of a kind.

    Attributes:
        name: as it stands in the log.
        type: what its value may be.
        help: its meaning.
        required: whether an entry without it is refused.
        many: whether it is a list.
        choices: the words accepted, for the type `choice`.
        since: 1 for what format 1 was closed with, later for what was added to it.
    """

    name: str
    type: Type
    help: str
    required: bool = False
    many: bool = False
    choices: tuple[str, ...] = ()
    since: int = 1


class Kind(NamedTuple):
    """One kind of entry: its name, the format it came with, its keys, its meaning."""

    name: str
    since: int
    help: str
    keys: tuple[Key, ...]

    @property
    def by_name(self) -> dict[str, Key]:
        """Keys by name."""
        return {key.name: key for key in self.keys}


def _must(name: str, type_: Type, help_: str, **more: bool | tuple[str, ...]) -> Key:
    return Key(name, type_, help_, required=True, **more)  # type: ignore[arg-type]


def _choice(name: str, choices: tuple[str, ...], help_: str, *, required: bool = True) -> Key:
    return Key(name, "choice", help_, required=required, choices=choices)


_SAMPLE = Key("sample", "id", "the sample it belongs to")
_OF_SAMPLE = _must("sample", "id", "the sample it belongs to")
_REASON = _must("reason", "text", "why")
_LOG = Key("log", "whole", "the replaced log that it stands in; left out for this log")
_ENTRY_KIND = Key("entry_kind", "id", "kind of the entry, for one of a replaced log")

KINDS = (
    Kind("opened", 1, "The log begins.", (
        _choice("log", ("furnace run", "circuit test", "self-test"), "what the log is of"),
        _must("number", "whole", "its number in the register"),
        _must("bench", "id", "the bench whose register gave the number"),
        _must("method_version", "whole", "version of the method its results follow"),
        _must("program", "text", "program and version that opened it"),
        Key("title", "text", "what people call it"),
        Key("practice", "yes_no", "whether it is practice, which is never sealed"),
        Key("paper_date", "text", "date on the paper it was entered from"),
    )),
    Kind("session", 1, "The program was started on this log.", (
        _must("program", "text", "program and version"),
        Key("resumed", "yes_no", "whether it went on after a break"),
    )),
    Kind("person", 1, "Who stands behind initials.", (
        _must("initials", "initials", "as in `by`"),
        _must("name", "text", "printed name"),
        Key("role", "text", "what the person does here"),
    )),
    Kind("method", 1, "A choice of the method, made before the results.", (
        _must("item", "id", "what is chosen: an item of the table of method items"),
        _must("value", "text", "the choice"),
        Key("reason", "text", "why"),
    )),
    Kind("balance", 1, "A balance, or one range of it, from here on.", (
        _must("name", "id", "what people call it"),
        _must("step", "mass", "readability, one division"),
        Key("spread", "mass", "repeatability: SD of one net weighing"),
        Key("repeats", "whole", "weighings behind the spread"),
        Key("linearity", "mass", "limit of linearity, plus or minus"),
        Key("linearity_readings", "whole", "readings it enters: 2, 1 or 0"),
        Key("zero_residue", "mass", "declared residue of the zero, plus or minus"),
        Key("calibration", "share", "relative u of the scale; left out: from its checks"),
        Key("weighs", "choice", "what it weighs when no balance is named", many=True, choices=WHAT),
    )),
    Kind("weight", 1, "A check weight.", (
        _must("name", "id", "what people call it"),
        _must("mass", "mass", "its mass, from a certificate with ±, or nominal"),
        Key("accuracy_class", "text", "class of OIML R 111, when there is no certificate"),
    )),
    Kind("balance_check", 1, "A check of a balance; weighings between good checks count.", (
        _must("balance", "id", "the balance"),
        _must("weight", "id", "the check weight"),
        _must("texts", "reading", "readings of the weight as displayed", many=True),
        Key("zeros", "reading", "zero readings", many=True),
        _must("unit", "unit", "unit of the display"),
        Key("tolerance", "mass", "how far a good reading may lie off"),
    )),
    Kind("reagent_lot", 1, "A lot of a reagent, with its blank where one is known.", (
        _must("lot", "id", "its number"),
        _choice("material", MATERIALS, "what it is"),
        Key("gold_per_gram", "fraction", "gold blank per gram of it, mean of earlier runs"),
        Key("silver_per_gram", "fraction", "silver blank per gram of it"),
        Key("gold_spread", "fraction", "spread of the gold of earlier blanks, per gram of it"),
        Key("silver_spread", "fraction", "spread of their silver, per gram of it"),
        Key("blank_count", "whole", "how many earlier blanks"),
    )),
    Kind("sample", 1, "A sample, blank, proof, duplicate or reference of the run.", (
        _must("id", "id", "its number"),
        _choice("role", ROLES, "what it is in this run"),
        Key("of", "id", "of which sample, for a duplicate or a repeat"),
        Key("from", "text", "from where: pulp, reject, field"),
        Key("client_mark", "text", "what the client calls it"),
        Key("silver", "mass_or_word", "silver added: a mass, none or unknown"),
        Key("lead", "mass", "lead or foil that collects or wraps"),
        Key("copper", "mass", "copper added", since=2),
        Key("lots", "id", "reagent lots used", many=True),
        Key("gold_known", "mass", "gold in a proof"),
        Key("silver_known", "mass", "silver in a proof"),
        Key("loss_spread", "share", "spread of gold loss such proofs showed in earlier runs"),
        Key("silver_loss_spread", "share", "spread of the silver loss that they showed"),
        Key("loss_count", "whole", "how many earlier proofs"),
        Key("value", "fraction", "certified value of a reference, or the other party's of a bar"),
        Key("part", "choice", "which part of the sample it is of", choices=PARTS),
        Key("lost", "text", "why it was lost"),
    )),
    Kind("custody", 1, "Who had a sample, and in which state.", (
        _OF_SAMPLE,
        Key("tag", "text", "number of the bag's tag"),
        Key("state", "text", "its state"),
        Key("to", "text", "handed to"),
    )),
    Kind("moisture", 1, "Water of a sample.", (
        _OF_SAMPLE,
        _must("water", "share", "water as a share of the mass"),
        _choice("basis", ("wet", "dry"), "of which mass"),
        Key("u", "share", "its standard uncertainty"),
    )),
    Kind("position", 1, "Where a sample stands.", (
        _OF_SAMPLE,
        _must("place", "id", "row and column, such as B6"),
        _choice("plan", ("muffle", "cups"), "on which plan", required=False),
    )),
    Kind("reading", 1, "One value as displayed: one Enter each.", (
        _choice("what", WHAT, "what was on the pan"),
        _must("text", "reading", "exactly as displayed, without unit"),
        _must("unit", "unit", "unit of the display"),
        _must("balance", "id", "the balance"),
        _SAMPLE,
        Key("raw", "text", "line of the balance, when it was captured"),
    )),
    Kind("pool", 1, "Beads or charges weighed together.", (
        _must("id", "id", "the name its readings go by"),
        _must("samples", "id", "the samples", many=True),
        _choice("what", WHAT, "what was weighed"),
    )),
    Kind("parting", 1, "How a bead parted.", (
        _OF_SAMPLE,
        _choice("result", ("whole", "broken", "not parted"), "what was left"),
        Key("steps", "text", "acids and minutes"),
    )),
    Kind("furnace_mark", 1, "A moment of a cupel.", (
        _OF_SAMPLE,
        _choice("mark", MARKS, "what happened"),
        Key("reason", "text", "why, for lost and frozen"),
    )),
    Kind("bead_look", 1, "How a bead looked.", (
        _OF_SAMPLE,
        _choice("look", LOOKS, "its look"),
    )),
    Kind("asked", 1, "A slip was suspected: typed, asked, confirmed.", (
        _must("typed", "reading", "what was typed first"),
        _must("question", "text", "code of the question"),
        _must("confirmed", "reading", "what was typed then"),
        _must("unit", "unit", "unit of both"),
        _SAMPLE,
        Key("what", "choice", "what was weighed", choices=WHAT),
    )),
    Kind("amendment", 1, "Keys of an entry given anew, beside these; it stays.", (
        _must("entry", "whole", "n of the entry"),
        _LOG,
        _ENTRY_KIND,
        _REASON,
    )),
    Kind("left_out", 1, "A determination left out of the mean; it stays visible.", (
        _OF_SAMPLE,
        _REASON,
    )),
    Kind("withdrawn", 1, "An entry made by mistake; it stays visible and counts no more.", (
        _must("entry", "whole", "n of the entry"),
        _LOG,
        _ENTRY_KIND,
        _REASON,
    )),
    Kind("note", 1, "A remark; releases a hold when it says so.", (
        _must("text", "text", "the remark"),
        _SAMPLE,
        Key("releases", "yes_no", "whether it releases a hold"),
    )),
    Kind("attachment", 1, "A file kept beside the log.", (
        _must("file", "text", "its name"),
        _must("size", "whole", "its size in bytes"),
        _must("sha256", "sha256", "its digest"),
        _SAMPLE,
    )),
    Kind("safety_read", 1, "A safety line was read.", (
        _must("line", "id", "code of the line"),
    )),
    Kind("circuit", 1, "A product of a gravity circuit, or one size fraction of it.", (
        _choice("product", PRODUCTS, "which product"),
        Key("size", "text", "size fraction; left out for the whole product"),
        Key("mass", "mass", "dry mass of this product or fraction"),
        Key("wet_mass", "mass", "wet mass, with water"),
        Key("water", "share", "water of the wet mass"),
        Key("portion", "mass", "mass that was cupelled of it; left out when all of it was"),
        _SAMPLE,
        Key("metal", "mass", "its gold, with ±, when weighed elsewhere"),
        Key("grade", "fraction", "its grade, with ± or as a limit <"),
        Key("rerun_share", "share", "share of the stage-1 tailings that was run again"),
        Key("second_stage", "share", "stated recovery of the second stage"),
        Key("second_stage_least", "share", "least recovery of the second stage"),
        Key("fineness_spread", "share", "doubt of the fineness of beads not parted"),
    )),
    Kind("grains", 1, "Grains counted by eye.", (
        _must("count", "whole", "how many"),
        _SAMPLE,
        Key("product", "choice", "in which product", choices=PRODUCTS),
        Key("size", "text", "in which size fraction"),
        Key("largest", "length", "width of the largest"),
    )),
    Kind("price", 1, "A price somebody stands for.", (
        _choice("metal", ("gold", "silver"), "of which metal"),
        _must("amount", "text", "number and currency"),
        _must("per", "unit", "per which mass"),
        _must("source", "text", "where it was read, and when"),
    )),
    Kind("review", 1, "A second person looked at it.", (
        _must("initials", "initials", "who"),
        _must("text", "text", "what was looked at and found"),
        _SAMPLE,
    )),
    Kind("recovered", 1, "A torn end of the file was moved aside.", (
        _must("file", "text", "where it is kept"),
        _must("size", "whole", "its bytes"),
    )),
    Kind("results", 1, "Figures as they were when the log was sealed.", (
        _must("method_version", "whole", "version of the method"),
        _must("program", "text", "program and version"),
        _must("figures", "figures", "id, name, text, value, u, unit of each"),
    )),
    Kind("replaces", 1, "This log replaces an older one.", (
        _must("number", "whole", "number of the older log"),
        _must("sha512", "text", "its digest"),
        _REASON,
    )),
    Kind("sealed", 1, "The log ends here and is signed.", (
        _must("name", "text", "printed name of the signer"),
        _must("role", "text", "what the signer does here"),
        _must("fingerprint", "text", "fingerprint of the signing key"),
        _choice("meaning", MEANINGS, "what the signature stands for"),
    )),
)  # fmt: skip
BY_NAME = {kind.name: kind for kind in KINDS}
