"""The clock: schedules, the longest chain, what is due, times of day."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from desk_fixture import desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.corpus.records import Step
from assistant.kitchen.clock import (
    Progress,
    beside,
    breaks,
    due,
    hands_on,
    longest_chain,
    read_face,
    running_order,
    schedule,
    show_time,
    show_times,
    whole,
)


def _r(low: int, high: int) -> tuple[Fraction, Fraction]:
    return Fraction(low), Fraction(high)


def _step(
    ident: str, active: str = "0 min", passive: str = "0 min", needs: str | None = None
) -> Step:
    named = None if needs is None else tuple(needs.split())
    return Step(id=ident, text=ident, active=active, passive=passive, needs=named)


# Worked out by hand: the water boils 1..11/13, cutting is done at 7/9, pasta goes in when both are
# over and takes 2 + 8/10.
PASTA = (
    _step("water", "1 min", "10–12 min", ""),
    _step("cut", "6–8 min", needs=""),
    _step("pasta", "2 min", "8–10 min", "water cut"),
)


def test_waiting_runs_beside_work() -> None:
    """Cutting runs while the water heats; the pasta waits for the later of the two."""
    water, cut, pasta = schedule(PASTA)
    assert (water.start, water.end) == (_r(0, 0), _r(11, 13))
    assert (cut.start, cut.end) == (_r(1, 1), _r(7, 9))
    assert (pasta.start, pasta.end) == (_r(11, 13), _r(21, 25))
    assert whole(schedule(PASTA)) == _r(21, 25)
    assert hands_on(schedule(PASTA)) == _r(9, 11)


def test_two_hands_never_do_two_things() -> None:
    """Two steps that need nothing still follow one another while they keep the hands busy."""
    one, two = schedule((_step("one", "5 min", needs=""), _step("two", "3 min", needs="")))
    assert one.start == _r(0, 0)
    assert two.start == _r(5, 5)


def test_a_free_gap_of_the_hands_is_used() -> None:
    """A step written last that needs nothing is done while the pot simmers."""
    steps = (
        _step("pot", "2 min", "20 min", ""),
        _step("finish", "1 min"),
        _step("salad", "10 min", needs=""),
        _step("serve", "1 min", needs="finish salad"),
    )
    timed = schedule(steps)
    assert timed[2].start == _r(2, 2)
    assert whole(timed) == _r(24, 24)
    assert [t.step.id for t in running_order(timed)] == ["pot", "salad", "finish", "serve"]


def test_the_longest_chain_follows_the_needs() -> None:
    """Oven 1 + 12/15, head start 1 + 15, roast 2/3 + 12/15, serve 2: 45 to 52 minutes."""
    chain = longest_chain(desk().corpus.recipes["sheet-pan-salmon"].steps)
    assert chain.steps == ("oven", "head-start", "roast", "serve")
    assert chain.minutes == _r(45, 52)


def test_a_step_that_was_late_moves_what_needs_it() -> None:
    """The pasta went in the pot late: what follows counts from when it was over."""
    timed = schedule((*PASTA, _step("serve", "2 min")), over={"pasta": Fraction(40)})
    assert timed[3].start == _r(40, 40)


def test_a_waiting_step_that_is_over_leaves_the_hands_free() -> None:
    """That the oven is hot at minute 13 does not delay the cutting that went on meanwhile."""
    timed = schedule(PASTA, over={"water": Fraction(13)})
    assert timed[1].start[1] <= 3
    assert timed[2].start == _r(13, 13)


def test_what_is_due() -> None:
    """At minute 5 the water heats and the cutting goes on; the pasta is next."""
    running, later = due(schedule(PASTA), Fraction(5), {})
    assert [t.step.id for t in running] == ["water", "cut"]
    assert [t.step.id for t in later] == ["pasta"]


_MINUTES = st.integers(0, 40)


@st.composite
def _recipes(draw: st.DrawFn) -> tuple[Step, ...]:
    steps: list[Step] = []
    for i in range(draw(st.integers(1, 7))):
        low, wait = draw(_MINUTES), draw(_MINUTES)
        before = [step.id for step in steps]
        needs = draw(st.lists(st.sampled_from(before), unique=True)) if before else []
        steps.append(
            _step(
                f"s{i}",
                f"{low}–{low + draw(_MINUTES)} min",
                f"{wait}–{wait + draw(_MINUTES)} min",
                " ".join(needs),
            )
        )
    return tuple(steps)


@given(_recipes())
def test_a_schedule_keeps_its_promises(steps: tuple[Step, ...]) -> None:
    """No step begins before what it needs, hands do one thing at a time, quick is never slower,
    and the whole lies between the longest chain and everything one after the other."""
    timed = {t.step.id: t for t in schedule(steps)}
    for t in timed.values():
        assert t.start[0] <= t.start[1]
        assert t.end[0] <= t.end[1]
        for need in t.step.needs or ():
            assert all(timed[need].end[case] <= t.start[case] for case in (0, 1))
    for case in (0, 1):
        busy = sorted(
            (t.start[case], t.start[case] + t.active[case])
            for t in timed.values()
            if t.active[case]
        )
        assert all(one[1] <= two[0] for one, two in pairwise(busy))
    low, high = whole(tuple(timed.values()))
    assert longest_chain(steps).minutes[1] <= high <= sum(t.length[1] for t in timed.values())
    assert low <= high


def test_times_of_day_are_shown_as_they_were_written() -> None:
    """12-hour without a half of the day, with it, and 24-hour; midnight wraps."""
    assert show_time(Fraction(12 * 60 + 5)) == "12:05"
    assert show_time(Fraction(13 * 60 + 5)) == "1:05"
    assert show_time(Fraction(13 * 60 + 5), "12pm") == "1:05 pm"
    assert show_time(Fraction(13 * 60 + 5), "24") == "13:05"
    assert show_time(Fraction(-10), "24") == "23:50"
    assert show_times((Fraction(733), Fraction(737))) == "12:13–12:17"
    assert show_times((Fraction(733), Fraction(737)), "12pm") == "12:13–12:17 pm"
    assert read_face(18, "18:30") == "24"
    assert read_face(18, "6:30 pm") == "12pm"
    assert read_face(6, "6:30") == "12"


def test_what_can_be_done_beside_a_step() -> None:
    """Beside the boiling of water the noodles' vegetables and sauce; the soup's simmering has none.

    Neither needs the water, nor does the water need them: corpus/recipes/peanut-noodles.yaml.
    """
    noodles = desk().corpus.recipes["peanut-noodles"].steps
    assert beside(noodles, "water") == ("vegetables", "sauce")
    assert beside(noodles, "drain") == ("vegetables", "sauce")
    assert beside(noodles, "sauce") == ("water", "vegetables", "boil", "drain")
    assert beside(noodles, "toss") == ()
    assert beside(desk().corpus.recipes["red-lentil-soup"].steps, "simmer") == ()


def test_progress_holds_what_is_over_and_under_way() -> None:
    """The soup at minute 8 with step 1 over at 5: step 2 ran from 5 to 6, step 3 runs from 6."""
    steps = desk().corpus.recipes["red-lentil-soup"].steps
    progress = Progress(
        "red-lentil-soup", Fraction(720), Fraction(720), Fraction(8), (("soften", Fraction(5)),)
    )
    plan = progress.plan(steps)
    current, later = progress.due(plan)
    assert [t.step.id for t in current] == ["simmer"]
    assert current[0].start == _r(6, 6)
    assert [t.step.id for t in later] == ["blend", "finish"]


def test_breaks_are_the_gaps_of_the_hands() -> None:
    """The soup: 6–8 + 1 + 2 active, then 25–30 minutes of simmering; no other gap."""
    (found,) = breaks(schedule(desk().corpus.recipes["red-lentil-soup"].steps))
    assert found.after.step.id == "simmer"
    assert found.begin == _r(9, 11)
    assert found.length == _r(25, 30)
    assert breaks(schedule(desk().corpus.recipes["vegetable-fried-rice"].steps)) == ()
