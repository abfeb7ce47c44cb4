"""The handout's figures, structure, escaping and errors."""

from __future__ import annotations

import re
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import msgspec
import pytest
from desk_fixture import ROOT
from handout.pages import DESK, Seen, page

from assistant.corpus.records import Recipe
from assistant.faces.handout.asked import Asked
from assistant.faces.handout.changes import HandoutError, desk_for, make_dish
from assistant.faces.handout.page import Page, make_page
from assistant.faces.handout.write import form_of, render, write
from assistant.kinds.nutrition.contribution import of_all
from assistant.question.reading import Reading

HOSTILE = (
    '"><script>alert(1)</script><img src=x onerror=go()>{{ 7*7 }} **bold** | `c` &amp; \x1b[31m\x00'
)


@pytest.mark.parametrize("recipe", sorted(DESK.corpus.recipes))
def test_the_panel_has_the_figures_of_ask(recipe: str) -> None:
    """Every declared value and per cent on the panel stands in the answer of `ask` in full."""
    made = page(recipe).panel
    title = DESK.corpus.recipes[recipe].title.lower()
    told = DESK.ask(f"all nutrition figures for the {title}", DESK.context(recipe))
    shown = {figure.name.split(" in one ")[0]: figure.shown for figure in told.figures}
    known = DESK.corpus.nutrients
    assert made.energy is not None
    for row in (made.energy, *made.rows, *made.vitamins):
        name = known[row.id].name
        expected = shown[name].removesuffix(" kcal").replace("µg", "mcg")
        assert row.amount == expected
        line = next(line for line in told.lines if line.lower().startswith(name.lower() + " "))
        assert (row.daily in line) if row.daily else ("DV" not in line)
        assert row.lacking == expected.startswith("at least")


@pytest.mark.parametrize(("recipe", "servings"), [("red-lentil-soup", 14), ("turkey-chili", 3)])
def test_the_amounts_are_those_of_ask(recipe: str, servings: int) -> None:
    """US and metric amounts of each line are those that scaling answers with."""
    made = page(recipe, servings)
    told = DESK.answer_kind("scale", DESK.context(recipe, Fraction(servings)))
    for one, figure in zip(made.ingredients, told.figures, strict=True):
        us, _, beside = figure.shown.partition(" (")
        assert one.us == figure.shown or one.us.startswith(us)
        if one.metric and not one.metric.startswith("about") and beside:
            assert one.metric.split(" (")[0] in figure.shown


def test_by_hand() -> None:
    """14 servings of a soup with 6 cups broth for 6: 6 × 14/6 = 14 cups, 3.3 L."""
    made = page("red-lentil-soup", 14)
    broth = next(one for one in made.ingredients if "broth" in one.name)
    assert (broth.us, broth.metric) == ("14 cups", "3.3 L")
    assert made.panel.servings == "14 servings"


@pytest.mark.parametrize("nutrient", ["sodium", "energy"])
@pytest.mark.parametrize("recipe", ["red-lentil-soup", "peanut-noodles"])
def test_the_bars_have_the_figures_of_ask(recipe: str, nutrient: str) -> None:
    """Each bar's number is the figure that `ask` gives for the ingredient; the largest is first."""
    (bars,) = [group for group in page(recipe).bars if group.id == nutrient]
    context = DESK.context(recipe)
    reading = Reading(text="", words=(), kind="nutrition", recipe=recipe, today=context.today)
    told = of_all(reading, DESK.corpus.recipes[recipe], DESK.corpus.nutrients[nutrient], DESK.shelf)
    expected = [(f.name.split(",")[0], f.shown) for f in told.figures[1:]]
    assert [(bar.name, bar.amount) for bar in bars.bars] == expected[: len(bars.bars)]
    assert bars.whole == told.figures[0].shown
    widths = [bar.width for bar in bars.bars]
    assert widths[0] == 100
    assert widths == sorted(widths, reverse=True)


def test_a_swap_changes_lines_steps_and_figures() -> None:
    """4 cups spinach become 3 cups kale; the step says so; the panel is that of the new lines."""
    made = page("red-lentil-soup", swaps=("baby-spinach=kale",))
    kale = next(one for one in made.ingredients if one.name == "kale")
    assert kale.us == "3 cups"
    assert not any(one.name == "baby spinach" for one in made.ingredients)
    assert any(
        "baby spinach" in told and "kale" in told for step in made.steps for told in step.changed
    )
    plain = page("red-lentil-soup").panel
    assert made.panel.vitamins != plain.vitamins
    assert "changes named on this page" in made.panel.origin
    told = DESK.ask(
        "how many mg of calcium per bowl if I use kale instead of the spinach",
        DESK.context("red-lentil-soup"),
    )
    calcium = next(row for row in made.panel.vitamins if row.id == "calcium")
    assert calcium.amount == told.figures[0].shown


def test_a_promise_is_kept_by_swaps_on_record() -> None:
    """A vegan page holds nothing of an animal in its lines, its swaps and what goes beside it."""
    made = page("red-lentil-soup", promised="vegan")
    assert not any("yogurt" in one.name for one in made.ingredients)
    assert not any("yogurt" in text.lower() for text in made.pairs)
    assert not any("yogurt" in offer.lead for offer in made.offers)
    assert made.title == "Red lentil soup, made vegan"
    assert made.promise[0].startswith("By its ingredients this is vegan")
    assert "safe for" not in render(made, "html").replace("Nothing here is safe for", "")


def test_dates_are_left_to_fill_in() -> None:
    """The page names no day: two blanks for each place."""
    made = page("turkey-chili")
    html = render(made, "html")
    assert html.count('class="blank"') == 2 * len(made.keeping) == 4
    assert "Made today" not in html


@pytest.mark.parametrize(
    ("swaps", "promised", "words"),
    [
        (("baby-spinach=feta",), "", "no swap on record from baby-spinach"),
        (("rutabaga=kale",), "", 'no "rutabaga" in red-lentil-soup'),
        (("kale",), "", "write OUT=USE"),
        ((), "carnivore", 'no diet is called "carnivore"'),
    ],
)
def test_what_cannot_be_made_is_told_in_one_line(
    swaps: tuple[str, ...], promised: str, words: str
) -> None:
    """Each error names what was given and what is on record."""
    with pytest.raises(HandoutError, match=re.escape(words)) as error:
        page("red-lentil-soup", swaps=swaps, promised=promised)
    assert "\n" not in str(error.value)


def test_a_swap_that_breaks_a_promise_is_refused() -> None:
    """Every swap on record whose ingredient is milk or egg is refused on a vegan page."""
    tried = 0
    vegan = {"dairy", "egg", "honey", "meat", "poultry", "fish"}
    for recipe in DESK.corpus.recipes.values():
        for swap in DESK.corpus.swaps.values():
            use = DESK.corpus.pantry[swap.use]
            out = next((line.item for line in recipe.lines if line.item in swap.out), "")
            if (
                not out
                or use.origin not in vegan
                or recipe.id not in swap.recipes
                or swap.fit == "no"
            ):
                continue
            tried += 1
            with pytest.raises(HandoutError, match=r"it brings|swap on record"):
                make_dish(recipe, (f"{out}={swap.use}",), "vegan", DESK.corpus)
    assert tried


def hostile_page() -> Page:
    """The page of a recipe whose every text is hostile, made from the corpus on."""
    plain = DESK.corpus.recipes["red-lentil-soup"]
    replace = msgspec.structs.replace
    bad: Recipe = replace(
        plain,
        title=HOSTILE,
        summary=HOSTILE,
        reheat=HOSTILE,
        yields=replace(plain.yields, unit=HOSTILE, measure=HOSTILE),
        lines=tuple(replace(line, name=HOSTILE, prep=HOSTILE) for line in plain.lines),
        steps=tuple(replace(s, text=HOSTILE, done=HOSTILE, heat=HOSTILE) for s in plain.steps),
        equipment=tuple(
            replace(tool, item=HOSTILE, use=HOSTILE, instead=HOSTILE) for tool in plain.equipment
        ),
        storage=replace(plain.storage, note=HOSTILE),
        pairs=tuple(replace(pair, text=HOSTILE) for pair in plain.pairs),
    )
    dish = make_dish(bad, ("baby-spinach=kale",), "", DESK.corpus)
    asked = Asked(HOSTILE, HOSTILE, (HOSTILE,), (), ())
    return make_page(desk_for(DESK, dish), dish, DESK.context("red-lentil-soup"), [asked])


def test_hostile_text_is_shown_as_text() -> None:
    """Whatever a corpus or a question holds, HTML shows it and runs nothing of it."""
    html = render(hostile_page(), "html")
    seen = Seen(html)
    assert seen.faults == []
    assert not {"script", "img"} & {tag for tag, _ in seen.tags}
    # Title, summary, yields, lines, steps, tools, storage, reheating, pairs, question and answer.
    assert seen.words.count("<script>alert(1)</script>") >= 30
    assert seen.words.count("{{ 7*7 }}") == seen.words.count("<script>alert(1)</script>")
    assert not set(html) & {"\x00", "\x1b"}


def test_hostile_text_would_run_without_escaping(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same page from an environment that does not escape holds the script: the test above is
    no idle one."""
    import jinja2

    made = jinja2.Environment

    def careless(**options: object) -> jinja2.Environment:
        return made(**{**options, "autoescape": False})  # type: ignore[arg-type]

    monkeypatch.setattr(jinja2, "Environment", careless)
    seen = Seen(render(hostile_page(), "html"))
    assert {"script", "img"} <= {tag for tag, _ in seen.tags}


def test_hostile_text_is_no_mark_in_markdown() -> None:
    """Markdown shows it too: no tag, no emphasis, no table cell more."""
    markdown = render(hostile_page(), "markdown")
    bare = re.sub(r"\\.", "", markdown)
    assert not re.search(r"<|`", bare)
    assert "**bold**" not in markdown
    rows = [line for line in markdown.splitlines() if line.startswith("|") and "script" in line]
    assert rows
    assert all(len(re.findall(r"(?<!\\)\|", row)) == 4 for row in rows)


def test_nothing_is_said_twice_in_the_storage_notes() -> None:
    """The rule's "containers no more than 2 inches deep" goes where the recipe says as much; a
    sentence of the rule that the recipe does not say stays."""
    notes = page("split-pea-soup").keeping_notes
    assert sum("2 inches" in note for note in notes) == 1
    assert any("after thawing" in note for note in notes)
    assert any("2 inches deep" in note for note in page("red-lentil-soup").keeping_notes)


def test_what_goes_beside_it_tells_what_it_adds() -> None:
    """Bread beside a soup without wheat adds wheat and gluten; rice adds nothing."""
    assert "Whole-wheat bread, 2 slices (adds wheat and gluten)" in page("red-lentil-soup").pairs
    assert "Cooked brown rice, 3/4 cup" in page("chickpea-curry").pairs


def test_first_timers_are_told_what_an_ingredient_is() -> None:
    """Red lentils are told by their record; what only says where figures come from is not told."""
    made = page("red-lentil-soup")
    assert [tip.title for tip in made.new_to] == ["Dry red lentils"]
    coconut = next(t for t in page("chickpea-curry").new_to if "coconut" in t.title)
    assert coconut.text.startswith("Canned coconut milk")
    assert "composition table" not in coconut.text
    listed = DESK.corpus.lists["unfamiliar-items"].words
    assert all(DESK.corpus.pantry[item].about for item in listed)


@pytest.mark.parametrize("recipe", ["red-lentil-soup", "turkey-chili"])
def test_markdown_has_the_same_panel(recipe: str) -> None:
    """The Markdown table holds each row of the panel; no template word is left."""
    made = page(recipe)
    text = render(made, "markdown")
    assert "{%" not in text
    for row in (*made.panel.rows, *made.panel.vitamins):
        assert re.search(rf"^\| .*{re.escape(row.name)}.*\| {re.escape(row.amount)}", text, re.M)


def test_the_plain_words_hold_every_figure() -> None:
    """A screen reader is told each nutrient with its amount."""
    panel = page("turkey-chili").panel
    text = " ".join(panel.plain)
    assert all(f"{row.name}: {row.amount}" in text for row in (*panel.rows, *panel.vitamins))
    assert "not a laboratory analysis" in text


# ------------------------------------------------------------------------------------------ files


def test_the_ending_tells_the_form() -> None:
    """.html and .md are known; any other needs --format."""
    assert form_of("a.HTML") == "html"
    assert form_of("a.md") == "markdown"
    assert form_of("a.txt", "html") == "html"
    with pytest.raises(HandoutError, match="--format"):
        form_of("a.txt")


def test_a_file_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What fails on the way leaves the old page and no leavings."""
    place = tmp_path / "page.html"
    write("old", str(place))
    write("new", str(place))
    assert place.read_text("utf-8") == "new"

    def broken(self: Path, target: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", broken)
    with pytest.raises(HandoutError, match="No space left"):
        write("half", str(place))
    assert place.read_text("utf-8") == "new"
    assert [path.name for path in tmp_path.iterdir()] == ["page.html"]


@pytest.mark.parametrize("name", ["", ".", "missing/page.html", "x\x00.html"])
def test_a_place_that_cannot_be_written(name: str, tmp_path: Path) -> None:
    """A folder, a folder that is not there, and no name at all are told in one line."""
    with pytest.raises(HandoutError, match="--out") as error:
        write("text", str(tmp_path / name) if name else "")
    assert "\n" not in str(error.value)


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """`assistant handout …` as a user would run it."""
    return subprocess.run(
        [sys.executable, "-m", "assistant", "handout", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=120,
    )


@pytest.mark.parametrize(
    "arguments",
    [
        ("red-lentil-soop",),
        ("red-lentil-soup", "--swap", "baby-spinach=feta"),
        ("red-lentil-soup", "--servings", "0"),
        ("red-lentil-soup", "--for", "carnivore"),
        ("red-lentil-soup", "--questions", "nowhere.txt"),
    ],
)
def test_errors_on_the_command_line(arguments: tuple[str, ...], tmp_path: Path) -> None:
    """One line on standard error, exit status 2, and no file."""
    out = tmp_path / "page.html"
    done = run(*arguments, "--out", str(out))
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("assistant: ")
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_readme_shows_what_a_page_says() -> None:
    """The lines that README shows of a page with a swap stand in it, in that order."""
    made = page("tofu-broccoli-stir-fry", swaps=("extra-firm-tofu=chicken-breast",))
    text = render(made, "markdown")
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = readme.partition("## The follow-up handout")[2].partition("```text\n")[2]
    lines = shown.partition("```")[0].splitlines()
    assert len(lines) == 5
    for line in lines:
        assert line in text
        text = text.partition(line)[2]
