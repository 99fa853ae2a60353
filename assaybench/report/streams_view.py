"""A feed and its products as `recovery` and `results` show them: what each holds, what agrees."""

from assaybench.circuit import written
from assaybench.circuit.reconcile import MASS, Agreed, Place
from assaybench.circuit.streams import (
    FeedTest,
    Product,
    no_recovery,
    numbered,
    place_words,
    quantity,
)
from assaybench.metrology.figure import Figure, Flag, Verdict, plain
from assaybench.metrology.uncertain import Uncertain, nominal, total
from assaybench.record import sums
from assaybench.report.answer import Section, figure_tree, table_section
from assaybench.report.circuit_picture import picture
from assaybench.report.circuit_view import View, size_records, size_tables
from assaybench.report.compare_words import by_chance, p_figure
from assaybench.report.tables import aligned, folded
from assaybench.units import write

HEADS = ("stream", "measured", "agreed", "change/u")


def view_of_feed(test: FeedTest) -> View:
    """The parts of an answer that show a feed and its products."""
    agreed = test.agreed
    if agreed is None:
        figures = {"recovery": no_recovery(test)}
        records: dict[str, list[dict[str, object]]] = {"streams": [], "products": []}
        shown = picture(test)
        return View(figures, (), test.flags, test.said, {}, (), records, picture=shown)
    wanted = test.products[0]
    figures = wanted.figures
    if test.head is not None:
        figures["head"] = test.head
    if agreed.dof:
        figures["chi_square"] = plain(agreed.chi2, "1", digits=3)
        figures["spare"] = plain(float(agreed.dof), "1", digits=3)
        figures["p"] = p_figure(agreed.p, 2)
    budgets = {numbered("recovery", k): b for k, b in enumerate(wanted.budgets, 1)}
    return View(
        figures=figures,
        sections=(
            *_held(test),
            *_caught(test),
            *_by_size(test),
            *ratio_of(test),
            *_head(test),
            *_streams(test, agreed),
            *judged(agreed, test.verdict),
        ),
        flags=(*test.flags, *_told(test.verdict)),
        assumptions=test.said,
        budget={name: budget for name, budget in budgets.items() if budget},
        steps=tuple(_steps(test, agreed)),
        records={
            "streams": [_record(test, agreed, place) for place in agreed.values],
            "products": [_product(product) for product in test.products],
            **_stages(test),
            **({} if test.by_size is None else {"sizes": size_records(*test.by_size)}),
        },
        verdict=test.verdict,
        picture=picture(test),
    )


def _told(verdict: Verdict | None) -> tuple[Flag, ...]:
    return () if verdict is None else (Flag(verdict.code, verdict.reason),)


def _held(test: FeedTest) -> list[Section]:
    """What each product holds of the feed."""
    if test.alone:
        held = [(p.name, _share(p.recoveries[0], short=False)) for p in test.products]
        title = "What each product holds of the metal of the feed"
        return [table_section(title, aligned(("product", "metal, %"), held))]
    heads = ["product", "mass, %", *(f"{_metal(test, k)}, %" for k in test.metals), "richer by"]
    short = len(test.metals) > 1
    rows = [
        (
            product.name,
            *(_share(f, short=short) for f in _shares(product.mass_yield, product.recoveries)),
            f"{write.short(product.enrichments[0].value or 0.0, 3)} x",
        )
        for product in test.products
    ]
    return [table_section("What each product holds of the feed", aligned(heads, rows))]


def _caught(test: FeedTest) -> list[Section]:
    """What each of several stages catches of what it is fed."""
    if not test.catches:
        return []
    metals = ["metal, %"] if test.alone else [f"{_metal(test, k)}, %" for k in test.metals]
    heads = ["stage", "catches", *([] if test.alone else ["mass, %"]), *metals]
    short = len(test.metals) > 1
    rows = [
        (
            str(number),
            catch.stage.out[0],
            *(_share(f, short=short) for f in _shares(catch.mass_yield, catch.caught)),
        )
        for number, catch in enumerate(test.catches, 1)
    ]
    title = "What each stage catches of what it is fed"
    return [table_section(title, aligned(heads, rows, (0, 1)))]


def _by_size(test: FeedTest) -> list[Section]:
    """What stage 1 caught of each size at most, and if both stages catch alike."""
    return [] if test.by_size is None else size_tables(*test.by_size)


def _shares(mass: Figure | None, metals: tuple[Figure, ...]) -> tuple[Figure, ...]:
    return metals if mass is None else (mass, *metals)


def ratio_of(test: FeedTest) -> list[Section]:
    """How much feed makes one part of the product that was wanted."""
    wanted = test.products[0]
    ratio = wanted.concentration
    if ratio is None:
        return []
    rows = [(f"feed for one part of {wanted.name}", ratio.text)]
    if ratio.why:
        rows.append((ratio.why, ""))
    return [Section("Ratio of concentration", tuple(rows))]


def _head(test: FeedTest) -> list[Section]:
    head = test.head
    return [] if head is None else [Section("Head, dry", (("built up, made to agree", head.text),))]


def _share(figure: Figure, *, short: bool) -> str:
    """A share in per cent without the sign; short: value ± U, or where 95 in 100 of it lie."""
    if not short or figure.k is not None or figure.low is None or figure.high is None:
        return figure.text.replace(" %", "")
    return " to ".join(written.ends(figure.low, figure.high))


def _metal(test: FeedTest, k: int) -> str:
    return "metal" if len(test.grade_units) == 1 else f"metal {k}"


def _streams(test: FeedTest, agreed: Agreed) -> list[Section]:
    """Every mass and grade as measured and as agreed, and its change over the u of that change."""
    rows = []
    for place, value in agreed.values.items():
        change = agreed.changes.get(place)
        if (place.which == MASS and test.mass_unit == "1") or (
            change is not None and not agreed.dof
        ):
            continue  # a part of the feed stands above; what nothing checks has not moved
        measured = "-" if change is None else _shown(test, place, value - change)
        moved = write.at_place(agreed.scores[place], -2) if place in agreed.scores else "-"
        label = place_words(place, len(test.grade_units)).removeprefix("the ")
        rows.append((label, measured, _shown(test, place, value), moved))
    title = "Measured, and made to agree" if agreed.dof else "Worked out from the others"
    return [table_section(title, folded(HEADS, rows, (0,), 2))] if rows else []


def _shown(test: FeedTest, place: Place, value: Uncertain) -> str:
    """A mass or grade as it is printed; a mass below a kilogram in grams."""
    if place.which == MASS and test.mass_unit == "kg" and 0 < nominal(value) < 1:
        value, test = total((1000.0, value)), test._replace(mass_unit="g")
    return test.figure(place, value).text


def judged(agreed: Agreed, verdict: Verdict | None) -> list[Section]:
    """Whether the streams agree, by the chi-square of all changes; nothing where none is spare."""
    if verdict is None:
        return []
    rows = (
        ("verdict", verdict.text),
        ("measured beyond what is needed", str(agreed.dof)),
        ("chi-square of all changes", write.significant(agreed.chi2, 3)),
        ("chance of more if all is well, in 100", by_chance(agreed.p)),
    )
    return [Section("Do they agree", rows)]


def _record(test: FeedTest, agreed: Agreed, place: Place) -> dict[str, object]:
    value, change = agreed.values[place], agreed.changes.get(place)
    found = {"agreed": figure_tree(test.figure(place, value))}
    if change is not None:
        found["measured"] = figure_tree(test.figure(place, value - change))
    return {
        "id": place.stream,
        "quantity": quantity(test, place),
        "figures": found,
        "change": None if change is None else nominal(change),
        "score": agreed.scores.get(place),
    }


def _product(product: Product) -> dict[str, object]:
    figures = {name: figure_tree(figure) for name, figure in product.figures.items()}
    return {"id": product.name, "figures": figures}


def _stages(test: FeedTest) -> dict[str, list[dict[str, object]]]:
    """Several stages by number, for JSON; nothing where there is one."""
    rows: list[dict[str, object]] = [
        {
            "id": f"stage {number}",
            "into": [*catch.stage.into],
            "out": [*catch.stage.out],
            "figures": {name: figure_tree(figure) for name, figure in catch.figures.items()},
        }
        for number, catch in enumerate(test.catches, 1)
    ]
    return {"stages": rows} if rows else {}


def _steps(test: FeedTest, agreed: Agreed) -> list[sums.Step]:
    """Recovery in every product, and the catch of each of several stages, from what agrees."""

    def metal(stream: str, k: int) -> str:
        if test.alone:
            return sums.n(nominal(agreed.values[Place(stream, MASS)]))
        mass, grade = (nominal(agreed.values[Place(stream, which)]) for which in (MASS, k))
        return f"{sums.n(mass)} × {sums.n(grade)}"

    def share(name: str, part: str, whole: tuple[str, ...], k: int, found: Figure) -> sums.Step:
        under = " + ".join(metal(stream, k) for stream in whole)
        return sums.step(name, f"100 × {metal(part, k)} / ({under})", found.value or 0.0, "%")

    steps = []
    metals = (1,) if test.alone else tuple(test.metals)
    for product in test.products:
        for k, recovery in zip(metals, product.recoveries, strict=True):
            name = f"{numbered('recovery', k).replace('_', ' ')} in {product.name}"
            steps.append(share(name, product.name, (test.feed.name,), k, recovery))
    for number, catch in enumerate(test.catches, 1):
        for k, caught in zip(metals, catch.caught, strict=True):
            name = f"{numbered('caught', k).replace('_', ' ')} by stage {number}"
            steps.append(share(name, catch.stage.out[0], catch.stage.into, k, caught))
    return steps
