"""Allergens and diets: which ingredients decide, in three grades, and what brings a dish there.

Nothing is ever called safe for an allergy: the answer speaks of ingredients, names the labels to
read, and the cautions on cross-contact and on severe allergies are attached by rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import msgspec

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Diet, Ingredient, Recipe
from assistant.kinds.change import find_change
from assistant.kinds.diet.avoid import avoided, diets_without, is_made, strange
from assistant.kinds.diet.faith import by_faith
from assistant.kinds.diet.makeover import makeover
from assistant.kinds.diet.recipes import holds_asked, which_hold, which_recipes
from assistant.kinds.plural import agree
from assistant.kinds.quote import LONGEST_HEADLINE, best, quoted
from assistant.kinds.shelf import (
    Shelf,
    ask_which_recipe,
    capital,
    listed,
    make,
    record_source,
    reference_source,
)
from assistant.kinds.unknown import unknown
from assistant.kitchen.diets import Finding, Verdict, allergens, judge, judge_item, new_allergens
from assistant.kitchen.scaling import same_item
from assistant.kitchen.sets import make_over
from assistant.question.reading import Reading
from assistant.retrieval.words import singular

GRADES = {
    "contains": "contains",
    "may": "may contain: read the label",
    "free": "free by its nature",
}
CROSS = "Cross-contact: use clean boards, pans, spoons and oil, and cook this first."
# "In" and an article may stand between two foods of which one may hold the other.
_NEAR = 2
LAWS = ("falcpa", "faster-act")


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The answer about one recipe or ingredient, a changed recipe, or a list of recipes."""
    recipe = shelf.recipe(reading)
    # What somebody must do without is what is looked for, and not what is asked about.
    out = avoided(reading, shelf)
    apart = [*diets_without(out, shelf), *(strange(reading, shelf) if recipe is not None else ())]
    if out:
        kept = tuple(m for m in reading.mentions if m not in out)
        reading = msgspec.structs.replace(reading, mentions=kept)
    item = _item(reading, shelf)
    inner = _inside(reading, shelf)
    if inner is not None and item is not None:
        return _one_item(reading, inner, _forbidding(item, shelf), shelf)
    diets = _diets(reading, item, recipe, shelf) if not apart else _both(reading, apart, shelf)
    if recipe is not None and item is not None and diets:
        change = find_change(reading, recipe, shelf)
        if change is not None:
            left = msgspec.structs.replace(recipe, lines=change.lines)
            put_in = change.remarks if len(change.lines) == len(recipe.lines) else ()
            return _recipe(reading, left, diets, shelf, f" {change.words}", put_in)
        if shelf.says(reading, "without-words") and not same_item(recipe.lines, item.id):
            return _recipe(reading, recipe, diets, shelf, "", (f"It holds no {item.name}.",))
    if shelf.says(reading, "faith-words") and (recipe is not None or item is None):
        return by_faith(reading, recipe, shelf)
    if (
        recipe is not None
        and item is not None
        and diets
        and shelf.says(reading, "put-instead-words")
    ):
        held = [line for line in recipe.lines if line.item == item.id]
        if any(judge(held, diet, shelf.corpus.pantry).grade == "contains" for diet in diets):
            return makeover(reading, recipe, diets, shelf)
    if item is not None and _about_item(reading, item, recipe, diets, apart):
        return _one_item(reading, item, diets, shelf)
    if recipe is None:
        if diets and holds_asked(reading, shelf):
            return which_hold(reading, diets[0], shelf)
        if diets and shelf.says(reading, "which-recipes-words"):
            return which_recipes(reading, diets, shelf)
        found = best(reading, shelf, ("diet",))
        if found is not None and not diets:
            return quoted(reading, shelf, found[1])
        if diets and not shelf.says(reading, "holding-words"):
            return which_recipes(reading, diets, shelf)
        return ask_which_recipe(reading, shelf)
    if not diets and shelf.says(reading, "diets-without-rule"):
        named = next(word for word in reading.words if word in _without_rule(shelf))
        text = f'There is no rule on record for "{named}", so no dish is called that here.'
        more = "Ask for the carbohydrate, fiber or energy of a serving to judge for yourself."
        return unknown(reading, shelf, text, (more,))
    if not diets:
        return _all_allergens(reading, recipe, shelf)
    made = any(is_made(diet) for diet in diets)
    if not made and (shelf.says(reading, "make-over-words") or reading.all("servings")):
        verdicts = [judge(recipe.lines, diet, shelf.corpus.pantry) for diet in diets]
        if any(v.contains or v.optional for v in verdicts):
            return makeover(reading, recipe, diets, shelf)
    return _recipe(reading, recipe, diets, shelf)


def _without_rule(shelf: Shelf) -> tuple[str, ...]:
    return shelf.corpus.lists["diets-without-rule"].words


def _item(reading: Reading, shelf: Shelf) -> Ingredient | None:
    """The first ingredient named apart from the recipe's name and from a diet ("egg-free")."""
    longer = [m for m in reading.mentions if m.type in {"recipe", "diet"}]
    for mention in reading.all("ingredient"):
        if not any(
            m.start <= mention.start
            and mention.end <= m.end
            and (m.type == "recipe" or m.end - m.start > mention.end - mention.start)
            for m in longer
        ):
            return shelf.item(mention.id)
    return None


def _about_item(
    reading: Reading,
    item: Ingredient,
    recipe: Recipe | None,
    diets: Sequence[Diet],
    apart: Sequence[Diet],
) -> bool:
    """Whether an ingredient is what the question is about, and not the allergen it asks for.

    "Is there milk in the soup" asks the soup for milk; "is tamari gluten-free" asks tamari.
    """
    if recipe is None:
        return True
    if not reading.ids("diet") and not apart:
        return not diets
    return any(line.item == item.id for line in recipe.lines) or not reading.all("recipe")


def _diets(
    reading: Reading, item: Ingredient | None, recipe: Recipe | None, shelf: Shelf
) -> list[Diet]:
    """The diets named; else, in "is there any egg in it", the one that forbids that allergen."""
    named = [shelf.corpus.diets[ident] for ident in reading.ids("diet")]
    if named or item is None or recipe is None or not shelf.says(reading, "contains-words"):
        return named
    return _forbidding(item, shelf)


def _both(reading: Reading, apart: Sequence[Diet], shelf: Shelf) -> list[Diet]:
    """The diets named, and those that follow from the foods that somebody must do without."""
    named = {ident: shelf.corpus.diets[ident] for ident in reading.ids("diet")}
    return list({**named, **{diet.id: diet for diet in apart}}.values())


def _forbidding(item: Ingredient, shelf: Shelf) -> list[Diet]:
    """The diet that forbids the allergen of an ingredient: peanut-free for peanuts."""
    return [
        diet
        for diet in shelf.corpus.diets.values()
        if len(diet.without_allergens) == 1 and diet.without_allergens[0] in item.contains
    ][:1]


def _inside(reading: Reading, shelf: Shelf) -> Ingredient | None:
    """The food that another one may be in: "is there peanut in sunflower butter"."""
    found = reading.all("ingredient")
    for one, other in pairwise(found):
        between = reading.words[one.end : other.start]
        if one.id != other.id and between and between[0] == "in" and len(between) <= _NEAR:
            return None if reading.all("recipe") else shelf.item(other.id)
    return None


def _figure(name: str, grade: str, why: Sequence[str] = ()) -> Figure:
    return Figure(name=name, value=None, unit="", shown=GRADES[grade], exact=grade, working=(*why,))


def _recipe(
    reading: Reading,
    recipe: Recipe,
    diets: Sequence[Diet],
    shelf: Shelf,
    changed: str = "",
    remarks: Sequence[str] = (),
) -> Answer:
    """A recipe against the diets named: every deciding ingredient with its line. `changed` says in
    what it differs from the one on record, `remarks` how."""
    figures, lines, sources = [], [], []
    verdicts = [judge(recipe.lines, diet, shelf.corpus.pantry) for diet in diets]
    for verdict in verdicts:
        deciding = (*verdict.contains, *verdict.may)
        figures.append(_figure(verdict.diet.name, verdict.grade, [_decides(f) for f in deciding]))
        lines += _told(verdict, recipe)
        sources += [_line_source(recipe, f) for f in (*deciding, *verdict.optional)]
        sources += _cited(verdict.diet, shelf)
    if any(verdict.contains for verdict in verdicts):
        lines += _ways(recipe, diets, shelf)
    lines.append(CROSS)
    if not sources or not any(source.where.startswith("recipes/") for source in sources):
        sources.insert(0, record_source(recipe))
    lines += remarks
    headline = _headline(verdicts, f"the {recipe.title.lower()}", changed)
    return make(reading, "computed", headline, figures, lines, sources)


def _headline(verdicts: Sequence[Verdict], dish: str, changed: str = "") -> str:
    """One sentence for one or more diets; the worst leads."""
    what = f"{dish}{changed}"
    bad = [v for v in verdicts if v.grade == "contains"]
    unsure = [v for v in verdicts if v.grade == "may"]
    names = listed([v.diet.name for v in verdicts])
    if bad:
        found = list(dict.fromkeys(_short(f) for v in bad for f in v.contains))
        if all(is_made(v.diet) for v in bad):
            return _fitted(f"{capital(what)} {agree(dish, 'has', 'have')} ", found, " in it")
        head = f"Not {listed([v.diet.name for v in bad], 'or')}: "
        return _fitted(head, found, f" in {what}")
    if unsure:
        found = list(dict.fromkeys(f.item.name for v in unsure for f in v.may))
        told = ""
        # The shortest way to name a changed dish that leaves room for the labels.
        for it in (what, f"the dish{changed}", f"the dish{changed.partition(' for ')[0]}"):
            be = agree(it if it != what else dish, "is", "are")
            told = _fitted(f"Only the labels can tell if {it} {be} {names}: read ", found)
            if len(told) <= LONGEST_HEADLINE:
                return told
        return told
    by = agree(dish, "By its ingredients", "By their ingredients")
    told = f"{by} {what} {agree(dish, 'is', 'are')} {names}"
    full = f"{told}; nothing in the list speaks against it."
    return full if len(full) <= LONGEST_HEADLINE else f"{told}."


def _short(finding: Finding) -> str:
    same = finding.item.name in finding.why or finding.item.origin in finding.why
    return finding.item.name if same else f"{finding.item.name} ({listed(finding.why)})"


def _fitted(head: str, found: Sequence[str], tail: str = "") -> str:
    """As many names as a headline can hold."""
    for count in range(len(found), 0, -1):
        rest = len(found) - count
        names = [*found[:count], *([f"{rest} more"] if rest else [])]
        text = f"{head}{listed(names)}{tail}."
        if len(text) <= LONGEST_HEADLINE:
            return text
    return f"{head}{len(found)} ingredient{'s' if len(found) > 1 else ''}, listed below."


def _decides(finding: Finding) -> str:
    where = f", {finding.line.file}:{finding.line.line}" if finding.line else ""
    return f"{finding.item.name}: {finding.grade} {listed(finding.why)}{where}"


def _told(verdict: Verdict, recipe: Recipe) -> list[str]:
    """The grades in words: what contains it, what may, that the rest is free by its nature."""
    name = capital(verdict.diet.name)
    lines = []
    if verdict.contains:
        told = [
            f"{f.line.text if f.line else f.item.name} ({listed(f.why)})" for f in verdict.contains
        ]
        lines.append(f"{name}: contains: {'; '.join(told)}.")
    if verdict.may:
        told = [f"{f.line.text if f.line else f.item.name} ({listed(f.why)})" for f in verdict.may]
        lines.append(f"{name}: may contain, read the label: {'; '.join(told)}.")
    for f in verdict.optional:
        words = "contains" if f.grade == "contains" else "may contain"
        text = f.line.text if f.line else f.item.name
        lines.append(f"{name}: optional, leave out: {text} ({words} {listed(f.why)}).")
    deciding = {f.line.line for f in (*verdict.contains, *verdict.may, *verdict.optional) if f.line}
    rest = len([line for line in recipe.lines if line.line not in deciding])
    lines.append(f"{name}: the other {rest} of {len(recipe.lines)} ingredients are free by nature.")
    if verdict.diet.note:
        lines.append(verdict.diet.note)
    return lines


def _ways(recipe: Recipe, diets: Sequence[Diet], shelf: Shelf) -> list[str]:
    """How it could be brought there, where the swaps on record allow it."""
    if any(is_made(diet) for diet in diets):
        # What stands in for a food may be its near kin: leek is none for who cannot eat onion.
        return []
    made = make_over(recipe.lines, diets, shelf.corpus, recipe.id)
    if not made.done or not made.choices:
        return []
    pantry = shelf.corpus.pantry
    told = [
        f"{pantry[c.swap.use].name} for {pantry[c.line.item].name}"
        if c.swap
        else f"no {pantry[c.line.item].name}"
        for c in made.choices
    ]
    return [f"It gets there with: {listed(told)}. Ask to make it {diets[0].name} for the amounts."]


def _line_source(recipe: Recipe, finding: Finding) -> Source:
    line = finding.line
    if line is None:
        return record_source(finding.item)
    return Source(id=recipe.id, title=line.text, where=f"{line.file}:{line.line}")


def _cited(diet: Diet, shelf: Shelf) -> list[Source]:
    own = [record_source(diet)] if diet.file else []
    return [*own, *(reference_source(shelf, ident) for ident in diet.sources)]


def _taken_as(reading: Reading, item: Ingredient) -> list[str]:
    """What a wide name was taken for: "bread" is one kind of bread here."""
    texts = [m.text for m in reading.all("ingredient") if m.id == item.id]
    own = {singular(word) for name in (item.name, item.plural) for word in name.split()}
    wide = [text for text in texts if {singular(w) for w in text.split()} < own]
    told = f"Taken for {wide[0]}: {item.name}; another kind may differ." if wide else ""
    return [told] if told else []


def _one_item(reading: Reading, item: Ingredient, diets: Sequence[Diet], shelf: Shelf) -> Answer:
    """One ingredient against the diets named, or against every allergen."""
    if not diets:
        return _grades(reading, (item,), item.name, record_source(item), shelf)
    verdicts = [judge_item(item, diet) for diet in diets]
    figures = [_figure(v.diet.name, v.grade) for v in verdicts]
    names = listed([v.diet.name for v in verdicts])
    bad = [v for v in verdicts if v.contains]
    why = listed(list(dict.fromkeys(w for v in bad for f in v.contains for w in f.why)))
    perhaps = listed(list(dict.fromkeys(w for v in verdicts for f in v.may for w in f.why)))
    if bad:
        wrong = listed([v.diet.name for v in bad], "or")
        same = f" it is {why}" if why == item.origin else f" it contains {why}"
        headline = f"{capital(item.name)} is not {wrong}:{same}."
    elif perhaps:
        headline = f"{capital(item.name)} may contain {perhaps}: only its label can tell."
    else:
        by, be = agree(item.name, "its is", "their are").split()
        headline = f"By {by} nature {item.name} {be} {names}."
    lines = [
        *_taken_as(reading, item),
        item.about,
        *(v.diet.note for v in verdicts if v.diet.note),
        CROSS,
    ]
    sources = [record_source(item), *(s for d in diets for s in _cited(d, shelf))]
    return make(reading, "computed", headline, figures, [x for x in lines if x], sources)


def _all_allergens(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer:
    """All nine allergens and gluten over a recipe; what optional lines add is said apart."""
    pantry = shelf.corpus.pantry
    items = [pantry[line.item] for line in recipe.lines if not line.optional]
    extra = [pantry[line.item] for line in recipe.lines if line.optional]
    title = f"the {recipe.title.lower()}"
    return _grades(reading, items, title, record_source(recipe), shelf, extra)


def _grades(
    reading: Reading,
    items: Sequence[Ingredient],
    what: str,
    source: Source,
    shelf: Shelf,
    extra: Sequence[Ingredient] = (),
) -> Answer:
    grades = allergens(items)
    figures = [_figure(name, grade) for name, grade in grades.items()]
    lines = []
    for grade, head in (("contains", "Contains"), ("may", "May contain, read the label")):
        for name in (n for n, g in grades.items() if g == grade):
            who = dict.fromkeys(i.name for i in items if _has(i, name, grade))
            lines.append(f"{head}: {name} ({listed(list(who))}).")
    free = [name for name, grade in grades.items() if grade == "free"]
    apart = ", the optional ones apart" if new_allergens(items, (*items, *extra)) else ""
    lines += [f"Free by nature of the ingredients{apart}: {listed(free)}."] if free else []
    lines += ["Looked at: the nine major allergens of US law, and gluten.", CROSS]
    sure = [name for name, grade in grades.items() if grade == "contains"]
    perhaps = [name for name, grade in grades.items() if grade == "may"]
    if sure:
        headline = _fitted(f"{capital(what)} {agree(what, 'contains', 'contain')} ", sure)
    elif perhaps:
        has = agree(what, "has", "have")
        head = f"{capital(what)} {has} no listed allergen, but read the label for "
        headline = _fitted(head, perhaps)
    else:
        own, hold = agree(what, "its holds", "their hold").split()
        headline = f"By {own} ingredients {what} {hold} none of the nine allergens and no gluten."
    for name, grade in new_allergens(items, (*items, *extra)).items():
        who = dict.fromkeys(i.name for i in extra if _has(i, name, grade))
        word = "contains" if grade == "contains" else "may contain"
        lines.insert(0, f"Optional: {listed(list(who))} {word} {name}.")
    once = {item.id: item for item in items if item.contains or item.may}
    sources = [source, *(record_source(item) for item in once.values())]
    sources += [reference_source(shelf, law) for law in (*LAWS, "gluten-free-rule")]
    return make(reading, "computed", headline, figures, lines, sources)


def _has(item: Ingredient, name: str, grade: str) -> bool:
    if name == "gluten":
        return item.gluten == grade
    return name in (item.contains if grade == "contains" else item.may)
