"""Questions to a running clock, in the words of a cook with an audience.

The figures are worked out by hand from the minutes of the recipe, as planned from 12:05:
peanut noodles, water 1–2 and 10–12 waiting: 12:05 to 12:16–12:19; vegetables 12–15: 12:06–12:07 to
12:18–12:22; sauce 6–8: to 12:24–12:30; boil 2 and 8–10 waiting: to 12:34–12:42; drain 2: to
12:36–12:44; loosen 1–2: to 12:37–12:46; toss 2–3: to 12:39–12:49.
"""

from __future__ import annotations

import pytest
from chat_play import Play

_NOODLES = "step 4 of 7, at 12:24–12:30, in 14–20 min."


def _noodles() -> Play:
    """Peanut noodles begun at 12:05; it is 12:10."""
    play = Play("peanut-noodles")
    play.say("start 12:05")
    play.wall.forward(10)
    return play


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("when do the noodles go in?", _NOODLES),
        ("how long until the noodles go in?", _NOODLES),
        ("how long till the edamame go in", _NOODLES),
        ("when do I drain?", "step 5 of 7, at 12:34–12:42, in 24–32 min."),
        ("at what time do I toss?", "step 7 of 7, at 12:37–12:46, in 27–36 min."),
        ("when must the water go on?", "step 1 of 7, under way until 12:16–12:19."),
        ("what step are we on?", "Now: step 1, water, until 12:16–12:19."),
        ("where are we?", "Now: step 2, vegetables, until 12:18–12:22."),
        ("what do I do next?", "Next: step 3, sauce, at 12:18–12:22, in 8–12 min."),
        ("when can we eat?", "ready at 12:39–12:49, in 29–39 min."),
        ("how much longer?", "ready at 12:39–12:49, in 29–39 min."),
        ("how much time is left?", "in 29–39 min."),
        ("when will lunch be ready?", "in 29–39 min."),
        ("are we on time?", "On time: peanut noodles ready at 12:39–12:49, as planned."),
        ("can we make it by 12:45?", "Perhaps: "),
        ("will we be done by 1?", "Yes: peanut noodles ready at 12:39–12:49, 11–21 min before"),
        ("can it be ready by 12:30?", "No: peanut noodles ready at 12:39–12:49, 9–19 min after"),
        ("can I start the sauce earlier?", "Yes: sauce (step 3) waits for no other step."),
        ("can I boil the noodles now?", "not before step 1, water, is over, at 12:16–12:19."),
        ("what can I do while the water boils?", "(10–12 min): vegetables and sauce."),
        ("what comes after the sauce?", "step 4, boil, at 12:24–12:30"),
        ("what comes before draining?", "Before step 5, drain: step 4, boil"),
        ("how can we catch up?", "the shorter minutes win back at most 10 min."),
        ("how long does the sauce take?", "step 3: 6–8 min."),
        ("how long do the noodles cook?", "step 4: 10–12 min, of it 8–10 min unattended."),
        ("what now?", "Next: step 3, sauce, at 12:18–12:22."),
        ("what do I do now?", "Now: step 1, water, until 12:16–12:19."),
        ("what's left to do?", "5 steps are still to begin: sauce, boil, drain, loosen and toss."),
        ("how many minutes until the next step?", "Next: step 3, sauce, at 12:18–12:22, in 8–12"),
        ("how long have we been cooking?", "5 min since the start at 12:05."),
        ("is it time for the noodles yet?", _NOODLES),
        ("when will the edamame be done?", "done with step 4 of 7, at 12:34–12:42."),
        # The hands are free from 12:26–12:32, when the pasta is in, to 12:34–12:42.
        ("when can I take a break?", "The longest break: 8–10 min, at 12:26–12:32."),
        ("what should my helper do?", "Beside it: vegetables and sauce."),
        ("how long is the whole thing?", "34–44 min from start to finish, 26–34 min of it"),
    ],
)
def test_a_question_in_the_middle_of_cooking(question: str, said: str) -> None:
    """Times of day, and from now; what is over, under way or still to come."""
    assert said in _noodles().say(question)


def test_a_delay_is_in_every_answer_after_it() -> None:
    """10 minutes behind: 12:34–12:40 for the noodles, ready 12:49–12:59, and it is said."""
    play = _noodles()
    play.say("behind 10")
    assert "at 12:34–12:40, in 24–30 min." in play.say("when do the noodles go in?")
    shown = play.say("are we on time?")
    assert "10 min behind: peanut noodles ready at 12:49–12:59." in shown
    assert "Planned from 12:05: ready by 12:49 at the latest." in shown
    play.say("ahead 10")
    assert "On time" in play.say("how are we doing?")


def test_what_is_over_counts_in_the_answers() -> None:
    """Vegetables over at 12:15, so the sauce 12:15–12:21 to :23, and the noodles at 12:21–12:23.

    The water is ready at 12:16–12:19, before that; noodles, drain, loosen, toss: 15–19 more.
    """
    play = _noodles()
    play.wall.forward(5)
    play.say("done 2")
    assert "at 12:21–12:23, in 6–8 min." in play.say("when do the noodles go in?")
    assert "ready at 12:36–12:42, in 21–27 min." in play.say("how much longer?")
    assert "Vegetables: step 2 of 7, is over" in play.say("when do I cut the vegetables?")


def test_a_clock_is_of_its_own_recipe() -> None:
    """While the noodles cook, a question about the chili knows no start."""
    shown = _noodles().say("how long does the turkey chili take?")
    assert "54 min–1 h 10 min from start to finish" in shown
    assert "12:" not in shown


@pytest.mark.parametrize("question", ["are we on time?", "what step are we on?", "where are we?"])
def test_without_a_clock_the_start_is_asked_for(question: str) -> None:
    """Nothing can be said of now; the answer asks when cooking began, with an example."""
    shown = Play("peanut-noodles").say(question)
    assert "When did you start?" in shown
    assert "start 12:05" in shown


def test_without_a_clock_the_order_still_tells() -> None:
    """What needs what holds at any time: minutes after the start stand for times of day."""
    play = Play("peanut-noodles")
    assert "not before step 1, water, is over, 11–14 min after the start." in play.say(
        "can I boil the noodles earlier?"
    )
    assert "Nothing of the recipe while step 3, simmer" in Play("red-lentil-soup").say(
        "what can I do while it simmers?"
    )
    assert "19–25 min after the start" in play.say("how long until the noodles go in?")


@pytest.mark.parametrize(
    ("question", "said"),
    [
        # Cut 12–15, brown 6–8, soften 6–8, bloom 1–2, simmer 3–5 and 25–30, finish 1–2: from 11:30
        # the turkey is in at 11:42–11:45, the pot simmers at 11:55–12:03, and all is over at
        # 12:24–12:40. It is 11:50.
        ("is it ready yet?", "Turkey chili ready at 12:24–12:40, in 34–50 min."),
        ("will it be ready for lunch at noon?", "No: turkey chili ready at 12:24–12:40, 24–40 min"),
        ("can we speed this up?", "the shorter minutes win back at most 16 min."),
        ("how can I save ten minutes?", "win back at most 16 min."),
        ("can I brown the turkey earlier?", "Yes: what step 2, brown, needs is over already."),
        ("which step takes longest?", "The longest step: step 5, simmer, 28–35 min, of it 25–30"),
        ("when can I turn it down?", "Simmer: step 5 of 6, at 11:55–12:03, in 5–13 min."),
        ("when do I add the spices?", "Spices: step 4 of 6, at 11:54–12:01, in 4–11 min."),
        ("how many steps are there?", "has 6 steps: cut, brown, soften, bloom, simmer and finish."),
        (
            "what is the next step after simmering?",
            "After step 5, simmer: step 6, finish, at 12:23",
        ),
        ("how long for 12 people?", "54 min–1 h 10 min from start to finish"),
        # 12:00 + 28 + 1 and + 35 + 2
        ("if I start the simmer at 12, when is it done?", "turkey chili ready at 12:29–12:37."),
    ],
)
def test_a_question_about_another_dish(question: str, said: str) -> None:
    """Turkey chili begun at 11:30; the wording is a cook's."""
    play = Play("turkey-chili")
    play.wall.forward(-30)
    play.say("start 11:30")
    play.wall.forward(20)
    assert said in play.say(question)


@pytest.mark.parametrize(
    ("recipe", "question", "said"),
    [
        # The rice of the bowls needs nothing; that of the fried rice waits for the pan.
        ("sweet-potato-black-bean-bowls", "can I start the rice earlier?", "Yes: rice (step 1)"),
        ("vegetable-fried-rice", "can I start the rice earlier?", "not before step 3, loosen and"),
        # Oven 1 + 10–12 waiting.
        ("egg-muffins", "how long before the oven is hot?", "Oven: done with step 1 of 8, 11–13"),
        ("egg-muffins", "when do I preheat the oven?", "Oven: step 1 of 8, at the start."),
        # 43–53 minutes in all against 45 and 30 of them.
        ("tomato-soup", "demo starts at 12, ends at 12:45, does that work?", "Just: from 12:00"),
        ("tomato-soup", "I have 30 minutes, is that enough?", "No: 30 min for what takes 43–53"),
        ("tomato-soup", "I have an hour, is that enough?", "Yes: 1 h for what takes 43–53 min"),
        # 2 + 25–30 minutes.
        ("red-lentil-soup", "is 20 minutes enough to simmer?", "No: 20 min for what takes 27–32"),
        # The carrots simmer on with the soup: 7–9 + 27–32.
        ("red-lentil-soup", "when are the carrots done?", "Carrots: done with step 3 of 5, 34–41"),
        ("barley-mushroom-risotto", "how long does the barley simmer?", "step 5: 38–45 min"),
    ],
)
def test_a_question_before_any_clock_runs(recipe: str, question: str, said: str) -> None:
    """Minutes after the start, from the recipe alone; the figures are sums of its own minutes."""
    assert said in Play(recipe).say(question)
