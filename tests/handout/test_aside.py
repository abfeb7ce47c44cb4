"""What a swap makes untrue is said at its place: title, summary, tools, steps, tips, storage."""

from __future__ import annotations

import pytest
from handout.pages import DESK, page

from assistant.corpus.lines import words
from assistant.faces.handout.aside import in_steps, named, with_aside
from assistant.faces.handout.changes import HandoutError, make_dish
from assistant.kitchen.swaps import find_swaps

CHICKEN = ("extra-firm-tofu=chicken-breast",)


def test_a_page_with_another_main_thing_says_so_everywhere() -> None:
    """Tofu swapped for chicken: title, summary, pan, the pressing step, the later steps, no tip on
    pressing, the diets lost, the caution on poultry, the storage time."""
    made = page("tofu-broccoli-stir-fry", swaps=CHICKEN)
    assert made.title.endswith("with chicken breast instead of extra-firm tofu")
    assert "(Written for extra-firm tofu; here with chicken breast.)" in made.summary
    assert "here with chicken breast" in made.tools[0].instead
    press, cut, sauce, brown = made.steps[:4]
    assert press.changed == (
        "Written for extra-firm tofu; leave out what only that needs. "
        "With chicken breast: Cut it into strips and cook it first, until 165 °F (74 °C).",
    )
    assert brown.changed == ("Written for extra-firm tofu; here with chicken breast.",)
    assert cut.changed == sauce.changed == ()
    assert not any("tofu" in tip.title.lower() for tip in (*made.tips, *made.new_to))
    assert "No longer: vegan, vegetarian and pescatarian." in made.effects
    assert any("165" in caution.text for caution in made.cautions)
    assert any("chicken breast, keep to the shorter" in note for note in made.keeping_notes)


def test_a_page_without_meat_says_what_a_temperature_was_for() -> None:
    """Vegan fajitas: the step that measures 165 °F and the thermometer speak of chicken."""
    made = page("sheet-pan-chicken-fajitas", promised="vegan")
    roast = next(step for step in made.steps if "165" in step.done)
    assert any("temperature was set for boneless skinless chicken" in t for t in roast.changed)
    thermometer = next(tool for tool in made.tools if "thermometer" in tool.item)
    assert "written for boneless skinless chicken breast" in thermometer.use
    assert made.steps[0].changed == ()
    assert not any("chicken" in tip.title.lower() for tip in made.tips)
    assert "New allergen: soy." in made.effects


def test_a_page_as_written_says_nothing_of_changes() -> None:
    """No swap, no remark."""
    made = page("tofu-broccoli-stir-fry")
    assert made.title == DESK.corpus.recipes["tofu-broccoli-stir-fry"].title
    assert made.effects == made.changes == ()
    assert not any(step.changed for step in made.steps)
    assert "ritten for" not in made.summary


def test_a_word_that_fits_two_lines_speaks_of_neither() -> None:
    """ "Oil" is no word for the sesame oil where there is canola oil too; its whole name is."""
    recipe = DESK.corpus.recipes["tofu-broccoli-stir-fry"]
    dish = make_dish(recipe, ("sesame-oil=canola-oil",), "", DESK.corpus)
    assert named("Warm the oil.", dish, DESK.shelf) == ()
    assert len(named("Add the sesame oil.", dish, DESK.shelf)) == 1
    made = page(recipe.id, swaps=("sesame-oil=canola-oil",))
    told = [n for n, step in enumerate(made.steps) if step.changed]
    uses = [n for n, step in enumerate(recipe.steps) if "sesame oil" in step.text]
    assert told == uses


def test_a_measure_that_no_longer_holds_is_a_part_of_the_batch() -> None:
    """12 eggs (600 g) become 2 1/4 cups of chickpea flour, about 200 g: no longer two muffins."""
    made = page("egg-muffins", promised="vegan")
    assert made.panel.serving == "1 serving: 1/6 of the batch"
    assert "2 muffins in the recipe as written" in made.serves
    # 4 cups of spinach (30 g each) for 3 of kale (about 21 g): nothing of a 2.6 kg soup.
    kale = page("red-lentil-soup", swaps=("baby-spinach=kale",))
    assert kale.panel.serving == "1 bowl: 1 1/3 cups"


def test_every_swap_on_record_is_marked_where_the_words_name_what_went() -> None:
    """For every recipe and every swap on record for it: each step, tool, and the summary that has
    the whole name of what went out (looked for here by plain comparison) says what is there now."""
    corpus, shelf = DESK.corpus, DESK.shelf
    tried = 0
    for recipe in corpus.recipes.values():
        for line in {line.item: line for line in recipe.lines}.values():
            for swap in find_swaps(line.item, corpus, recipe.id):
                try:
                    dish = make_dish(recipe, (f"{line.item}={swap.use}",), "", corpus)
                except HandoutError:
                    continue
                name = f" {' '.join(words(line.name))} "
                longer = [f" {' '.join(words(other.name))} " for other in recipe.lines]
                longer = [other for other in longer if name in other and name != other]

                def speaks(text: str, name: str = name, longer: list[str] = longer) -> bool:
                    """Whether a text has the name, and not as a part of another's ("red onion")."""
                    plain = f" {' '.join(words(text))} "
                    return name in plain and not any(other in plain for other in longer)

                told = in_steps(dish, shelf)
                for step, said in zip(recipe.steps, told, strict=True):
                    assert said or not speaks(step.text), step.id
                assert any(told), (recipe.id, swap.id)
                other = [recipe.summary, *(tool.use for tool in recipe.equipment)]
                for text in filter(speaks, other):
                    assert "ritten for" in with_aside(text, dish, shelf), (recipe.id, text)
                tried += 1
    assert tried > 300


@pytest.mark.parametrize("promised", ["", " , ", "and"])
def test_a_promise_of_nothing_is_refused(promised: str) -> None:
    """`--for ","` promises nothing; that is an error and not a page without a promise."""
    recipe = DESK.corpus.recipes["red-lentil-soup"]
    if not promised:
        assert make_dish(recipe, (), promised, DESK.corpus).diets == ()
        return
    with pytest.raises(HandoutError, match="names no diet"):
        make_dish(recipe, (), promised, DESK.corpus)
