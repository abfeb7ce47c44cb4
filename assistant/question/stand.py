"""What short words stand for: "the black bean one", "the second one", "how much do I need?".

They are replaced by the name that they stand for, so that the question can be read, and shown, as
it was understood.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Recipe
from assistant.question.reading import Reading
from assistant.retrieval.words import Token, singular, tokens

# From this score on the cues of a kind are sure of it.
SURE = 6.0


def is_courtesy(text: str, corpus: Corpus) -> bool:
    """Whether a text only greets, thanks or asks how one is."""
    words = [token.text for token in tokens(text)]
    flat = f" {' '.join(word.replace(chr(39), '') for word in words)} "
    fond = listed(corpus, "pleasantries")
    for phrase in sorted(fond, key=len, reverse=True):
        flat = flat.replace(f" {phrase} ", " thanks ")
    said = set(flat.split())
    return said <= listed(corpus, "courtesy-words") and not said.isdisjoint(
        listed(corpus, "courtesy-signs")
    )


def listed(corpus: Corpus, name: str) -> frozenset[str]:
    """The entries of a list of the vocabulary; none where there is no such list."""
    record = corpus.lists.get(name)
    return frozenset(record.words if record else ())


def the_ones(reading: Reading, ones: Collection[str]) -> tuple[int, int, tuple[str, ...]] | None:
    """Where "the black bean one" stands: from, to, and the words before "one"; None if nowhere."""
    words = reading.words
    for end, word in enumerate(words):
        if word not in ones:
            continue
        start = end
        while start and words[start - 1] not in {"the", "a", "that", "this", "with", "about"}:
            start -= 1
        # "One" alone, or what comes after a verb ("how do I reheat one"), is a pronoun.
        if start and 0 < end - start <= 3 and words[start - 1] in {"the", "that", "this"}:
            return start - 1, end + 1, tuple(words[start:end])
    return None


def recipes_of(sort: Sequence[str], corpus: Corpus, like: str) -> tuple[Recipe, ...]:
    """The recipes whose names hold all words of a sort ("black", "bean"): those of the same head
    as a name ("tomato soup") where there are any."""
    wanted = {singular(word) for word in sort}
    head = _words(like)[-1:]
    named = {
        (title, recipe.id)
        for recipe in corpus.recipes.values()
        for title, names in ((True, (recipe.title,)), (False, recipe.names))
        for name in names
        if wanted <= set(words := _words(name)) and (words[-1:] == head or not head)
    }
    # What a title says comes before what another name of a recipe says.
    best = {ident for title, ident in named if title} or {ident for _, ident in named}
    if not best and head:
        return recipes_of(sort, corpus, "")
    return tuple(recipe for recipe in corpus.recipes.values() if recipe.id in best)


def chosen(reading: Reading, offered: Sequence[str], corpus: Corpus, plain: Collection[str]) -> str:
    """The recipe, of those offered by id, that a reply chooses: by its place, by words of its name,
    or by a yes to the only one; "" where it chooses none."""
    place = which_place(reading.words, corpus)
    if place is not None:
        return offered[place] if -len(offered) <= place < len(offered) else ""
    said = {singular(word) for word in reading.words if word not in plain}
    yes = {"yes", "yep", "yeah", "right"}
    if len(offered) == 1 and (not said or said <= yes):
        return offered[0]
    recipes = [corpus.recipes[ident] for ident in offered if ident in corpus.recipes]
    fit = [one.id for one in recipes if said <= set(_words(one.title))]
    # Another of its names says less than a title.
    fit = fit or [
        one.id for one in recipes if said <= {w for name in one.names for w in _words(name)}
    ]
    return fit[0] if said and len(fit) == 1 else ""


def the_one_named(text: str, among: Sequence[str], corpus: Corpus) -> str:
    """The title, in small letters, of the one recipe among several whose title holds the words of a
    text; "" where none or several do."""
    said = set(_words(text))
    recipes = [corpus.recipes[ident] for ident in among if ident in corpus.recipes]
    titles = [recipe.title.lower() for recipe in recipes if said <= set(_words(recipe.title))]
    return titles[0] if len(titles) == 1 else ""


def which_place(words: Sequence[str], corpus: Corpus) -> int | None:
    """The place that "the second one" or "the last" names, from 0; None where none is."""
    if len(words) > 4:
        return None
    places: Mapping[str, int] = {
        word: int(number) - 1
        for word, number in (entry.split() for entry in listed(corpus, "ordinal-words"))
    }
    for word in words:
        if word in places:
            return places[word]
        if word == "last":
            return -1
    return None


def with_measured(text: str, food: str, corpus: Corpus) -> str:
    """ "How much do I need for 16?" with the food that goes without saying put in."""
    found: list[Token] = tokens(text)
    for at, token in enumerate(found[:-1]):
        if token.text != "how" or found[at + 1].text not in listed(corpus, "how-much-openers"):
            continue
        after = found[at + 2].text if at + 2 < len(found) else ""
        who = found[at + 3].text if at + 3 < len(found) else ""
        # "How many does it make?" counts the dish.
        of_dish = after in {"do", "does", "should", "would"} and who not in {"i", "we", "you"}
        if not after or (after in listed(corpus, "to-be-measured") and not of_dish):
            end = found[at + 1].end
            return f"{text[:end]} {food}{text[end:]}"
    return text


def with_taken_out(text: str, food: str, corpus: Corpus) -> str:
    """ "Can I skip it?", "what can I use instead?" with the food that is meant put in."""
    found: list[Token] = tokens(text)
    out, pronouns = listed(corpus, "taken-out-words"), listed(corpus, "pronouns")
    for one, token in pairwise(found):
        if one.text in out and token.text in pronouns:
            return f"{text[: token.start]}the {food}{text[token.end :]}"
    asked = {"what", "whats", "which", "anything"} & {token.text for token in found}
    if found and found[-1].text == "instead" and asked:
        return f"{text[: found[-1].end]} of the {food}{text[found[-1].end :]}"
    return text


def with_this_named(text: str, title: str, others: Collection[int], corpus: Corpus) -> str:
    """ "Which has more protein, this or the lentil salad?" with the dish in hand for "this".

    `others` are the places of the words that name another recipe.
    """
    found: list[Token] = tokens(text)
    either, pronouns = listed(corpus, "either-or-words"), listed(corpus, "pronouns")
    if not others:
        return text
    # "Has it less sodium than the minestrone?"
    than = "than" in {token.text for token in found[max(0, min(others) - 2) : min(others)]}
    for at, token in enumerate(found):
        if token.text not in pronouns:
            continue
        if than and at < min(others):
            return f"{text[: token.start]}the {title}{text[token.end :]}"
        end = at + 1 if found[at + 1 : at + 2] and found[at + 1].text == "one" else at
        after = found[end + 1].text if end + 1 < len(found) else ""
        before = found[at - 1].text if at else ""
        if after in either or (before in either and min(others) < at):
            return f"{text[: token.start]}the {title}{text[found[end].end :]}"
    return text


def with_figure_named(text: str, nutrient: str, corpus: Corpus) -> str:
    """ "What brings it?", after a figure, with the nutrient that was spoken of."""
    found: list[Token] = tokens(text)
    said = {token.text for token in found}
    if len(found) > 6 or said.isdisjoint(listed(corpus, "bringing-words")):
        return text
    for token in found:
        if token.text in listed(corpus, "pronouns"):
            return f"{text[: token.start]}the {nutrient}{text[token.end :]}"
    return text


def _words(name: str) -> list[str]:
    return [singular(token.text) for token in tokens(name)]


def is_new(reading: Reading, before: Reading) -> bool:
    """Whether a text said in reply to a question back is a question of its own: of another kind, by
    sure cues, and more than a name or a figure."""
    if reading.kind in {"", before.kind} or not reading.scores or reading.scores[0][1] < SURE:
        return False
    covered = {place for m in reading.mentions for place in range(m.start, m.end)}
    return len(reading.words) - len(covered) > 3
