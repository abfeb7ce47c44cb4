"""Is it much? Per cent Daily Value, the 5/20 guide, label claims and daily yardsticks."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Nutrient, Recipe
from assistant.corpus.yardsticks import Claim, Yardstick
from assistant.kinds.nutrition.figures import (
    figure,
    percent,
    portion,
    remarks,
    shown,
    sources,
    sums,
)
from assistant.kinds.nutrition.portions import Portion, one_serving, serving_grams
from assistant.kinds.nutrition.serving import LONGEST, called
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
from assistant.kitchen.nutrients import Total
from assistant.question.reading import Reading

LEGAL = (
    "These rules govern labels of packaged food; here they are a yardstick. What a leaflet of the "
    "programme may say is for its own legal advice."
)
GUIDE = "five-twenty-guide"
_LOW, _HIGH = Fraction(5), Fraction(20)


def of_level(
    reading: Reading, recipe: Recipe, part: Portion, nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer:
    """How much a portion is beside a day: per cent, the 5/20 guide, claims of that nutrient."""
    totals = sums(recipe.lines, recipe, nutrients, shelf)
    figures = [figure(made, part.share, part.words, recipe.title.lower()) for made in totals]
    figures += [f for made in totals if (f := _percent_figure(made, part, recipe))]
    lines: list[str] = []
    found: list[Source] = []
    dish, sort = view(recipe, shelf)
    for made in totals:
        lines.append(_guide(made, part))
        lines += _yardsticks(made, part, shelf, found)
        judged = _claims_of(made.nutrient, sort, shelf)
        lines += [_claim_text(c, made.nutrient, dish, sort, shelf) for c in judged]
    lines += _basis(recipe, sort, shelf)
    lines.append(LEGAL)
    lines += remarks(recipe, totals, part.share, shelf)
    lines += part.remarks
    lacking = any(portion(made, part.share)[2] for made in totals)
    return make(
        reading,
        "partial" if lacking else "computed",
        _level_headline(recipe, totals[0], part),
        figures,
        lines,
        [
            record_source(recipe),
            reference_source(shelf, GUIDE),
            reference_source(shelf, "claims"),
            reference_source(shelf, "daily-values"),
            *found,
            *sources(recipe, totals, shelf),
        ],
    )


def _level_headline(recipe: Recipe, made: Total, part: Portion) -> str:
    low, high, at_least = portion(made, part.share)
    nutrient = made.nutrient
    amount = called(shown(low, high, nutrient, at_least), nutrient)
    lead = f"{capital(part.words)} of {recipe.title.lower()}: {amount}"
    daily = percent(high, nutrient)
    if not daily:
        return f"{lead}."[:LONGEST]
    word = _level(made, part)
    text = f"{lead}, {daily} of the Daily Value{f': {word}' if word else ''}."
    return (
        text
        if len(text) <= LONGEST
        else f"{amount}, {daily} of the Daily Value{f': {word}' if word else ''}."
    )


def _level(made: Total, part: Portion) -> str:
    """high, low or between, by the guide; "" where a gap or a range leaves it open."""
    nutrient = made.nutrient
    if nutrient.daily_value is None:
        return ""
    low, high, at_least = portion(made, part.share)
    ends = [value / Fraction(nutrient.daily_value) * 100 for value in (low, high)]
    if ends[0] >= _HIGH:
        return "high (20 % or more)"
    if at_least:
        return ""
    if ends[1] <= _LOW:
        return "low (5 % or less)"
    if ends[0] > _LOW and ends[1] < _HIGH:
        return "neither low nor high"
    return ""


def _guide(made: Total, part: Portion) -> str:
    nutrient = made.nutrient
    if nutrient.daily_value is None:
        return f"There is no Daily Value for {nutrient.name}, so the 5/20 guide does not apply."
    high = portion(made, part.share)[1]
    dv = Fraction(nutrient.daily_value)
    exact = f"{number(high / dv * 100)} %"
    word = _level(made, part) or "not to be told"
    caution = " (not corrected for protein quality)" if nutrient.id == "protein" else ""
    return (
        f"{capital(nutrient.name)}: {exact} of the Daily Value of {number(dv)} {nutrient.unit}{caution}, "
        f"{word} by the guide that 5 % is low and 20 % is high."
    )


def _percent_figure(made: Total, part: Portion, recipe: Recipe) -> Figure | None:
    nutrient = made.nutrient
    if nutrient.daily_value is None:
        return None
    high = portion(made, part.share)[1]
    dv = Fraction(nutrient.daily_value)
    daily = percent(high, nutrient) or f"{number(high / dv * 100, 0)} %"
    return Figure(
        name=f"Daily Value share of {nutrient.name} in {part.words} of {recipe.title.lower()}",
        value=high / dv * 100,
        unit="%",
        shown=daily,
        working=(
            f"{number(high)} {nutrient.unit} ÷ {number(dv)} {nutrient.unit} × 100 = {number(high / dv * 100)} %",
        ),
    )


def _yardsticks(made: Total, part: Portion, shelf: Shelf, found: list[Source]) -> list[str]:
    out = []
    for stick in shelf.corpus.yardsticks.values():
        if stick.nutrient != made.nutrient.id:
            continue
        found += [reference_source(shelf, i) for i in (stick.source, stick.older_source) if i]
        out.append(_stick_text(stick, made, part))
    return out


def _stick_text(stick: Yardstick, made: Total, part: Portion) -> str:
    high = portion(made, part.share)[1]
    share = ""
    if stick.limit is not None:
        share = f"; this is {number(high / Fraction(stick.limit) * 100, 0)} % of that"
    older = f" ({stick.older})" if stick.older else ""
    return f"{stick.edition}: {made.nutrient.name} {stick.text}{share}{older}."


# ---------------------------------------------------------------------------------------- claims


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


def _claims_of(nutrient: Nutrient, sort: Sort, shelf: Shelf) -> list[Claim]:
    """The claims for that sort of dish which the nutrient opens: it is their first criterion."""
    return [
        claim
        for claim in shelf.corpus.claims.values()
        if sort.name in claim.whom
        and claim.basis != "reference amount"
        and not claim.id.startswith(("healthy", "disclosure"))
        and (
            nutrient.id in claim.nutrients
            or (not claim.nutrients and claim.criteria[0].nutrient == nutrient.id)
        )
    ]


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
        ] or [c for n in nutrients for c in _claims_of(n, sort, shelf)]
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
            lines.append(_text(claim, name, judged, dish))
            figures += [_judged_figure(name, j, claim) for j in judged if j.value is not None]
    if not heads:
        heads = ["No claim of the rules fits these words"]
    lines += _basis(recipe, sort, shelf)
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


def _claim_text(claim: Claim, nutrient: Nutrient, dish: Dish, sort: Sort, shelf: Shelf) -> str:
    judged = _judge(claim, nutrient if claim.nutrients else None, dish, shelf)
    return _text(claim, claim.title, judged, dish)


def _text(claim: Claim, name: str, judged: Sequence[Judged], dish: Dish) -> str:
    """`Low sodium (101.61(b)(5), in 100 g): sodium 95 mg, limit at most 140 mg: met.`"""
    parts = []
    for one in judged:
        value = "no figure" if one.value is None else _bounds(one)
        parts.append(
            f"{one.nutrient.name} {value}, limit {_SIGNS[one.criterion.sign]} "
            f"{float(one.criterion.limit):g} {one.unit}: {one.verdict}"
        )
    beyond = f" {claim.beyond}" if claim.beyond else ""
    return f"{capital(name)} ({claim.section}, in a {claim.basis}): {'; '.join(parts)}.{beyond}".replace(
        "in a 100 g", "in 100 g"
    )


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
            f"{claim.section}: {_SIGNS[one.criterion.sign]} {float(one.criterion.limit):g} {one.unit}: {one.verdict}",
        ),
    )


def _basis(recipe: Recipe, sort: Sort, shelf: Shelf) -> list[str]:
    """What the dish counts as, and on what weight."""
    grams, measured, how = serving_grams(recipe, shelf)
    if grams is None:
        return [f"A value in 100 g cannot be told: {how}."]
    groups = [f"{number(g, 0)} g {name}" for name, g in sort.groups if g >= 40]
    what = f"a {sort.name}" if sort.name != "food" else "neither a main dish nor a meal"
    found = [
        f"By weight a {recipe.yields.unit} counts as {what} (101.13(l), (m)): {number(grams[1], 0)} g"
        + (f", with {listed(groups)}." if groups else ".")
    ]
    if not measured:
        found.append(
            f"Values in 100 g rest on {how}; within a fifth of a limit the outcome is left open (an assumption)."
        )
    return found
