"""Which rule of safe handling a question asks for, with its figures worked out for the case."""

from __future__ import annotations

from assistant.answer import Answer, Figure
from assistant.corpus.records import SafetyRule
from assistant.kinds.quote import best, quoted
from assistant.kinds.safety import cases
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.retrieval.index import coverage

# A rule is reached by the ways people ask for it, so less of the question need be in it than in a note.
ENOUGH = 0.5
# A temperature of the chart is reached by its food alone.
ENOUGH_FOR_FOOD = 0.3


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """A case that can be worked out, else the rule that covers the question, else a note."""
    for case in (cases.thawing, cases.power_cut, cases.cooling, cases.left_out):
        made = case(reading, shelf)
        if made is not None:
            return made
    if shelf.says(reading, "temperature-words"):
        rules = _temperatures(reading, shelf)
        if rules:
            return _tell(reading, rules, shelf)
    rule = _rule(reading, shelf)
    if rule is not None:
        return _tell(reading, [rule], shelf)
    found = best(reading, shelf, ("safety",))
    return quoted(reading, shelf, found[1]) if found else unknown(reading, shelf)


def _temperatures(reading: Reading, shelf: Shelf) -> list[SafetyRule]:
    """The rows of the chart for the food named, or for what is in the recipe in hand."""
    chart = [rule for rule in shelf.corpus.safety.values() if rule.temperature]
    named = [item for item in reading.foods if item in shelf.corpus.pantry]
    for items in (
        named,
        [line.item for line in recipe.lines] if (recipe := shelf.recipe(reading)) else [],
    ):
        found = [rule for rule in chart if set(items) & set(rule.ingredients)]
        # The cooking rows of the chart come before those for holding and reheating.
        cooking = [rule for rule in found if rule.id.startswith("temperature-")] or found
        if cooking:
            return cooking[:2]
    return []


def _rule(reading: Reading, shelf: Shelf) -> SafetyRule | None:
    """The safety rule whose own wordings are nearest, if they cover enough of the question."""
    asking = shelf.corpus.lists.get("asking-words")
    plain = frozenset(asking.words) if asking else frozenset()
    words = [word for word in reading.words if word not in plain]
    for hit in shelf.index.search(words, k=6, kinds=("safety",)):
        passage = shelf.passage(hit.passage)
        if passage.source != "safety":
            continue
        rule = shelf.corpus.safety[passage.record]
        enough = (
            ENOUGH_FOR_FOOD
            if rule.temperature and shelf.says(reading, "temperature-words")
            else ENOUGH
        )
        return rule if coverage(hit) >= enough else None
    return None


def _tell(reading: Reading, rules: list[SafetyRule], shelf: Shelf) -> Answer:
    headline, lines, figures, sources = "", [], [], []
    for rule in rules:
        first, _, rest = rule.text.partition(". ")
        said = first.rstrip(".") + "."
        if headline:
            lines.append(capital(said))
        else:
            headline = said
        if rest:
            lines.append(rest)
        for name, value in (
            ("temperature", rule.temperature),
            ("rest", rule.rest),
            ("time", rule.time),
        ):
            if value:
                figures.append(
                    Figure(
                        name=f"{name}, {rule.title.lower()}",
                        value=None,
                        unit="",
                        shown=value,
                        exact=value,
                        working=(f"rule {rule.id} ({rule.where})",),
                    )
                )
        for other in rule.also:
            lines.append(f"Elsewhere: {other.whom}.")
            sources.append(reference_source(shelf, other.source))
        sources[:0] = [record_source(rule), reference_source(shelf, rule.source)]
    if len(headline) > 120:
        lines.insert(0, headline)
        headline = (
            f"{rules[0].title}: {rules[0].temperature or rules[0].time or 'see the rule below'}."
        )
    return make(reading, "quoted", headline, figures, lines, sources)
