"""A feed and its products as `recovery` takes them: grades, masses beside them, or streams."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from assaybench.circuit.reconcile import Stage, Stream
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.cli.inputs import option_of
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.uncertain import Sources, Uncertain
from assaybench.record.circuit_typed import FEED, KILOGRAM, doubted, grade_typed, limited, mass_of
from assaybench.units import parse, table
from assaybench.units.parse import Typed
from assaybench.units.table import Unit

NOT_MEASURED = "?"
FORM = "--stream 'tailings=95.5kg:0.30 g/t'"
STAGE_FORM = "--stage 'feed=concentrate+rest' --stage 'rest=rerun+tailings'"
LONGEST_NAME = 14
TWO_STAGES = (
    "concentrate", "rerun", "tailings", "second_stage", "second_stage_least", "rerun_share",
    "fineness_spread", "readability", "mats", "middlings", "head", "feed_moisture",
    "grains",
)  # fmt: skip
"""Options of a test of two stages, which say nothing of a feed in streams."""
OF_STREAMS = {
    FEED: ("feed", "feed_grade"),
    "concentrate": ("concentrate_mass", "concentrate_grade"),
    "tailings": ("tailings_mass", "tailings_grade"),
}
"""Streams that have options of their own: mass and grade."""


class TypedStream(NamedTuple):
    """A stream as it was typed; None where it was not measured."""

    name: str
    mass: Typed | None
    grades: tuple[Typed | None, ...]


def feed_test(typed: dict[str, Any]) -> FeedTest:
    """The feed of a line and its products, made to agree.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    faults = Faults()
    _excluded(faults, typed)
    faults.done()
    streams = _named(faults, typed["streams"]) if typed["streams"] else _of_options(faults, typed)
    faults.done()
    stages = _stages(faults, typed["stages"], [stream.name for stream in streams])
    faults.done()
    sources, said = Sources(), dict[str, None]()
    units = _units(streams)
    made = [_stream(sources, stream, units, said) for stream in streams]
    limits = [
        grade
        for stream, given in zip(made, streams, strict=True)
        for grade, typed_grade in zip(stream.grades, given.grades, strict=True)
        if typed_grade is not None and typed_grade.below
    ]
    feed = next(stream for stream in made if stream.name == FEED)
    return part_feed(
        sources,
        feed,
        [stream for stream in made if stream is not feed],
        mass_unit=units[0].symbol,
        grade_units=tuple(unit.symbol for unit in units[1:]),
        said=tuple(said),
        stages=stages,
        limits=limits,
    )


def _excluded(faults: Faults, typed: dict[str, Any]) -> None:
    own = [name for pair in OF_STREAMS.values() for name in pair] if typed["streams"] else []
    other = "--stream" if typed["streams"] else "--feed-grade, --concentrate-grade"
    if typed["stages"] and not typed["streams"]:
        faults.add("", BadInput.of("option_needs", option="--stage", other="--stream"))
    for name in (*TWO_STAGES, "sizes", *own):
        if typed[name]:
            option = "--size" if name == "sizes" else option_of(name)
            faults.add("", BadInput.of("option_excludes", option=option, other=other))


def _of_options(faults: Faults, typed: dict[str, Any]) -> list[TypedStream]:
    """Feed, concentrate and tailings by their own options."""
    found = []
    for name, (mass, grade) in OF_STREAMS.items():
        weighed = _taken(faults, option_of(mass), mass_of, typed[mass], name)
        assayed = _taken(faults, option_of(grade), grade_typed, typed[grade], name)
        found.append(TypedStream(name, weighed, (assayed,)))
    return found


def _named(faults: Faults, texts: Sequence[str]) -> list[TypedStream]:
    """`NAME=MASS:GRADE[:GRADE]` of each stream, with ? for what was not measured."""
    found = [stream for text in texts if (stream := _read(faults, text)) is not None]
    names = [stream.name for stream in found]
    for name in dict.fromkeys(name for name in names if names.count(name) > 1):
        faults.add("--stream", BadInput.of("name_twice", x=quoted(name)))
    if len(found) < len(texts):
        return found
    if FEED not in names:
        accepted = say("form_streams", form=FORM.replace("tailings", FEED))
        faults.add("--stream", BadInput.of("argument_missing", what=FEED, accepted=accepted))
    elif len(found) < 3:
        faults.add("--stream", BadInput.of("stream_alone"))
    if len({len(stream.grades) for stream in found}) > 1:
        faults.add("--stream", BadInput.of("stream_grades_uneven"))
    return found


def _read(faults: Faults, text: str) -> TypedStream | None:
    name, sign, values = parse.clean(text).partition("=")
    name, parts = name.strip(), values.split(":")
    if not sign or not name or not name.isprintable() or len(parts) not in {2, 3}:
        faults.add("--stream", BadInput.of("stream_unreadable", x=quoted(text), form=FORM))
        return None
    if len(name) > LONGEST_NAME:
        fault = BadInput.of("stream_name_long", x=quoted(name), most=LONGEST_NAME)
        faults.add("--stream", fault)
        return None
    place = f"--stream {name}"
    mass = _taken(faults, f"{place}, mass", mass_of, parts[0], name)
    grades = [_taken(faults, f"{place}, grade", grade_typed, part, name) for part in parts[1:]]
    return TypedStream(name, mass, tuple(grades))


def _stages(faults: Faults, texts: Sequence[str], names: Sequence[str]) -> tuple[Stage, ...]:
    """`IN[+IN]=OUT+OUT` of each stage: every stream comes out of one stage, all but the feed."""
    stages = [stage for text in texts if (stage := _stage(faults, text, names)) is not None]
    if not texts or len(stages) < len(texts):
        return ()
    into = [name for stage in stages for name in stage.into]
    out = [name for stage in stages for name in stage.out]
    for name in names:
        if into.count(name) > 1 or out.count(name) > 1:
            faults.add("--stage", BadInput.of("circuit_stage_twice", x=quoted(name)))
        elif name == FEED and (FEED in out or FEED not in into):
            faults.add("--stage", BadInput.of("circuit_stage_feed"))
        elif name != FEED and name not in _reached(stages):
            faults.add("--stage", BadInput.of("circuit_stage_loose", x=quoted(name)))
    if len([name for name in names if name not in into]) < 2:
        faults.add("--stage", BadInput.of("stream_alone"))
    return tuple(stages)


def _stage(faults: Faults, text: str, names: Sequence[str]) -> Stage | None:
    before, sign, after = parse.clean(text).partition("=")
    into, out = ([name.strip() for name in side.split("+")] for side in (before, after))
    if not sign or not all((*into, *out)):
        fault = BadInput.of("circuit_stage_unreadable", x=quoted(text), form=STAGE_FORM)
        faults.add("--stage", fault)
        return None
    unknown = next((name for name in (*into, *out) if name not in names), None)
    if unknown is not None:
        fault = BadInput.of("circuit_stage_stream", x=quoted(unknown), choices=", ".join(names))
        faults.add("--stage", fault)
        return None
    return Stage(tuple(into), tuple(out))


def _reached(stages: Sequence[Stage]) -> set[str]:
    """The streams that the feed becomes, through however many stages."""
    found = {FEED}
    for _ in stages:
        found |= {name for stage in stages if found & {*stage.into} for name in stage.out}
    return found


def _taken(faults: Faults, place: str, reader: Any, text: str | None, name: str) -> Typed | None:
    """A figure of a stream; None where it was left out or marked as not measured."""
    if text is None or text.strip() == NOT_MEASURED:
        return None
    found: Typed | None = faults.take(place, reader, text, name)
    return found


def _units(streams: Sequence[TypedStream]) -> list[Unit]:
    """The units of mass and of each metal's grade: those that were typed first."""
    masses = [stream.mass.unit for stream in streams if stream.mass is not None]
    found = [masses[0] if masses else KILOGRAM]
    for grades in zip(*(stream.grades for stream in streams), strict=True):
        assayed = [grade.unit for grade in grades if grade is not None]
        found.append(assayed[0] if assayed else table.GRAM_PER_TONNE)
    return found


def _stream(
    sources: Sources, typed: TypedStream, units: Sequence[Unit], said: dict[str, None]
) -> Stream:
    """A typed stream in units common to all, its figures variables of their names."""
    grades: list[Uncertain | None] = []
    for k, (grade, unit) in enumerate(zip(typed.grades, units[1:], strict=True), 1):
        which = "grade" if len(typed.grades) == 1 else f"grade {k}"
        if grade is not None and grade.below:
            said[say("stream_limit", name=typed.name.capitalize(), x=grade.shown)] = None
        grades.append(
            None if grade is None else limited(sources, f"{which} of {typed.name}", grade, unit)
        )
    mass = None
    if typed.mass is not None:
        mass = doubted(sources, f"mass of {typed.name}", typed.mass, units[0])
    for figure in (typed.mass, *typed.grades):
        if figure is not None and figure.u is None and figure.expanded is None and not figure.below:
            said[say("typed_without_doubt")] = None
    return Stream(typed.name, mass, tuple(grades))
