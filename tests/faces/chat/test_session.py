"""A whole demonstration played through the session, without a terminal."""

from __future__ import annotations

import pytest
from chat_play import Play
from desk_fixture import TODAY, desk
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.faces.chat.rows import Row, printed
from assistant.faces.chat.session import answered


def test_a_pinned_recipe_and_servings_answer_for_themselves() -> None:
    """6 cups for 6 are 14 cups for 14, and what was taken over stands in the first line."""
    play = Play()
    assert play.say("recipe red lentil soup") == "Red lentil soup, as written, for 6."
    assert play.say("servings 14") == "Red lentil soup for 14."
    head, taken, *_ = play.rows("how much broth?")
    assert "14 cups" in head.text
    assert taken.text.startswith("Taken as: about the red lentil soup; for 14")


def test_a_follow_up_is_read_in_the_light_of_what_went_before() -> None:
    """ "And the carrots?" after a question of broth asks how many carrots: 2 x 14/6 = 4 2/3."""
    play = Play("red-lentil-soup", 14)
    play.say("how much broth?")
    assert "4 2/3 medium carrots" in play.say("and the carrots?")


def test_more_unfolds_the_last_answer() -> None:
    """The glance names what is folded; `more` shows the working and the sources."""
    play = Play("red-lentil-soup", 14)
    assert "6 cups" not in play.say("how much broth?")
    more = play.say("more")
    assert "6 cups × 2 1/3 = 14 cups" in more
    assert "recipes/red-lentil-soup.yaml" in more
    assert Play().say("more") == "There is no answer yet to unfold."


def test_a_glance_is_short() -> None:
    """A whole list of ingredients is folded to a few lines, and says how many are left."""
    rows = Play("red-lentil-soup", 14).rows("what are the ingredients?")
    assert len([row for row in rows if row.style == "text"]) <= 8
    assert rows[-1].text.startswith("more: ")


def test_an_urgent_answer_is_whole_and_says_so_in_words() -> None:
    """Urgent rows carry their own word and style; nothing of them is folded."""
    play = Play("peanut-noodles")
    rows = play.rows("my son ate the noodles and his lips are swelling")
    assert rows[0].style == "urgent"
    assert rows[0].text.startswith("URGENT. ")
    assert "911" in rows[0].text
    assert not any("Taken as" in row.text for row in rows)


@pytest.mark.parametrize(
    "question",
    [
        "how long does garlic in oil keep",
        "is this can of beans fine, it is bulging",
        "can I freeze the soup in mason jars?",
    ],
)
def test_a_stop_caution_is_never_folded(question: str) -> None:
    """Every stop caution of the answers stands in the glance, marked by its word."""
    play = Play("red-lentil-soup")
    turn = desk().converse(question, desk().context("red-lentil-soup", None, TODAY))
    stops = [c.text for answer in turn.answers for c in answer.cautions if c.level == "stop"]
    shown = play.say(question)
    assert stops or "URGENT" in shown
    for text in stops:
        assert f"STOP: {text}" in shown


def test_the_copy_is_short_and_keeps_the_caution() -> None:
    """Fewer than 500 characters, with every stop and warn caution that reaches."""
    play = Play("turkey-chili", 30)
    play.say("how long does the chili keep in the fridge?")
    copied = play.say("copy")
    assert 20 < len(copied) < 500
    assert "Caution: " in copied
    assert "Taken as" not in copied


QUESTIONS = [
    "how much broth for 14?", "is it vegan?", "how much sodium is in it?", "does it freeze?",
    "what can I use instead of the spinach?", "left it out overnight, still fine?",
    "how long does it take?", "what do I serve with it?", "is it safe for a peanut allergy?",
    "can my baby eat it?", "what's in it", "will it fit in a 5-quart pot for 20?",
]  # fmt: skip


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("recipe", ["red-lentil-soup", "turkey-chili", "sheet-pan-salmon"])
def test_every_copy_is_short(recipe: str, question: str) -> None:
    """Whatever was asked, the short form stays under 500 characters and has the headline."""
    play = Play(recipe)
    head = next(row.text for row in play.rows(question) if row.style in {"head", "urgent"})
    copied = play.say("copy")
    assert len(copied) < 500
    assert copied.startswith(head) or "URGENT" in copied


# ------------------------------------------------------------------------------------- the clock


def test_the_clock_shows_every_step_at_its_time() -> None:
    """Soup: 6–8, then 1, then 2 + 25–30, 3, 2: from 12:05 it is ready at 12:44–12:51."""
    play = Play("red-lentil-soup")
    shown = play.say("start 12:05")
    assert "Red lentil soup from 12:05: ready at 12:44–12:51." in shown
    assert "12:12–12:14 step 3" in shown
    assert "12:42–12:49" in play.say("when does the spinach go in?")


def test_the_start_says_that_a_larger_batch_takes_longer() -> None:
    """The minutes are the recipe's own for 6; with 14 pinned it is said, with 4 it is not."""
    assert "The minutes are for 6; for 14" in Play("red-lentil-soup", 14).say("start 12:05")
    assert "The minutes" not in Play("red-lentil-soup", 4).say("start 12:05")


def test_next_says_what_runs_and_what_is_due() -> None:
    """At 12:10 step 1 runs until 12:11–12:13 and step 2 follows."""
    play = Play("red-lentil-soup")
    play.say("starting at 12:05")
    play.wall.forward(10)
    shown = play.say("what's next?")
    assert "Next: step 2, bloom, at 12:11–12:13." in shown
    assert "Now: step 1, soften, until 12:11–12:13." in shown


def test_behind_moves_what_is_left() -> None:
    """10 minutes later, and the step that runs goes on."""
    play = Play("red-lentil-soup")
    play.say("start 12:05")
    play.wall.forward(10)
    shown = play.say("we are 10 minutes behind")
    assert "ready at 12:54–1:01" in shown
    assert "Next: step 2, bloom, at 12:21–12:23." in shown
    assert "Now: step 1" in shown
    assert "12:52–12:59" in play.say("when does the spinach go in?")
    assert "ready at 12:49–12:56" in play.say("ahead 5")


def test_a_delay_leaves_alone_what_is_over() -> None:
    """At 12:13 step 1 is over and step 2 runs; 10 minutes later the soup is ready at 12:56–1:01."""
    play = Play("red-lentil-soup")
    play.say("start 12:05")
    play.wall.forward(13)
    shown = play.say("behind 10")
    assert "Now: step 2, bloom" in shown
    assert "Next: step 3, simmer, at 12:24." in shown
    assert "step 1" not in shown
    assert "ready at 12:56–1:01" in shown


def test_done_plans_the_rest_from_now() -> None:
    """Step 1 is over at 12:20: step 2 is due at 12:20, the soup 33–38 minutes later."""
    play = Play("red-lentil-soup")
    play.say("start 12:05")
    play.wall.forward(6)
    play.wall.forward(6)
    play.say("behind 10")
    play.wall.forward(8)
    shown = play.say("done")
    assert "Step 1, soften, is over at 12:20." in shown
    assert "Now: step 2, bloom, until 12:21." in shown
    assert "Next: step 3, simmer, at 12:21." in play.say("next")
    assert play.session.clock.running is not None
    assert play.session.clock.running.ready() == "12:53–12:58"
    assert "There is no step 9" in play.say("done 9")


def test_the_clock_asks_for_what_it_lacks() -> None:
    """No recipe, no clock, no time: each says what to type."""
    play = Play()
    assert "recipe red lentil soup" in play.say("start 12:05")
    assert "start 12:05" in play.say("next")
    play.say("recipe turkey chili")
    assert "start 12:05" in play.say("start soonish")
    play.say("start")
    assert "behind 10" in play.say("behind")


def test_a_timer_rings_once_above_the_next_reply() -> None:
    """The bar shows the time left, then that it rings; the reply says it and ends it."""
    play = Play("red-lentil-soup")
    assert play.say("timer 9 min pasta") == "Timer pasta: 9:00, until 12:09."
    play.wall.forward(2)
    assert "pasta 7:00" in play.session.bar()
    assert not play.session.clock.rang()
    play.wall.forward(7)
    assert play.session.bar().startswith("TIMER pasta RINGS")
    assert play.session.clock.rang()
    play.session.clock.heard()
    assert not play.session.clock.rang()
    assert play.rows("servings 8")[0] == Row("urgent", "TIMER: pasta is up, since 12:09.")
    assert "RINGS" not in play.session.bar()


def test_timers_are_set_and_ended_in_other_words() -> None:
    """A reminder is a timer with its words for a name; ending one takes its name."""
    play = Play()
    assert play.say("remind me to check the salmon in 10 minutes") == (
        "Timer check the salmon: 10:00, until 12:10."
    )
    assert play.say("timer for 3 min garlic") == "Timer garlic: 3:00, until 12:03."
    assert play.say("set a timer for 12 minutes for the rice") == "Timer rice: 12:00, until 12:12."
    assert play.say("cancel the rice timer") == "Timer off: rice."
    assert play.say("stop the timers") == "Timer off: garlic, check the salmon."
    assert play.say("timers") == "No timer is running."


def test_a_step_is_over_by_its_name_and_the_clock_can_be_stopped() -> None:
    """Steps are named as the bar names them; a name that is none lists them."""
    play = Play("red-lentil-soup")
    play.say("start 12:00")
    assert "Step 1, soften, is over at 12:00." in play.say("done soften")
    assert "Step 2, bloom, is over" in play.say("step 2 is done")
    assert "The steps: 1 soften, 2 bloom, 3 simmer" in play.say("done potatoes")
    assert play.say("stop the clock") == "The clock is off."
    assert "start 12:05" in play.say("start off")
    assert "step" not in play.session.bar()


def test_timers_are_listed_and_ended() -> None:
    """By name or all; the same words said otherwise set one too."""
    play = Play()
    play.say("timer rice 20 min")
    play.say("set a timer for 90 s eggs")
    assert play.say("timer") == "Timers:\neggs: 1:30\nrice: 20:00"
    assert play.say("timer off rice") == "Timer off: rice."
    assert 'called "rice": eggs' in play.say("timer off rice")
    assert "timer 9 min pasta" in play.say("timer soon")
    assert play.say("timer off all") == "Timer off: eggs."


def test_a_narrow_bar_takes_a_shorter_name() -> None:
    """The longest of the recipe's names that has room beside the step, and never a cut one."""
    play = Play("sweet-potato-black-bean-bowls", 14)
    play.say("start 12:00")
    assert play.session.bar(120).startswith("Sweet potato and black bean bowls for 14 | step 1")
    assert play.session.bar(60).startswith("sweet potato black bean bowl for 14 | step 1 rice")


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_the_bar_keeps_to_the_window(width: int) -> None:
    """What matters most stands first and the bar never wraps."""
    play = Play("barley-mushroom-risotto", 14)
    play.say("start 12:00")
    play.say("timer 1 min broth")
    play.wall.forward(2)
    bar = play.session.bar(width)
    assert len(bar) < width
    assert bar.startswith("TIMER broth RINGS")


# --------------------------------------------------------------------------- commands and questions


def test_help_lists_every_command_with_an_example() -> None:
    """Each example is itself a command."""
    from assistant.faces.chat.commands import COMMANDS, told

    shown = Play().say("help")
    for command in COMMANDS:
        assert command.example in shown
        said = told(command.example)
        assert said is not None
        assert said.name == command.name
    assert Play().say("help timer").count("\n") == 0


@pytest.mark.parametrize(
    "line",
    ["more salt?", "more salt or less", "next week, is it still fine?", "copy of the recipe?",
     "recipe for lentil soup", "start with which step?", "done when?", "leave out the salt?",
     "servings?", "what's in it", "how far behind are we?"],
)  # fmt: skip
def test_a_question_that_begins_like_a_command_is_a_question(line: str) -> None:
    """Words of commands do not swallow questions."""
    from assistant.faces.chat.commands import told

    assert told(line) is None


@pytest.mark.parametrize(
    ("line", "name"),
    [("START 12:05", "start"), ("starting at 12.05", "start"), ("we started at 9 am", "start"),
     ("we're running 10 minutes late", "behind"), ("5 min ahead", "ahead"),
     ("What’s next?", "next"),
     ("what is due next?", "next"), ("set a 9 minute timer", "timer"), ("bye", "leave"),
     ("done 3", "done"), ("help", "help"), ("quiet on", "quiet"),
     ("step 3 is done", "done"), ("done head start", "done"), ("we lost 5 minutes", "behind"),
     ("start a timer for 90 s eggs", "timer"), ("remind me in 5 min to stir", "timer"),
     ("cancel the salmon timer", "timer"), ("timers", "timer"), ("stop the clock", "start"),
     ("what now?", "next")],
)  # fmt: skip
def test_commands_are_told_in_a_few_ways(line: str, name: str) -> None:
    """The usual ways of saying a command count."""
    from assistant.faces.chat.commands import told

    said = told(line)
    assert said is not None
    assert said.name == name


def test_bad_arguments_say_what_to_type() -> None:
    """A message in plain words with an example, and nothing changes."""
    play = Play("red-lentil-soup", 14)
    assert "servings 14" in play.say("servings lots")
    assert "above 0" in play.say("servings 0")
    assert "5,000" in play.say("servings 90000")
    assert "recipe lists them all" in play.say("recipe bouillabaisse")
    assert "Red lentil soup for 14" in play.session.bar()
    assert "Turkey chili" in play.say("recipe")
    assert "help" in play.say("???")


def test_a_pasted_transcript_is_answered_question_by_question() -> None:
    """Times and names go, thanks are counted, an urgent line comes through."""
    play = Play("red-lentil-soup", 14)
    shown = play.say(
        "12:03 Ana: how much broth?\n"
        "12:03 Raj: thanks, looks great!\n"
        "12:04 Kim: is it vegan?\n"
        "12:05 Lee: my daughter ate it and her lips are swelling\n"
    )
    assert "14 cups" in shown
    assert "vegan" in shown
    assert "URGENT" in shown
    assert "1 line asks nothing" in shown
    assert "Ana" not in shown
    assert "14 cups" in play.say("more")


def test_what_is_urgent_in_a_transcript_comes_before_all_else() -> None:
    """Its answer is the first and is said again at the end, in the words that were pasted."""
    play = Play("red-lentil-soup")
    rows = play.rows("how much broth?\nI just ate some and my throat feels tight\nis it vegan?\n")
    assert rows[0].text == "> I just ate some and my throat feels tight"
    assert rows[1].style == "urgent"
    assert rows[-1].style == "urgent"
    assert rows[-1].text.startswith('URGENT, answered first: "I just ate some')
    assert "Call 911" in rows[-1].text
    assert "URGENT" in play.say("copy")


def test_messages_of_a_transcript_are_no_replies_to_each_other() -> None:
    """A second person's words are not put into the first one's question."""
    shown = Play("red-lentil-soup").say("how much broth for 14?\nand the carrots, lovely")
    assert "14 cups" in shown
    assert "how much" not in shown.partition("14 cups")[2]


def test_an_unanswered_question_without_a_mark_is_no_line_that_asks_nothing() -> None:
    """It begins as questions do, so it is answered with "I don't know" and kept for gaps."""
    shown = Play().say("how do I make beef wellington\nthanks a lot")
    assert "> how do I make beef wellington" in shown
    assert "1 line asks nothing" in shown


def test_leaving() -> None:
    """`leave` ends the chat and says nothing."""
    reply = Play().session.line("leave")
    assert reply.leave
    assert reply.rows == ()


def test_a_changed_corpus_is_read_again() -> None:
    """The stamp changes: the next line opens the desk anew and says so; the one after does not."""
    play = Play("red-lentil-soup")
    play.stamp = 1
    assert "was read again" in play.say("how much broth?")
    assert "was read again" not in play.say("how much broth?")


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_no_line_breaks_the_session(line: str) -> None:
    """Whatever is typed, there is a reply, and no control character reaches the terminal."""
    play = Play("red-lentil-soup")
    text = printed(play.rows(line), 60)
    assert all(c == "\n" or c.isprintable() for c in text)
    assert len(play.session.bar(60)) < 60


def test_a_fault_in_an_answer_does_not_end_the_chat(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is said in one sentence, and the next line is answered."""
    play = Play("red-lentil-soup")
    play.say("start 12:05")

    def fails(line: str) -> None:
        raise ZeroDivisionError("by hand")

    with monkeypatch.context() as patch:
        patch.setattr(play.session, "_reply", fails)
        head, rest = answered(play.session, "how much broth?").rows
    assert head.text.startswith("This could not be answered: a fault in the program (ZeroDivision")
    assert "as before" in rest.text
    assert "cups" in play.say("how much broth?")
    assert "Next: step 1" in play.say("next")
