"""Label claims as a yardstick for a dish: which are asked about, and limit by limit what is met."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Nutrient, Recipe
from assistant.corpus.yardsticks import Claim
from assistant.kinds.nutrition.figures import sources, sums
from assistant.kinds.nutrition.portions import one_serving, serving_grams
from assistant.kinds.nutrition.serving import LONGEST
from assistant.kinds.shelf import (
    Shelf,
    capital,
    listed,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.claims import Dish, Judged, Sort, judge, judge_one, sort_of_dish, verdict_of
from assistant.question.reading import Reading

LEGAL = (
    "These rules govern labels of packaged food; here they are a yardstick. What a leaflet of the "
    "programme may say is for its own legal advice."
)


def view(recipe: Recipe, shelf: Shelf) -> tuple[Dish, Sort]:
    """A serving as the claims see it: bounds for every nutrient, its weight, what sort it is."""
    part = one_serving(recipe)
    amounts = {}
    for made in sums(recipe.lines, recipe, list(shelf.corpus.nutrients.values()), shelf):
        gap = made.gap
        low, high = made.slack[0] * part.share[0], made.slack[1] * part.share[1]
        amounts[made.nutrient.id] = (low, None if gap is None else high + gap * part.share[1])
    grams, measured, _ = serving_grams(recipe, shelf)
    sort = sort_of_dish(
        recipe.lines,
        Fraction(recipe.yields.servings),
        grams[0] if grams else None,
        shelf.table,
        shelf.corpus.pantry,
        shelf.corpus.food_groups,
    )
    return Dish(amounts, grams, measured), sort


def claims_of(nutrient: Nutrient, sort: Sort, shelf: Shelf, dish: Dish) -> list[Claim]:
    """The telling claims of a nutrient for that sort of dish: it is their first criterion.

    Of claims with an upper limit the laxest (low, not very low or free); of those with a lower
    limit the strictest that is met, else the one nearest to it.
    """
    open_ = [
        claim
        for claim in shelf.corpus.claims.values()
        if sort.name in claim.whom
        and (claim.basis != "reference amount" or sort.name == "food")
        and not claim.id.startswith(("healthy", "disclosure"))
        and (
            nutrient.id in claim.nutrients
            or (not claim.nutrients and claim.criteria[0].nutrient == nutrient.id)
        )
    ]
    upper = [c for c in open_ if c.criteria[0].sign in {"<", "<="}]
    lower = [c for c in open_ if c.criteria[0].sign in {">", ">="}]
    lower.sort(key=lambda c: -c.criteria[0].limit)
    met = [c for c in lower if verdict_of(_judge(c, nutrient, dish, shelf)) == "met"]
    lax = sorted(upper, key=lambda c: c.criteria[0].limit)[-1:]
    return [*lax, *(met[:1] or lower[-1:])]


def of_claims(
    reading: Reading, recipe: Recipe, nutrients: Sequence[Nutrient], named: bool, shelf: Shelf
) -> Answer:
    """Whether the limits of a claim are met, limit by limit."""
    dish, sort = view(recipe, shelf)
    text = " ".join(reading.words)
    asked = [c for c in shelf.corpus.claims.values() if any(n in text for n in c.names)]
    if named:
        asked = [
            c
            for c in asked
            if any(
                n.id in c.nutrients or n.id in {x.nutrient for x in c.criteria} for n in nutrients
            )
        ] or [c for n in nutrients for c in claims_of(n, sort, shelf, dish)]
    fitting = [c for c in asked if sort.name in c.whom and c.basis != "reference amount"]
    if not fitting:
        fitting = [
            c
            for c in shelf.corpus.claims.values()
            if c.id.startswith("healthy") and sort.name in c.whom
        ]
    lines: list[str] = []
    figures: list[Figure] = []
    heads: list[str] = []
    for claim in fitting:
        about = [n for n in nutrients if n.id in claim.nutrients] if named else []
        if claim.nutrients and not about:
            continue
        for nutrient in about or [None]:  # type: ignore[list-item]
            judged = _judge(claim, nutrient, dish, shelf)
            name = f"{claim.title} {nutrient.name}" if nutrient else claim.title
            outcome = verdict_of(judged)
            if claim.beyond and outcome == "met":
                outcome_text = "figures met, the rest cannot be told"
            else:
                outcome_text = outcome
            heads.append(f"{name}: {outcome_text}")
            lines.append(judged_text(claim, name, judged))
            figures += [_judged_figure(name, j, claim) for j in judged if j.value is not None]
    if not heads:
        heads = ["No claim of the rules fits these words"]
    lines += basis_lines(recipe, sort, shelf)
    lines.append(LEGAL)
    refs = dict.fromkeys(c.source for c in fitting)
    extra = ["healthy-claim"] if any(c.id.startswith("healthy") for c in fitting) else []
    headline = f"{recipe.title} by the label rules, as a yardstick: {heads[0]}."
    if len(headline) > LONGEST:
        headline = f"{capital(heads[0])}."[:LONGEST]
    return make(
        reading,
        "partial" if any("cannot" in h for h in heads) else "computed",
        headline,
        figures,
        lines,
        [
            record_source(recipe),
            *(reference_source(shelf, ref) for ref in (*refs, *extra)),
            reference_source(shelf, "daily-values"),
            *sources(recipe, [], shelf),
        ],
    )


def _judge(claim: Claim, nutrient: Nutrient | None, dish: Dish, shelf: Shelf) -> list[Judged]:
    known = shelf.corpus.nutrients
    if nutrient is None:
        return judge(claim, dish, known)
    return [judge_one(claim, c, nutrient.id, dish, known) for c in claim.criteria]


def claim_text(claim: Claim, nutrient: Nutrient, dish: Dish, shelf: Shelf) -> str:
    """A claim of one nutrient against a dish, as a line."""
    judged = _judge(claim, nutrient if claim.nutrients else None, dish, shelf)
    return judged_text(claim, claim.title, judged)


def judged_text(claim: Claim, name: str, judged: Sequence[Judged]) -> str:
    """`Low sodium (101.61(b)(5), in 100 g): sodium 95 mg, limit at most 140 mg: met.`"""
    parts = []
    for one in judged:
        value = "no figure" if one.value is None else _bounds(one)
        parts.append(
            f"{one.nutrient.name} {value}, limit {_SIGNS[one.criterion.sign]} "
            f"{float(one.criterion.limit):g} {one.unit}: {one.verdict}"
        )
    beyond = f" {claim.beyond}" if claim.beyond else ""
    basis = claim.basis if claim.basis == "100 g" else f"a {claim.basis}"
    return f"{capital(name)} ({claim.section}, in {basis}): {'; '.join(parts)}.{beyond}"


_SIGNS = {"<": "under", "<=": "at most", ">=": "at least", ">": "over"}


def _bounds(one: Judged) -> str:
    if one.value is None:
        return ""
    low, high = one.value
    if high is None:
        return f"at least {number(low)} {one.unit}"
    ends = (number(low), number(high))
    return f"{ends[0] if ends[0] == ends[1] else '–'.join(ends)} {one.unit}"


def _judged_figure(name: str, one: Judged, claim: Claim) -> Figure:
    low, high = one.value or (Fraction(0), None)
    return Figure(
        name=f"{name}, {one.nutrient.name} in {claim.basis}",
        value=low if high is None else high,
        unit=one.unit,
        shown=_bounds(one),
        working=(
            f"{claim.section}: {_SIGNS[one.criterion.sign]} {float(one.criterion.limit):g} "
            f"{one.unit}: {one.verdict}",
        ),
    )


def basis_lines(recipe: Recipe, sort: Sort, shelf: Shelf) -> list[str]:
    """What the dish counts as, and on what weight."""
    grams, measured, how = serving_grams(recipe, shelf)
    if grams is None:
        return [f"A value in 100 g cannot be told: {how}."]
    groups = [f"{number(g, 0)} g {name}" for name, g in sort.groups if g >= 40]
    what = f"a {sort.name}" if sort.name != "food" else "neither a main dish nor a meal"
    found = [
        f"By weight a {recipe.yields.unit} counts as {what} (101.13(l), (m)): "
        f"{number(grams[1], 0)} g" + (f", with {listed(groups)}." if groups else ".")
    ]
    if not measured:
        found.append(
            f"Values in 100 g rest on {how}; "
            "within a fifth of a limit the outcome is left open (an assumption)."
        )
    return found
