"""What to use instead of an ingredient, with the amount for the amount in hand."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Answer, Source
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Diet, Ingredient, Line, Recipe, Swap
from assistant.kinds.change import regular_kind, with_other
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.nutrition.changed import of_change
from assistant.kinds.plural import agree
from assistant.kinds.shelf import Shelf, amount_text, listed, make, record_source
from assistant.kinds.swap.elided import meant
from assistant.kinds.swap.leave import leave_out
from assistant.kinds.swap.lower import lower_sodium, lowers
from assistant.kinds.swap.options import Asked, Option, called, option
from assistant.kinds.swap.stands import stands_for
from assistant.kinds.swap.who import Who, is_used, shelf_has, who
from assistant.kinds.unknown import unknown
from assistant.kitchen.diets import allergens, judge
from assistant.kitchen.scaling import same_item
from assistant.kitchen.swaps import closest_line, find_swaps, forbidden, ranked
from assistant.measure.amount import Amount, convert_amount, read_amount, scale
from assistant.measure.exact import MeasureError
from assistant.question.reading import Reading
from assistant.retrieval.words import singular, stem, stop_words, tokens

_MOST = 4
LONGEST = 120
_WORDS = {"good": "Yes", "care": "With care", "no": "No"}


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The swaps for the ingredient named; of two named, whether the one can stand for the other;
    or what leaving it out does."""
    recipe = shelf.recipe(reading)
    parts = who(reading, recipe, shelf)
    diets = [shelf.corpus.diets[ident] for ident in _diets(reading, shelf)]
    salt = parts.out is None or parts.out.id == "salt"
    if recipe is not None and salt and parts.use is None and lowers(reading, shelf):
        return lower_sodium(reading, recipe, shelf)
    forms = _two_forms(reading, shelf)
    if forms and parts.use is None and parts.out is not None:
        text = f"I have no record of {forms[0]} {parts.out.name} in the place of {forms[1]}."
        return unknown(reading, shelf, text)
    if parts.out is None:
        return _without_ingredient(reading, recipe, diets, shelf)
    alone = parts.comes_in and recipe is None and parts.use is None
    if alone and not leaves_out(reading, shelf):
        return stands_for(reading, parts.out, shelf)
    held = same_item(recipe.lines, parts.out.id) if recipe is not None else ()
    if recipe is not None and held and parts.use is None and not leaves_out(reading, shelf):
        regular = regular_kind(parts.out, shelf) if shelf.says(reading, "regular-words") else None
        change = with_other(recipe, regular, (parts.out.id,), shelf) if regular else None
        if change is not None:
            # "I only have regular canned beans": what their salt does to a serving.
            sodium = [shelf.corpus.nutrients["sodium"]]
            return of_change(reading, recipe, change, sodium, shelf)
        if _is_kind_of(reading, parts.out):
            from assistant.kinds.ingredient.answer import answer as remark

            return remark(reading, shelf)
        if is_used(reading, parts.out, shelf):
            return _has_it(reading, recipe, held[0])
    out = _in_recipe(parts.out, recipe, shelf)
    if out.id != parts.out.id and parts.use is None and is_used(reading, parts.out, shelf):
        # "Can I use whole milk?", of a recipe with another milk.
        parts = msgspec.structs.replace(parts, use=parts.out)
    strange = recipe is not None and not same_item(recipe.lines, out.id)
    if recipe is not None and strange and parts.use is None and is_used(reading, out, shelf):
        text = f"I have no record of {out.name} in the {recipe.title.lower()}."
        more = allergen_note(out, [i for x in recipe.lines if (i := shelf.item(x.item))])
        return unknown(reading, shelf, text, (more,) if more else ())
    parts = msgspec.structs.replace(parts, out=out)
    asked = _asked(reading, out, recipe, shelf)
    if parts.use is None and leaves_out(reading, shelf):
        return leave_out(reading, asked, shelf)
    swaps = find_swaps(out.id, shelf.corpus, reading.recipe)
    if not swaps and recipe is not None:
        # No swap made for this dish: what is on record for any dish is still of use.
        swaps = find_swaps(out.id, shelf.corpus)
    if parts.use is not None:
        return _can_use(reading, parts, asked, swaps, shelf)
    return _options(reading, parts, asked, swaps, diets, shelf)


def _diets(reading: Reading, shelf: Shelf) -> list[str]:
    """The diets named; "another fish" asks for fish, not for a dish without any."""
    return list(
        dict.fromkeys(
            m.id
            for m in reading.all("diet")
            if not (m.start and shelf_has(shelf, "other-words", reading.words[m.start - 1]))
        )
    )


def _two_forms(reading: Reading, shelf: Shelf) -> tuple[str, str] | None:
    """ "Frozen broccoli instead of fresh": one food in two forms, the one to use first."""
    foods = [m for m in reading.all("ingredient") if m.id in reading.foods]
    forms = shelf.corpus.lists["form-words"].words if "form-words" in shelf.corpus.lists else ()
    named = {p for m in foods for p in range(m.start, m.end)}
    before = [reading.words[m.start - 1] for m in foods if m.start]
    use = next((word for word in before if word in forms), "")
    words = enumerate(reading.words)
    others = [word for p, word in words if word in forms and word != use and p not in named]
    return (use, others[0]) if use and others else None


def leaves_out(reading: Reading, shelf: Shelf) -> bool:
    """Whether the question is about doing without, and not about a replacement."""
    if reading.has("instead", "substitute", "replace", "replacement", "alternative", "swap"):
        return False
    if shelf.says(reading, "leave-out-certain"):
        return True
    return shelf.says(reading, "leave-out-words") and not reading.has("what", "use")


def _in_recipe(out: Ingredient, recipe: Recipe | None, shelf: Shelf) -> Ingredient:
    """What is meant in the recipe in hand: its reduced-sodium soy sauce by "soy sauce", its peanut
    butter by "peanut"; else what was named."""
    if recipe is None or same_item(recipe.lines, out.id):
        return out
    line = closest_line(recipe, out, shelf.corpus)
    return shelf.corpus.pantry[line.item] if line is not None else out


def _asked(reading: Reading, out: Ingredient, recipe: Recipe | None, shelf: Shelf) -> Asked:
    line = None
    if recipe is not None:
        found = same_item(recipe.lines, out.id)
        line = found[0] if found else None
    return Asked(out, recipe, line, _amount(reading, recipe, line))


def _amount(reading: Reading, recipe: Recipe | None, line: Line | None) -> Amount | None:
    """The amount to replace: the one named, else the recipe's at the servings in hand."""
    named = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    if named:
        return named[0]
    if line is None or line.amount is None or recipe is None:
        return None
    if reading.factor is not None:
        return scale(line.amount, reading.factor)
    if reading.servings is not None:
        return scale(line.amount, reading.servings / Fraction(recipe.yields.servings))
    return line.amount


def _options(
    reading: Reading,
    parts: Who,
    asked: Asked,
    swaps: Sequence[Swap],
    diets: Sequence[Diet],
    shelf: Shelf,
) -> Answer:
    """The replacements on record, best first."""
    out = asked.out
    ruled, same = {item.id for item in parts.ruled_out}, _in_any_form(reading, out, swaps, shelf)
    usable = [s for s in swaps if s.use not in ruled | same and s.fit != "no"]
    best = ranked(usable, out, shelf.corpus, diets)
    lines = [_refused(s, diets, shelf) for s in usable if s not in best]
    if not best:
        return unknown(
            reading,
            shelf,
            f"I have no swap on record for {out.name}{_wish(diets, ruled, same)}.",
            (*lines, "A swap is not made up here; ask the dietitian, or add one to swaps/."),
        )
    made = [option(swap, asked, shelf) for swap in best[:_MOST]]
    lines = [*(one.text for one in made), *lines]
    if len(best) > _MOST:
        names = [shelf.corpus.pantry[s.use].name for s in best[_MOST:]]
        lines.append(f"Also on record: {listed(list(dict.fromkeys(names)))}.")
    if asked.recipe is None and reading.outside:
        # The dish named is not one of ours: say so, and let the use in brackets decide.
        others = ", ".join(dict.fromkeys(reading.outside))
        lines.append(f"Not for a recipe on record ({others}): choose by the use in brackets.")
    return make(
        reading,
        "computed" if asked.amount else "quoted",
        _headline(asked, made, shelf),
        [figure for one in made for figure in (one.figures if one is made[0] else one.figures[:1])],
        lines,
        (*_line_source(asked), *(source for one in made for source in one.sources)),
    )


def _wish(diets: Sequence[Diet], ruled: set[str], same: set[str]) -> str:
    if same and not diets and not ruled:
        return " but the same food in another form"
    words = [diet.name for diet in diets]
    if ruled:
        words.append("made with what is left")
    return f" that is {listed(words)}" if words else ""


def _refused(swap: Swap, diets: Sequence[Diet], shelf: Shelf) -> str:
    why = forbidden(swap, shelf.corpus, diets)
    name = shelf.corpus.pantry[swap.use].name
    return f"Not {name}: it contains {listed(why)}."


def _headline(asked: Asked, made: Sequence[Option], shelf: Shelf) -> str:
    out = asked.out
    amount = asked.amount
    instead = out.name
    if amount is not None:
        instead = f"{amount_text(amount, shelf.first)} of {out.name}"
        if not amount.unit or amount.unit in {"small", "medium", "large"}:
            instead = f"{amount_text(amount, shelf.first)} {called(out, amount)}"
    first = made[0]
    care = " (with care)" if first.swap.fit == "care" else ""
    others = [one.name for one in made[1:_MOST]]
    for text in (instead, out.name):
        for count in range(len(others), -1, -1):
            more = f"; or {listed(others[:count], 'or')}" if count else ""
            headline = f"Instead of {text}: {first.shown} {first.name}{care}{more}."
            if len(headline) <= 120:
                return headline
    return f"Instead of {out.name}: {first.name}{care}."


def _line_source(asked: Asked) -> tuple[Source, ...]:
    if asked.line is None or asked.recipe is None:
        return ()
    line = asked.line
    return (Source(id=asked.recipe.id, title=line.text, where=f"{line.file}:{line.line}"),)


def _can_use(
    reading: Reading, parts: Who, asked: Asked, swaps: Sequence[Swap], shelf: Shelf
) -> Answer:
    """Yes, no or with care, for a replacement that was named."""
    out = asked.out
    use = parts.use or out
    swap = next((s for s in swaps if s.use == use.id), None)
    if swap is None:
        # A swap made for other dishes: the ratio holds, the fit must be tasted.
        swap = next((s for s in find_swaps(out.id, shelf.corpus) if s.use == use.id), None)
    if swap is None:
        swap = meant(use, swaps, shelf)
    if swap is None and (remark := _by_remark(use, out)):
        return make(reading, "quoted", remark, (), (out.about,), (record_source(out),))
    if swap is None:
        names = [item.name for s in ranked(swaps, out, shelf.corpus) if (item := shelf.item(s.use))]
        known = f"On record for {out.name}: {listed(names[:5], 'or')}." if names else ""
        return unknown(
            reading,
            shelf,
            f"I have no record of {use.name} in the place of {out.name}.",
            tuple(line for line in (allergen_note(use, [out]), known) if line),
        )
    if parts.use_amount is not None:
        amount = _replaces(parts.use_amount, swap)
        asked = msgspec.structs.replace(asked, amount=amount)
    one = option(swap, asked, shelf)
    have = asked.amount or read_amount(swap.take)
    told = parts.use_amount is not None or asked.amount is None
    of = f"{amount_text(have, shelf.first)} of {called(out, have)}" if told else f"the {out.name}"
    elsewhere = bool(swap.recipes) and asked.recipe is not None
    tried = not elsewhere or reading.recipe in swap.recipes
    fit = swap.fit if tried or swap.fit == "no" else "care"
    headline = f"{_WORDS[fit]}: {one.shown} {one.name} for {of}."
    if len(headline) > LONGEST:
        headline = f"{_WORDS[fit]}: {one.shown} {one.name} for the {out.name}."
    if fit == "no":
        headline = f"No: {one.name} does not stand in for {out.name} here."
    lines = [one.text]
    if not tried:
        lines.append("This swap is on record for other dishes; taste as you go.")
    return make(
        reading,
        "computed" if asked.amount else "quoted",
        headline,
        one.figures if fit != "no" else (),
        lines,
        (*_line_source(asked), *one.sources),
    )


def allergen_note(use: Ingredient, others: Sequence[Ingredient]) -> str:
    """What somebody must know of a food that is not on record here: the allergens it brings to the
    others; "" where it brings none."""
    have = {name for name, grade in allergens(others).items() if grade != "free"}
    new = {n: g for n, g in allergens((use,)).items() if g != "free" and n not in have}
    said = [n if g == "contains" else f"{n} (may contain, read the label)" for n, g in new.items()]
    return f"Mind that {use.name} brings {listed(said)}." if said else ""


def _by_remark(use: Ingredient, out: Ingredient) -> str:
    """The sentence by which the remark on an ingredient tells of another kind of it: "Skim, 2% and
    whole milk measure the same"; "" where it tells of none."""
    own = {token.text for token in tokens(out.name)}
    kind = {token.text for token in tokens(use.name)} - own
    for sentence in out.about.split(". "):
        held = {token.text for token in tokens(sentence)}
        if kind and own & {token.text for token in tokens(use.name)} and kind <= held:
            return f"{sentence.rstrip('.')}."
    return ""


def _replaces(amount: Amount, swap: Swap) -> Amount | None:
    """How much of what goes out an amount of what comes in replaces: take ÷ give × amount."""
    give, take = read_amount(swap.give), read_amount(swap.take)
    try:
        have = convert_amount(amount, give.unit) if amount.unit != give.unit else amount
    except MeasureError:
        return None
    if not give.low or not give.high:
        return None
    return Amount(take.low * have.low / give.high, take.high * have.high / give.low, take.unit)


def _without_ingredient(
    reading: Reading, recipe: Recipe | None, diets: Sequence[Diet], shelf: Shelf
) -> Answer:
    """No ingredient named: "instead of the nuts" speaks of the lines that the diet forbids."""
    if recipe is not None and diets:
        found = judge(recipe.lines, diets[0], shelf.corpus.pantry)
        if found.contains:
            finding = found.contains[0]
            asked = _asked(reading, finding.item, recipe, shelf)
            swaps = find_swaps(finding.item.id, shelf.corpus, recipe.id)
            return _options(reading, Who(finding.item), asked, swaps, diets, shelf)
        if found.grade == "free":
            return make(
                reading,
                "quoted",
                f"Nothing to replace for {diets[0].name} in the {recipe.title.lower()}.",
                sources=(record_source(recipe), record_source(diets[0])),
            )
    if recipe is not None and (way := _other_way(reading, recipe)) is not None:
        return way
    if recipe is not None and reading.outside:
        return unknown(reading, shelf)  # "can I use paneer?"
    return make(
        reading,
        "asks",
        "Which ingredient should be replaced?",
        lines=('For example: "what can I use instead of the mushrooms?"',),
    )


def _is_kind_of(reading: Reading, item: Ingredient) -> bool:
    """ "Can I use whole milk?", where the remark on the recipe's milk tells of the whole kind."""
    told = {token.text for token in tokens(item.about)} - stop_words()
    before = {reading.words[m.start - 1] for m in reading.all("ingredient") if m.id == item.id}
    return bool(before & told)


def _has_it(reading: Reading, recipe: Recipe, line: Line) -> Answer:
    """ "Can I use split peas?", of a recipe that is made with them."""
    subject = f"The {recipe.title.lower()} already {agree(recipe.title, 'has', 'have')}"
    headline = f"{subject} it: {line.text}."
    if len(headline) > LONGEST:
        headline = f"{subject} {line.name}."
    return make(reading, "quoted", headline, (), (), (record_source(recipe, line.line),))


def _other_way(reading: Reading, recipe: Recipe) -> Answer | None:
    """ "Can I bake them instead of frying?", where the recipe cooks it the one way or the other."""
    ways = reading.all("method")
    for way in ways:
        for number, step in enumerate(recipe.steps, 1):
            if stem(way.id) not in {stem(token.text) for token in tokens(f"{step.id} {step.text}")}:
                continue
            first, *others = [way, *(m for m in ways if m.id != way.id)]
            headline = (
                f"The recipe's own way is to {first.id}: step {number} of {len(recipe.steps)}."
            )
            untried = [f"To {m.id} instead is not tried here." for m in others]
            source = record_source(recipe, recipe.step_lines[number - 1])
            return make(reading, "quoted", headline, (), (step.text, *untried), (source,))
    return None


def _in_any_form(
    reading: Reading, out: Ingredient, swaps: Sequence[Swap], shelf: Shelf
) -> set[str]:
    """The same food in another form, where somebody cannot have it or stand it: fresh dill is no
    help to one who hates dill."""
    if not shelf.says(reading, "dislike-words"):
        return set()
    forms = words_in(shelf, "form-of-food")
    own = set(map(singular, name_words(out.name))) - forms
    uses = (shelf.item(swap.use) for swap in swaps)
    return {use.id for use in uses if use and own <= set(map(singular, name_words(use.name)))}
