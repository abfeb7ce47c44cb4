"""What short words stand for in a conversation, and what is taken over from turn to turn."""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk
from question.talking import last, talk

from assistant.answer import Answer

SOUP = "how much broth for 14 in the red lentil soup?"


def test_the_one_that_may_be_several() -> None:
    """ "The black bean one" is asked back where it may be several; a reply chooses of them."""
    turns = talk("calories in the turkey chili?", "no I meant the black bean one", "the second one")
    assert turns[1][-1].verdict == "asks"
    assert "black bean soup" in turns[1][-1].headline
    assert turns[2][-1].reading["recipe"] == "black-bean-tacos"
    assert turns[2][-1].kind == "nutrition"


def test_the_one_of_the_same_sort() -> None:
    """After one soup, "the tomato one" is the tomato soup."""
    answer = last("fiber in the red lentil soup?", "and the tomato one?")
    assert answer.reading["recipe"] == "tomato-soup"


def test_a_reply_names_a_part_of_what_was_offered() -> None:
    """ "The salad" is the quinoa salad, the only recipe offered; 1 1/2 cups for 6, so 6 1/4 for 25.

    A number then replaces the number, and another ingredient the ingredient.
    """
    turns = talk("how much quinoa do I need for 25 people?", "the salad", "no, for 12")
    assert turns[0][-1].verdict == "asks"
    assert "quinoa salad" in turns[0][-1].lines[0]
    assert "6 1/4 cups" in turns[1][-1].headline
    assert "3 cups" in turns[2][-1].headline


def test_what_can_i_use_instead() -> None:
    """ "Instead" is instead of the food just spoken of; a food named then is what would come in."""
    turns = talk("does the stew have flour in it?", "what can I use instead?", "cornstarch?")
    assert "flour" in turns[1][-1].question
    assert turns[1][-1].kind == "swap"
    # 1 tbsp of cornstarch thickens like 2 tbsp of flour.
    assert "1 tbsp" in turns[2][-1].headline
    assert "cornstarch" in turns[2][-1].headline.lower()


def test_how_much_of_the_food_spoken_of() -> None:
    """ "How much do I need for 16?" is of the food that was spoken of."""
    kale = last("how do I keep kale fresh?", "how much goes in the minestrone?")
    # The recipe's own line: 3 cups.
    assert "3 cups" in kale.headline
    assert "kale" in kale.headline.lower()


def test_a_food_that_is_brought_in_keeps_the_dish() -> None:
    """Almond milk is no ingredient of the oats, and still asked about for them."""
    answer = last("how many carbs in the overnight oats?", "can I make it with almond milk?")
    assert answer.reading["recipe"] == "overnight-oats"
    again = talk(
        "how many carbs in the overnight oats?", "can I use almond milk?", "how long does it keep?"
    )
    assert again[-1][-1].reading["recipe"] == "overnight-oats"


def test_a_food_of_the_dish_is_no_other_recipe() -> None:
    """The oats of the oat bites are not the overnight oats."""
    answer = last(
        "are the oat bites gluten-free?", "with certified oats?", "how long do they keep?"
    )
    assert answer.reading["recipe"] == "oat-raisin-bites"


def test_a_food_asked_about_for_itself_stays_itself() -> None:
    """ "It" after raw shrimp is shrimp, though a pasta with shrimp was spoken of before."""
    turns = talk(
        "how much shrimp in the shrimp pasta for 18?", "how long does raw shrimp keep?",
        "how long does it keep once cooked?",
    )  # fmt: skip
    assert turns[1][-1].reading["recipe"] is None
    assert "pasta" not in turns[2][-1].headline


# ------------------------------------------------------------------------- thanks and urgency


@pytest.mark.parametrize(
    "text", ["great, thank you!", "ok thanks so much", "Hi everyone!", "cheers"]
)
def test_thanks_get_no_figure(text: str) -> None:
    """Thanks are not read into the question before them, and leave it as it stands."""
    turns = talk(SOUP, text, "and for 40?")
    assert turns[1][-1].headline == "There is no question in this."
    assert not turns[1][-1].figures
    assert [f.value for f in turns[2][-1].figures] == [40]


def test_an_urgent_remark_is_answered_and_then_left() -> None:
    """After an urgent remark the question before it goes on, and takes no word of the remark."""
    turns = talk(
        "calories in the black bean tacos?",
        "my husband just ate a wild mushroom and is throwing up",
        "and the sodium?",
    )
    assert turns[1][-1].urgent
    assert not turns[2][-1].urgent
    assert turns[2][-1].reading["recipe"] == "black-bean-tacos"
    assert "sodium" in turns[2][-1].headline


@pytest.mark.parametrize("text", ["and the rice?", "I already ate some", "is it ok if I boil it?"])
def test_what_is_said_of_an_urgent_matter_stays_urgent(text: str) -> None:
    """What goes on about food that stood out is urgent too."""
    assert last("the chili has been on the counter for 6 hours, ok?", text).urgent


# -------------------------------------------------------------------- several questions at once


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        (
            "Am I allowed to swap the feta in the quinoa salad, and how much quinoa for 12?",
            ["swap", "scale"],
        ),
        ("is the chickpea curry vegan? also calories pls", ["diet", "nutrition"]),
        (
            "quick one - how long do the egg muffins keep, how many calories, and are they vegan?",
            ["storage", "nutrition", "diet"],
        ),
        (
            "If I leave the walnuts out of the baked apples how many calories, and do they freeze?",
            ["nutrition", "storage"],
        ),
        (
            "Please can you tell me the fiber in the lentil salad and whether I can freeze it?",
            ["nutrition", "storage"],
        ),
        ("How much sodium in the chili, and does it matter?", ["nutrition", "nutrition"]),
        ("Loved it! Does the chili freeze? Thanks a million!", ["storage"]),
    ],
)
def test_each_question_once_and_in_order(text: str, kinds: list[str]) -> None:
    """Questions in one text: none is lost, none is made up."""
    (answers,) = talk(text)
    assert [a.kind for a in answers] == kinds


def test_what_is_not_known_is_said_and_not_dropped() -> None:
    """A question that is none of ours keeps its place among the others."""
    (answers,) = talk("Can you recommend a plumber? How long does the hummus keep?")
    assert [a.verdict for a in answers] == ["unknown", "quoted"]


def test_how_are_you_is_no_question() -> None:
    """A greeting put as a question gets no answer of its own."""
    (answers,) = talk("Hi, how are you? How long does the hummus keep?")
    assert [a.kind for a in answers] == ["storage"]


def test_nutrition_goes_on_after_an_urgent_part() -> None:
    """The dish of an urgent part is the dish of what is asked beside it."""
    (answers,) = talk("I left the fried rice out overnight, can I eat it? How many calories is it?")
    assert [a.urgent for a in answers] == [True, False]
    assert answers[1].reading["recipe"] == "vegetable-fried-rice"


def test_three_dates_in_one_text() -> None:
    """Made Sunday Nov 22, frozen Monday, thawed Tuesday: one day was used, so the last day is one
    later, Nov 27 (4 days from the making, and the day in the freezer)."""
    (answers,) = talk("I made the chili Sunday, froze it Monday and thawed it yesterday, still ok?")
    assert len(answers) == 1
    assert "Fri, Nov 27" in answers[0].headline


# ------------------------------------------------------------------------ lists and short forms


def test_one_of_a_list_by_its_place() -> None:
    """ "The second one" of a list of recipes is the second that was named, then the first."""
    turns = talk(
        "what can I make with chickpeas?", "the second one, how many calories?", "and the first?"
    )
    listed = turns[0][-1].headline.lower()
    titles = {r.id: r.title.lower() for r in desk().corpus.recipes.values()}
    order = sorted((i for i in titles if titles[i] in listed), key=lambda i: listed.find(titles[i]))
    assert [turn[-1].reading["recipe"] for turn in turns[1:]] == [order[1], order[0]]
    assert [turn[-1].kind for turn in turns[1:]] == ["nutrition", "nutrition"]


def test_the_lowest_of_what_was_compared() -> None:
    """ "Which is lowest?" is in what was compared before: both figures are given."""
    # By the food table, line by line: the chili 3,445 mg ÷ 6 = 574, the soup 1,939 mg ÷ 6 = 323;
    # labels round sodium above 140 mg by 10.
    answer = last("compare sodium in the chili and the black bean soup", "which is lowest?")
    assert "Turkey chili: 570 mg sodium" in answer.headline
    assert "black bean soup: 320 mg sodium" in answer.headline


@pytest.mark.parametrize("text", ["and w/o the capers", "and with the capers left out"])
def test_without_in_short(text: str) -> None:
    """ "W/o" is "without", and what is left out of a dish did not stand out of the fridge."""
    answer = last("sodium in the tuna salad?", text)
    assert answer.kind == "nutrition"
    assert "without capers" in answer.headline


def test_another_clock_time() -> None:
    """ "And if we start at noon?" moves the plan by half an hour: 12:45 to 1:15, 1:02 to 1:32."""
    turns = talk("We start at 11:30 with the stew, when is it ready?", "and if we start at noon?")
    assert "12:45–1:02" in turns[0][-1].headline
    assert "1:15–1:32" in turns[1][-1].headline


def test_another_thing_to_avoid_is_asked_of_the_dish() -> None:
    """Milk and eggs are asked of the pancakes, not of the oats that were supposed in between."""
    turns = talk(
        "do the pancakes have gluten?", "what if I use certified oats?", "and dairy?", "and eggs?"
    )
    assert "milk" in turns[2][-1].headline
    assert turns[3][-1].headline.startswith("Not egg-free")


def test_an_aside_does_not_change_the_dish() -> None:
    """After "I'm pregnant" the dish is still the salmon."""
    turns = talk("can the salmon be a bit pink?", "I'm pregnant btw", "how many calories is it?")
    assert turns[1][-1].medical
    assert turns[2][-1].reading["recipe"] == "sheet-pan-salmon"


@pytest.mark.parametrize("text", ["more than once?", "twice?"])
def test_a_few_words_with_a_mark_lean_on_the_question_before(text: str) -> None:
    """Where nothing is named, the question before goes on."""
    answer = last("how do I reheat the fried rice?", text)
    assert answer.kind == "safety"
    assert "reheat it once" in answer.headline


def test_a_second_food_stays_where_the_first_is_replaced() -> None:
    """ "And shrimp" counts the shrimp of the pasta: 12 oz for 4, so 180 oz, 11 lb 4 oz, for 60."""
    answer = last("how much garlic for 60 in the shrimp pasta?", "and shrimp?")
    assert "11 lb 4 oz" in answer.headline


def test_the_soup_is_asked_back_and_chosen() -> None:
    """ "The soup" may be any soup of ours: it is asked which, and a word or a place chooses."""
    ask = "how much fiber in the soup?"
    back = last(ask)
    assert back.verdict == "asks"
    assert "red lentil soup" in back.lines[0]
    assert last(ask, "tomato").reading["recipe"] == "tomato-soup"
    # In the order of the line: black bean, red lentil, split pea, tomato soup.
    assert last(ask, "the second one").reading["recipe"] == "red-lentil-soup"


def test_what_is_put_to_a_dish_without_an_amount_is_not_counted() -> None:
    """Chicken of no amount changes no figure, and that is said; the soup's own is 13 g."""
    plain = last("how much protein is in the black bean soup?")
    # By the food table: three cans of 250 g hold 66.5 g, the other lines 9.4 g; 75.9 ÷ 6 = 12.6.
    assert [f.shown for f in plain.figures] == ["13 g"]
    answer = last("how much protein is in the black bean soup?", "same but with chicken")
    assert answer.verdict == "partial"
    assert "not counted: chicken" in " ".join(answer.lines)
    assert [f.value for f in answer.figures] == [f.value for f in plain.figures]


def test_without_the_peanuts_is_without_their_butter() -> None:
    """The noodles hold peanuts as a butter only, and that is what is left out."""
    answer = last("calories in the peanut noodles", "what about without the peanuts?")
    assert "without natural peanut butter" in answer.headline


def test_a_pot_for_another_number() -> None:
    """6 quarts for 8 are 22 1/2 for 30 and 9 for 12."""
    turns = talk("what pot do I need for the minestrone for 30?", "and for 12?")
    assert "22 1/2 quarts" in turns[0][-1].headline
    assert "9 quarts" in turns[1][-1].headline


def test_does_it_matter_if_another_food_is_used() -> None:
    """The second question is of the meatballs too: ground chicken for the 1 1/4 lb of turkey."""
    (answers,) = talk("how much protein in the meatballs, and does it matter if I use chicken?")
    assert [a.kind for a in answers] == ["nutrition", "swap"]
    assert "ground chicken" in answers[1].headline
    assert "1 lb 4 oz" in answers[1].headline


def test_for_how_long_goes_on() -> None:
    """ "For how long?" after "does it freeze?" asks for the months in the freezer."""
    answer = last("does the turkey chili freeze", "for how long")
    assert answer.kind == "storage"
    assert "2–3 months" in answer.headline


def test_what_is_no_reply_is_a_question_of_its_own() -> None:
    """After "For how many people?" a pot is no number of people."""
    first, second = talk("scale the turkey chili", "I only have a 4 quart pot")
    assert first[-1].verdict == "asks"
    assert second[-1].kind == "equipment"
    assert second[-1].verdict == "computed"


def test_a_figure_asked_for_after_a_swap_is_with_the_swap() -> None:
    """ "Does that change the calories?" after "can I use beef?" is of the chili with beef, and "and
    chicken?" after that of the chili with chicken."""
    turns = [
        one[-1]
        for one in talk(
            "can I use beef instead of the turkey in the turkey chili?",
            "does that change the calories",
            "and chicken?",
        )
    ]
    assert turns[1].kind == turns[2].kind == "nutrition"
    assert "with lean ground beef for ground turkey" in turns[1].headline
    assert "with chicken breast for ground turkey" in turns[2].headline
    plain = last("calories in the turkey chili with chicken instead of the turkey")
    assert plain.figures == turns[2].figures


def test_a_diet_asked_for_after_a_swap_is_with_the_swap() -> None:
    """ "Is it still gluten free?" is asked of the dish with the tamari just told of."""
    answer = last("can I use tamari in the tofu and broccoli stir-fry", "is it still gluten free")
    assert answer.kind == "diet"
    assert "with tamari" in answer.headline


def test_a_swap_is_not_taken_over_where_nothing_leans_on_it() -> None:
    """ "How much sodium per bowl" asks for the dish as written."""
    answer = last("can I leave out the peanuts in the peanut noodles", "how much sodium per bowl")
    assert "without" not in answer.headline


def test_a_bare_how_long_goes_on_with_the_keeping() -> None:
    """ "How long?" after "can I freeze it?" asks for months, after an amount for minutes."""
    frozen = last("can I freeze the red lentil soup", "how long")
    assert frozen.kind == "storage"
    assert "months" in frozen.headline
    assert last("how much broth for 14 in the red lentil soup", "how long").kind == "timing"


def test_something_left_out_is_no_part_of_a_swap() -> None:
    """ "What about without the peanuts?" after a question on mushrooms leaves peanuts out."""
    answer = last(
        "what can I use instead of the mushrooms in the mushroom risotto",
        "what about without the peanuts?",
    )
    assert answer.headline == "There is no peanut in the barley and mushroom risotto."


def test_reheating_is_no_part_of_keeping() -> None:
    """ "Reheat how?" after "how long does it keep?" asks for itself."""
    assert "165 °F" in last("how long does the red lentil soup keep", "reheat how").headline


def _pinned(recipe: str, *texts: str) -> list[Answer]:
    """The last answer of each turn of a conversation with a recipe pinned."""
    context, made = desk().context(recipe=recipe, today=TODAY), []
    for text in texts:
        turn = desk().converse(text, context)
        context = turn.context
        made.append(turn.answers[-1])
    return made


def test_the_number_of_people_holds_on_in_a_pinned_recipe() -> None:
    """2 carrots for 6 are 4 2/3 for 14; another number then takes its place, and 2 for 3 is 1."""
    turns = _pinned("red-lentil-soup", "for 14, how much broth?", "and how many carrots?", "for 3?")
    assert "4 2/3 medium carrots" in turns[1].headline
    assert "1 medium carrot" in turns[2].headline


def test_what_brings_the_figure_just_given() -> None:
    """ "What brings it?" is asked of the nutrient before; coconut milk holds most of the fat."""
    turns = _pinned("curry-noodle-bowl", "is this high in saturated fat?", "what brings it?")
    assert "saturated fat comes from the coconut milk" in turns[1].headline


def test_a_supposition_after_a_figure_is_of_that_figure() -> None:
    """ "If I use regular canned beans?" after the sodium of a bowl asks how the sodium changes."""
    # Two drained cans are 518 g: 208 mg in 100 g (SR28 16335) for 2 mg (16033), 1,068 mg ÷ 6 = 178.
    turns = _pinned(
        "turkey-chili", "what is the sodium per bowl?", "if I use regular canned beans?"
    )
    assert turns[1].kind == "nutrition"
    assert "178 mg more" in turns[1].headline


@pytest.mark.parametrize(
    ("text", "both"),
    [
        ("which has more protein, this or the lentil salad?", "lentil salad"),
        ("does it have less protein than the lentil salad?", "lentil salad"),
    ],
)
def test_the_dish_in_hand_is_held_against_another(text: str, both: str) -> None:
    """ "This or the lentil salad" and "less than the lentil salad" tell of both dishes."""
    answer = _pinned("tuna-bean-salad", text)[0]
    assert "Tuna and white bean salad" in answer.headline
    assert both in answer.headline


def test_a_batch_holds_on_as_well() -> None:
    """Three cans are 1 1/2 times the curry, for 9, and doubled it is for 12: so is what follows."""
    bought = _pinned("chickpea-curry", "I have 3 cans of chickpeas, scale it", "how much salt?")
    assert "For 9" in bought[1].headline
    doubled = _pinned("chickpea-curry", "double it", "how much salt?")
    # 3/4 tsp for 6.
    assert "1 1/2 tsp" in doubled[1].headline


def test_what_was_supposed_is_asked_of_another_figure() -> None:
    """ "Does that change the calcium?" after the protein with soy milk is of soy milk, too."""
    turns = _pinned(
        "overnight-oats", "protein per jar?", "with soy milk instead?", "does that change the iron?"
    )
    assert "soy milk for low-fat milk" in turns[2].headline
    assert "iron" in turns[2].headline
