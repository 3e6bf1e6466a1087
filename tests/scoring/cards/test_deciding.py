"""Sources of a card held against each other, decided, verified, confirmed."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry, Status
from events.log.services import verify
from events.setup.models import Event, Round
from scoring.cards.calling import keep_call
from scoring.cards.comparing import Claim, radio_sentence
from scoring.cards.deciding import compared, decide_cells
from scoring.cards.keeping import CardRefused
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import CardLine, CardVersion, Confirmation, HoleEntry, StandingLine
from scoring.cards.radio import Call
from scoring.cards.rulings import make_ruling
from scoring.cards.signing import confirm, confirmations_of, take_back_confirmation
from scoring.cards.verifying import unlock_card, verify_card

PHONE, OTHER = UUID(int=1), UUID(int=2)


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    players = make_field(event, 2)
    publish(round_, [players], starts=[17])
    return players


def phone(
    round_: Round, entry: Entry, throws: list[int], device: UUID = PHONE, name: str = "Ines’s phone"
) -> None:
    enter_holes(
        round=round_,
        group_number=1,
        device_key=device,
        device_name=name,
        sayings=[
            Saying(uuid4(), seq, entry.pk, str(seq), figure) for seq, figure in enumerate(throws, start=1)
        ],
        actor=build.ACTOR,
        now=build.NOW,
    )


def decide(round_: Round, chosen: dict[tuple[int, str], int], key: UUID | None = None) -> None:
    decide_cells(
        round=round_,
        group_number=1,
        chosen=chosen,
        key=key or uuid4(),
        reason="asked the group",
        actor=build.ACTOR,
        now=build.NOW,
    )


def lock(round_: Round):
    return verify_card(round=round_, group_number=1, why="typed and agreed", actor=build.ACTOR, now=build.NOW)


def cells(round_: Round) -> list[tuple[str, str, tuple[Claim, ...]]]:
    return [(each.name, each.cell, each.claims) for each in compared(round_, 1).cells]


def standing(entry: Entry) -> StandingLine:
    return StandingLine.objects.get(entry=entry)


def test_only_the_cells_that_differ_are_shown_in_order_of_play(round_: Round, field: list[Entry]):
    phone(round_, field[0], [3] * 18)
    phone(round_, field[0], [4, *[3] * 15, 5, 3], OTHER, "Dov’s phone")

    assert cells(round_) == [
        ("Ludvik Moravec", "17", (Claim(3, ("Ines’s phone",)), Claim(5, ("Dov’s phone",)))),
        ("Ludvik Moravec", "1", (Claim(3, ("Ines’s phone",)), Claim(4, ("Dov’s phone",)))),
    ]


def test_the_desk_decides_and_every_source_stays(event: Event, round_: Round, field: list[Entry]):
    phone(round_, field[0], [3] * 18)
    phone(round_, field[0], [4, *[3] * 17], OTHER, "Dov’s phone")
    save(round_, 1, [line(field[0], [5, *[3] * 17])])
    assert cells(round_)[0][2] == (
        Claim(3, ("Ines’s phone",)),
        Claim(4, ("Dov’s phone",)),
        Claim(5, ("paper card, Tester, 07:00",)),
    )

    with pytest.raises(CardRefused, match="Say who is right: Ludvik Moravec, hole 1"):
        decide(round_, {})
    with pytest.raises(CardRefused, match="Say who is right"):
        decide(round_, {(field[0].pk, "1"): 9})
    decide(round_, {(field[0].pk, "1"): 4})

    assert (cells(round_), standing(field[0]).throws[0]) == ([], 4)
    versions = CardVersion.objects.order_by("number").values_list("number", "source", "state", "reason")
    assert list(versions) == [
        (1, "paper", "superseded", ""),
        (2, "compared", "current", "asked the group"),
    ]
    assert HoleEntry.objects.filter(device__kind="desk").count() == 1
    assert CardLine.objects.get(version__number=1, entry=field[0]).throws[0] == 5
    assert verify(event.slug)[1] == []


def test_deciding_twice_with_one_key_is_once(round_: Round, field: list[Entry]):
    phone(round_, field[0], [3])
    phone(round_, field[0], [4], OTHER)
    key = uuid4()

    decide(round_, {(field[0].pk, "1"): 4}, key)
    decide(round_, {(field[0].pk, "1"): 3}, key)

    assert standing(field[0]).throws[0] == 4


def test_a_blind_second_entry_that_says_the_same_stays_beside_the_first(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0], 3, written_total=54), line(field[1])])

    saved = save(round_, 1, [line(field[0]), line(field[1])], source=CardVersion.Source.SECOND)

    assert (saved.conflict, saved.version.state) == (False, "agrees")
    assert CardVersion.objects.get(state="current").number == 1


def test_a_blind_second_entry_that_differs_is_asked_about_cell_by_cell(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0]), line(field[1])])

    saved = save(
        round_, 1, [line(field[0], [4, *[3] * 17]), line(field[1])], source=CardVersion.Source.SECOND
    )

    assert saved.conflict
    assert standing(field[0]).throws[0] == 3
    assert [(hole, [claim.throws for claim in claims]) for _, hole, claims in cells(round_)] == [
        ("1", [3, 4])
    ]

    decide(round_, {(field[0].pk, "1"): 4})

    assert (standing(field[0]).throws[0], cells(round_)) == (4, [])
    assert not CardVersion.objects.filter(state="differs").exists()


def test_the_total_that_the_other_typist_read_is_taken_with_the_right_figure(
    round_: Round, field: list[Entry]
):
    save(round_, 1, [line(field[0], [4, *[3] * 17], written_total=55), line(field[1])])
    save(round_, 1, [line(field[0], written_total=54), line(field[1])], source=CardVersion.Source.SECOND)

    decide(round_, {(field[0].pk, "1"): 3})

    assert (standing(field[0]).total, standing(field[0]).written_total) == (54, 54)


def test_what_the_second_typist_wrote_on_the_total_is_asked_with_the_hole_and_not_dropped(
    event: Event, round_: Round, field: list[Entry]
):
    save(round_, 1, [line(field[0], written_total=54), line(field[1])])
    second = line(field[0], [4, *[3] * 17], additional=2, additional_reason="late card", written_total=57)
    save(round_, 1, [second, line(field[1])], source=CardVersion.Source.SECOND)

    found = compared(round_, 1)
    assert [(each.cell, each.what) for each in found.cells] == [
        ("1", "hole 1"),
        ("additional", "additional throws on the total"),
    ]
    assert [(claim.throws, claim.reason) for claim in found.cells[1].claims] == [(0, ""), (2, "late card")]
    assert [[claim.throws for claim in each.claims] for each in found.totals] == [[54, 57]]
    with pytest.raises(CardRefused, match="Ludvik Moravec, additional throws on the total"):
        decide(round_, {(field[0].pk, "1"): 4})

    decide(round_, {(field[0].pk, "1"): 4, (field[0].pk, "additional"): 2})

    stands = standing(field[0])
    assert (stands.additional, stands.additional_reason, stands.total) == (2, "late card", 57)
    assert (stands.written_total, cells(round_)) == (57, [])
    assert not CardVersion.objects.filter(state="differs").exists()
    assert lock(round_).locked
    assert verify(event.slug)[1] == []


def test_what_another_group_typed_of_a_player_who_was_moved_is_put_right_on_the_new_card(
    event: Event, round_: Round, field: list[Entry]
):
    save(round_, 1, [line(field[0]), line(field[1], [4] + [3] * 17)])
    publish(round_, [[field[0]], [field[1]]])
    enter_holes(
        round=round_, group_number=2, device_key=PHONE, device_name="Ines’s phone",
        sayings=[Saying(uuid4(), 1, field[1].pk, "1", 3)], actor=build.ACTOR, now=build.NOW,
    )  # fmt: skip
    assert [each.cell for each in compared(round_, 2).cells] == ["1"]

    decide_cells(
        round=round_, group_number=2, chosen={(field[1].pk, "1"): 3}, key=uuid4(), reason="asked",
        actor=build.ACTOR, now=build.NOW,
    )  # fmt: skip

    assert (standing(field[1]).total, compared(round_, 2).cells) == (54, ())
    assert verify(event.slug)[1] == []


def test_only_the_throws_on_the_total_may_differ_and_deciding_it_twice_is_once(
    round_: Round, field: list[Entry]
):
    save(round_, 1, [line(field[0], additional=2, additional_reason="late card"), line(field[1])])
    save(round_, 1, [line(field[0]), line(field[1])], source=CardVersion.Source.SECOND)
    key = uuid4()
    with pytest.raises(CardRefused, match="differ: say first who is right"):
        lock(round_)

    decide(round_, {(field[0].pk, "additional"): 0}, key)
    decide(round_, {(field[0].pk, "additional"): 2}, key)

    assert (standing(field[0]).additional, standing(field[0]).additional_reason) == (0, "")
    assert CardVersion.objects.count() == 3


def test_penalty_throws_beside_a_hole_are_asked_and_what_one_left_blank_is_filled(
    round_: Round, field: list[Entry]
):
    """Two people change the card at once: both are kept, and nothing that either wrote is dropped."""
    save(round_, 1, [line(field[0], [3] * 17 + [None]), line(field[1])])
    save(round_, 1, [line(field[0], [4] + [3] * 16 + [None], penalties=[1]), line(field[1])], base=1)
    stale = line(field[0], [5] + [3] * 17, penalties=[2], written_total=56)
    save(round_, 1, [stale, line(field[1])], base=1)

    assert [(cell, [claim.throws for claim in claims]) for _, cell, claims in cells(round_)] == [
        ("1", [4, 5]),
        ("penalty 1", [1, 2]),
    ]
    decide(round_, {(field[0].pk, "1"): 5, (field[0].pk, "penalty 1"): 2})

    stands = standing(field[0])
    assert (stands.throws, stands.penalties, stands.written_total) == ([5] + [3] * 17, [2], 56)


def test_a_radio_call_that_the_holes_do_not_bear_out_is_said(round_: Round, field: list[Entry]):
    keep_call(round=round_, call=Call(1, 2, (-1, 0)), key=uuid4(), actor=build.ACTOR, now=build.NOW)
    save(round_, 1, [line(field[0]), line(field[1])])

    assert compared(round_, 1).radio == ("Hale Oyelaran: the radio said E after 2 holes, the card has −1.",)


def test_the_radio_says_nothing_of_holes_that_are_missing():
    assert radio_sentence("Moravec", 2, 0, (3, None), (3, 3)) is None
    assert radio_sentence("Moravec", 2, 1, (3, 4), (3, 3)) is None
    assert radio_sentence("Moravec", 2, -1, (3, 4), (3, 3)) == (
        "Moravec: the radio said −1 after 2 holes, the card has +1."
    )


def test_a_card_that_phones_filled_is_verified_as_a_version_of_its_own(
    event: Event, round_: Round, field: list[Entry]
):
    phone(round_, field[0], [3] * 18)
    phone(round_, field[1], [4] * 18)

    card = lock(round_)

    assert (card.locked, card.verified_by, card.returned_at) == (True, "Tester", build.NOW)
    version = CardVersion.objects.get()
    assert (version.source, version.state) == ("verified", "current")
    assert CardLine.objects.get(entry=field[1]).total == 72
    assert verify(event.slug)[1] == []


def test_a_typed_card_is_verified_as_it_was_typed(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0]), line(field[1])])

    assert lock(round_).locked
    assert CardVersion.objects.count() == 1


def test_a_verified_card_is_locked_and_rulings_still_count(event: Event, round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0]), line(field[1])])
    lock(round_)

    with pytest.raises(CardRefused, match="The card of group 1 is verified and locked"):
        save(round_, 1, [line(field[0], 4)], base=1)
    phone(round_, field[0], [5])
    assert standing(field[0]).total == 54
    assert HoleEntry.objects.count() == 1  # an acknowledged entry is kept all the same

    make_ruling(
        entry=field[0], round=round_, hole_label="1", throws=1, rule="Official Rules 2025, 806.02",
        what="out of bounds", caller="Oyelaran", confirmer="", origin="test", actor=build.ACTOR, now=build.NOW,
    )  # fmt: skip
    assert standing(field[0]).total == 55


def test_an_opened_card_can_be_written_again(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0]), line(field[1])])
    lock(round_)

    with pytest.raises(CardRefused, match="Write why"):
        unlock_card(round=round_, group_number=1, reason=" ", actor=build.ACTOR, now=build.NOW)
    unlock_card(round=round_, group_number=1, reason="typed for group 2", actor=build.ACTOR, now=build.NOW)

    save(round_, 1, [line(field[0], 4)], base=1)
    assert standing(field[0]).total == 72


def test_what_is_open_keeps_a_card_from_being_verified(event: Event, round_: Round, field: list[Entry]):
    phone(round_, field[0], [3] * 18)
    phone(round_, field[1], [3] * 17)
    with pytest.raises(CardRefused, match="Hale Oyelaran: hole 18"):
        lock(round_)

    phone(round_, field[1], [4], OTHER)
    with pytest.raises(CardRefused, match="differ: say first who is right"):
        lock(round_)


def test_who_does_not_play_on_needs_no_scores(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0])])
    Entry.objects.filter(pk=field[1].pk).update(status=Status.DID_NOT_FINISH)

    assert lock(round_).locked


def test_what_a_phone_says_of_a_verified_card_counts_only_once_it_is_opened(
    round_: Round, field: list[Entry]
):
    """Of a player who left, whose card may be locked with holes blank: nor does a ruling let it in."""
    save(round_, 1, [line(field[0]), line(field[1], [3] * 5 + [None] * 13)])
    Entry.objects.filter(pk=field[1].pk).update(status=Status.DID_NOT_FINISH)
    lock(round_)
    enter_holes(
        round=round_,
        group_number=1,
        device_key=PHONE,
        device_name="Ines’s phone",
        sayings=[Saying(uuid4(), 1, field[1].pk, "6", 4)],
        actor=build.ACTOR,
        now=build.NOW + timedelta(minutes=5),
    )
    make_ruling(
        entry=field[1], round=round_, hole_label="1", throws=2, rule="Official Rules 2025, 803.03",
        what="damaging the course", caller="Oyelaran", confirmer="", origin="test", actor=build.ACTOR, now=build.NOW,
    )  # fmt: skip

    assert (standing(field[1]).played, standing(field[1]).total) == (5, 17)

    unlock_card(round=round_, group_number=1, reason="opened by mistake", actor=build.ACTOR, now=build.NOW)

    assert (standing(field[1]).played, standing(field[1]).total) == (6, 21)


def yes(round_: Round, entry: Entry, total: int, key: UUID | None = None, **facts):
    return confirm(
        round=round_, group_number=1, entry_id=entry.pk, source="phone", total=total, key=key or uuid4(),
        actor=build.ACTOR, now=build.NOW, **facts,
    )  # fmt: skip


def test_a_confirmation_holds_for_the_figures_it_was_given_for(
    event: Event, round_: Round, field: list[Entry]
):
    save(round_, 1, [line(field[0]), line(field[1])])
    key = uuid4()

    made = yes(round_, field[0], 54, key, throws=[3] * 18)
    assert yes(round_, field[0], 54, key) == made
    assert confirmations_of(round_, [field[0].pk])[field[0].pk].holds

    save(round_, 1, [line(field[0], [4, *[3] * 17])], base=1)
    assert not confirmations_of(round_, [field[0].pk])[field[0].pk].holds
    assert verify(event.slug)[1] == []


def test_a_confirmation_of_other_figures_or_of_a_card_with_holes_is_refused(
    round_: Round, field: list[Entry]
):
    save(round_, 1, [line(field[0]), line(field[1], [3] * 17 + [None])])

    for entry, total, facts, said in [
        (field[0], 55, {}, "The scores have changed"),
        (field[0], 54, {"throws": [4, *[3] * 17]}, "The scores have changed"),
        (field[1], 51, {}, "holes without a score"),
        (build.make_entry(round_.event), 54, {}, "not in the group"),
    ]:
        with pytest.raises(CardRefused, match=said):
            yes(round_, entry, total, **facts)
    assert not Confirmation.objects.exists()


def test_a_confirmation_taken_back_stays_to_be_read(round_: Round, field: list[Entry]):
    save(round_, 1, [line(field[0]), line(field[1])])
    made = yes(round_, field[0], 54)

    take_back_confirmation(confirmation=made, actor=build.ACTOR, now=build.NOW)

    assert (Confirmation.objects.count(), confirmations_of(round_, [field[0].pk])) == (1, {})


@pytest.mark.parametrize("players", [1, 3])
def test_comparing_takes_the_same_queries(
    event: Event, round_: Round, django_assert_num_queries, players: int
):
    field = make_field(event, players)
    publish(round_, [field])
    for entry in field:
        phone(round_, entry, [3] * 18)
        phone(round_, entry, [4] * 18, OTHER)

    with django_assert_num_queries(8):
        assert len(compared(round_, 1).cells) == 18 * players
