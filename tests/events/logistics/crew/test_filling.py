"""The suggestion: nobody in two places at once, nothing that speaks against it, and the same for the same facts."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from events.logistics.crew.checking import cautions_of, needs_relief
from events.logistics.crew.filling import Limits, Person, Placing, Task, in_hours, obstacles, suggest
from events.logistics.play import Span

DAY = datetime(2026, 6, 12, tzinfo=UTC)
LIMITS = Limits(change=15, in_one_go=300, rest=30, a_day=600)
KINDS = ("official", "first_aid")
DUTIES = ("marshal", "spotter", "steward", "water")


def span(first: float, last: float) -> Span:
    return Span(DAY + timedelta(hours=first), DAY + timedelta(hours=last))


def task(id: int, first: float, last: float, duty: str = "water", place: str = "", **facts: object) -> Task:
    hours = span(first, last)
    return Task(id, duty, place or f"place {id}", hours, hours.ends.date(), **facts)  # type: ignore[arg-type]


def people_strategy() -> st.SearchStrategy[list[Person]]:
    hours = st.tuples(st.integers(5, 15), st.integers(1, 9)).map(lambda two: span(two[0], two[0] + two[1]))
    days = st.dates(date(2026, 6, 10), date(2026, 6, 14)) | st.none()
    one = st.builds(
        Person,
        id=st.integers(1, 40),
        name=st.sampled_from(["Ines", "Ravi", "Odd", "Wren"]),
        duties=st.frozensets(st.sampled_from(DUTIES), max_size=2),
        certificates=st.dictionaries(st.sampled_from(KINDS), days),
        minor=st.sampled_from([True, False, None]),
        hours=st.lists(hours, max_size=2).map(tuple),
        playing=st.lists(hours, max_size=1).map(tuple),
        own_division=st.lists(hours, max_size=1).map(tuple),
    )
    return st.lists(one, max_size=9, unique_by=lambda person: person.id)


@st.composite
def tasks_strategy(draw: st.DrawFn) -> list[Task]:
    found = []
    for id in range(1, draw(st.integers(0, 10)) + 1):
        first = draw(st.integers(12, 38)) / 2
        duty = draw(st.sampled_from(DUTIES))
        found.append(
            task(
                id,
                first,
                first + draw(st.integers(1, 12)) / 2,
                duty,
                f"place {draw(st.integers(1, 4))}",
                people=draw(st.integers(1, 3)),
                certificate="official" if duty == "marshal" else "",
                rules=duty == "marshal",
                road=duty == "steward",
            )
        )
    return found


@given(people_strategy(), tasks_strategy())
def test_nobody_is_in_two_places_at_once(people: list[Person], tasks: list[Task]) -> None:
    found = suggest(people, tasks, [], LIMITS)
    by_id = {each.id: each for each in tasks}
    for person in people:
        mine = [by_id[each.task_id].span for each in found.placings if each.person_id == person.id]
        assert not any(
            one.meets(other) for one, other in combinations([*mine, *person.playing], 2) if one in mine
        )


@given(people_strategy(), tasks_strategy())
def test_what_is_suggested_has_no_caution_and_counts_add_up(people: list[Person], tasks: list[Task]) -> None:
    found = suggest(people, tasks, [], LIMITS)
    crew = {each.id: [one.person_id for one in found.placings if one.task_id == each.id] for each in tasks}
    assert cautions_of(people, tasks, crew, LIMITS) == []
    filled = Counter(each.task_id for each in found.placings)
    missing = {gap.task_id: gap.missing for gap in found.gaps}
    assert {each.id: filled[each.id] + missing.get(each.id, 0) for each in tasks} == {
        each.id: each.people for each in tasks
    }
    assert len({(each.task_id, each.person_id) for each in found.placings}) == len(found.placings)


@given(people_strategy(), tasks_strategy(), st.randoms())
def test_the_order_of_the_lists_changes_nothing(people, tasks, random) -> None:
    found = suggest(people, tasks, [], LIMITS)
    mixed, turned = list(people), list(tasks)
    random.shuffle(mixed)
    random.shuffle(turned)
    assert suggest(mixed, turned, [], LIMITS) == found


@given(people_strategy(), tasks_strategy())
def test_a_second_suggestion_moves_nobody_and_only_adds(people: list[Person], tasks: list[Task]) -> None:
    first = suggest(people, tasks, [], LIMITS).placings
    second = suggest(people, tasks, first, LIMITS)
    assert not set(first) & set(second.placings)


def test_who_is_placed_by_hand_stays_and_is_not_placed_elsewhere() -> None:
    one = Person(1, "Ines", minor=False)
    tasks = [task(1, 9, 12), task(2, 10, 13)]
    found = suggest([one], tasks, [Placing(1, 1)], LIMITS)
    assert found.placings == ()
    assert [(gap.task_id, gap.missing, gap.why) for gap in found.gaps] == [
        (2, 1, ("1: stands another shift",))
    ]


def test_what_is_over_is_not_filled() -> None:
    tasks = [task(1, 9, 12), task(2, 13, 15)]
    found = suggest([Person(1, "Ines", minor=False)], tasks, [], LIMITS, now=span(12, 13).starts)
    assert (found.placings, found.gaps) == ((Placing(2, 1),), ())


def test_a_rare_certificate_is_kept_for_where_it_is_asked() -> None:
    medic = Person(1, "Ines", certificates={"first_aid": date(2027, 1, 1)}, minor=False)
    other = Person(2, "Ravi", minor=False)
    tasks = [task(1, 9, 12), task(2, 9, 12, "medical", certificate="first_aid")]
    assert suggest([medic, other], tasks, [], LIMITS).placings == (Placing(1, 2), Placing(2, 1))


def test_somebody_is_moved_where_another_can_take_over() -> None:
    """Ines alone can come early; whoever is taken first for the earlier of two equal shifts makes room."""
    ines = Person(1, "Ines", minor=False, duties=frozenset({"water", "spotter"}))
    ravi = Person(2, "Ravi", minor=False, duties=frozenset({"water"}))
    wren = Person(3, "Wren", minor=False, duties=frozenset({"spotter"}), hours=(span(10, 20),))
    tasks = [task(1, 9, 12, "spotter"), task(2, 10, 13, "spotter"), task(3, 9, 12, "water")]
    found = suggest([ines, ravi, wren], tasks, [], LIMITS)
    assert found.placings == (Placing(1, 1), Placing(2, 3), Placing(3, 2))
    assert found.gaps == ()


def against(person: Person, of: Task, *work: Task, grown_up: bool = False) -> list[str]:
    return obstacles(person, of, work, grown_up_there=grown_up, limits=LIMITS)


def test_a_certificate_counts_to_its_last_day_and_not_without_one() -> None:
    marshal = task(1, 9, 12, "marshal", certificate="official")
    words = ["no certified official certificate that is known to hold"]
    assert against(Person(1, "Ines", certificates={"official": date(2026, 6, 12)}), marshal) == []
    assert against(Person(1, "Ines", certificates={"official": date(2026, 6, 11)}), marshal) == words
    assert against(Person(1, "Ines", certificates={"official": None}), marshal) == words
    assert against(Person(1, "Ines"), marshal) == words


def test_a_minor_is_not_alone_where_vehicles_pass() -> None:
    """Common practice, no source; an age that nobody asked is not taken for grown up."""
    post = task(1, 9, 12, "steward", road=True)
    assert against(Person(1, "Ines", minor=True), post) == ["a minor alone where vehicles pass"]
    assert against(Person(1, "Ines"), post) == ["age not asked, and vehicles pass"]
    assert against(Person(1, "Ines", minor=True), post, grown_up=True) == []
    assert against(Person(1, "Ines", minor=False), post) == []


def test_rest_and_length_of_the_day() -> None:
    one = Person(1, "Ines", minor=False)
    assert against(one, task(2, 12, 15), task(1, 9, 12)) == [
        "less than 15 minutes from another place",
        "more than 5 hours without a rest",
    ]
    assert against(one, task(2, 12, 14, place="gate"), task(1, 9, 12, place="gate")) == []
    assert against(one, task(2, 12.5, 15.5), task(1, 9, 12)) == []
    assert against(one, task(2, 15, 20), task(1, 8, 14)) == ["more than 10 hours that day"]
    assert against(one, task(1, 9, 14.1)) == ["more than 5 hours without a rest"]  # even alone
    assert against(one, task(1, 8, 18.5)) == [
        "more than 10 hours that day",
        "more than 5 hours without a rest",
    ]
    assert (in_hours(60), in_hours(330)) == ("1 hour", "5:30 hours")
    assert needs_relief(task(1, 9, 14.1), LIMITS)
    assert not needs_relief(task(1, 9, 14), LIMITS)


def test_a_double_booking_is_said_once_and_first() -> None:
    ines, ravi = Person(1, "Ines", minor=False), Person(2, "Ravi", minor=False, playing=(span(8, 12),))
    tasks = [task(1, 9, 12), task(2, 11, 13, "spotter"), task(3, 9, 11)]
    found = cautions_of([ravi, ines], tasks, {1: [1], 2: [1], 3: [2]}, LIMITS)
    assert [(each.text, each.task_ids, each.double) for each in found] == [
        ("Ines is booked twice: water at place 1 and spotter at place 2.", (1, 2), True),
        ("Ravi, water at place 3: plays.", (3,), True),
    ]
