"""The plan is written with its log; what cannot be is refused by name."""

from datetime import UTC, date, datetime, time
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

import build
from build import ACTOR, NOW
from events.log.models import Act
from events.log.services import Actor, verify
from events.setup.models import AddOn, Division, Event, Round
from events.setup.rows import InUse
from events.setup.services import (
    NotThere,
    RoundOutOfTurn,
    Stale,
    UnknownDivision,
    change_event,
    claim,
    create_event,
    remove_addon,
    remove_division,
    remove_round,
    set_addon,
    set_division,
    set_round,
)

pytestmark = pytest.mark.django_db
DAYS = {"starts_on": date(2026, 6, 12), "ends_on": date(2026, 6, 13)}
BY = {"actor": ACTOR, "now": NOW}


def acts(event: Event) -> list[tuple[str, str, dict]]:
    return list(
        Act.objects.filter(chain_id=event.slug).order_by("number").values_list("action", "subject", "detail")
    )


class TestEvent:
    def test_is_made_and_logged(self):
        event = create_event(name="Otter Bend Open", tier="B", latitude=Decimal("59.91000"), **DAYS, **BY)

        assert Event.objects.get() == event
        assert (event.slug, event.tier, event.version) == ("otter-bend-open", "B", 1)
        detail = {
            "name": "Otter Bend Open",
            "tier": "B",
            "latitude": "59.91000",
            "starts_on": "2026-06-12",
            "ends_on": "2026-06-13",
        }
        assert acts(event) == [("event.created", "Otter Bend Open", detail)]
        assert verify(event.slug) == (1, [])

    def test_gets_an_address_of_its_own(self):
        slugs = [
            create_event(name=name, **DAYS, **BY).slug for name in ("Otter!", "Otter", "Otter", "霧の森")
        ]

        assert slugs == ["otter", "otter-2", "otter-3", "event"]

    @pytest.mark.parametrize(
        ("facts", "field"),
        [
            ({"name": ""}, "name"),
            ({"time_zone": "Mars/Olympus"}, "time_zone"),
            ({"tier": "Z"}, "tier"),
            ({"ends_on": date(2026, 6, 11)}, "__all__"),
            ({"latitude": Decimal("91")}, "__all__"),
        ],
    )
    def test_refuses_what_cannot_be(self, facts, field):
        with pytest.raises(ValidationError) as caught:
            create_event(**({"name": "Otter"} | DAYS | facts), **BY)

        assert list(caught.value.message_dict) == [field]
        assert not Event.objects.exists()
        assert not Act.objects.exists()

    def test_change_logs_old_and_new_of_what_changed(self, event):
        opens = datetime(2026, 6, 12, 5, 0, tzinfo=UTC)
        changed = change_event(
            event=event, version=1, name=event.name, venue="Otter Bend", checkin_opens_at=opens, **BY
        )

        stored = Event.objects.get()
        assert (stored.venue, stored.checkin_opens_at, stored.version) == ("Otter Bend", opens, 2)
        assert changed.version == 2
        detail = {
            "venue": {"old": "", "new": "Otter Bend"},
            "checkin_opens_at": {"old": None, "new": "2026-06-12T05:00:00+00:00"},
        }
        assert acts(event) == [("event.changed", "Quiet Pines Open", detail)]

    def test_change_of_nothing_leaves_no_trace(self, event):
        change_event(event=event, version=1, name=event.name, **BY)

        assert (Event.objects.get().version, acts(event)) == (1, [])

    def test_a_second_change_from_the_same_page_is_stale(self, event):
        first = Actor("Hale Oyelaran")
        change_event(event=event, version=1, venue="Otter Bend", actor=first, now=NOW)

        with pytest.raises(Stale, match="changed by Hale Oyelaran at 07:00") as caught:
            change_event(event=event, version=1, place="Aldmoor", **BY)

        assert (caught.value.by, caught.value.at) == ("Hale Oyelaran", NOW)
        stored = Event.objects.get()
        assert (stored.venue, stored.place, len(acts(event))) == ("Otter Bend", "", 1)

    def test_a_refused_change_does_not_touch_the_event_in_hand(self, event):
        with pytest.raises(ValidationError):
            change_event(event=event, version=1, ends_on=date(2026, 6, 1), **BY)

        assert event.ends_on == date(2026, 6, 13)

    def test_claim_without_a_log_names_somebody(self, event):
        with pytest.raises(Stale, match=r"changed by somebody else\. Nothing"):
            claim(event=event, version=7)


class TestDivisions:
    def test_is_offered_last_and_logged(self, event):
        division = set_division(event=event, code=" mp40 ", fee_cents=6000, cap=20, **BY)

        assert Division.objects.get(code="MP40") == division
        assert (division.fee_cents, division.cap, division.order) == (6000, 20, 2)
        assert acts(event) == [("division.changed", "MP40", {"fee_cents": 6000, "cap": 20, "order": 2})]
        assert Event.objects.get().version == 2

    def test_changes_and_keeps_its_order(self, event):
        set_division(event=event, code="FA1", fee_cents=4000, **BY)

        assert Division.objects.get(code="FA1").order == 1
        assert acts(event) == [("division.changed", "FA1", {"fee_cents": {"old": 4500, "new": 4000}})]

    def test_an_unchanged_one_leaves_no_trace(self, event):
        set_division(event=event, code="FA1", fee_cents=4500, **BY)

        assert (acts(event), Event.objects.get().version) == ([], 1)

    def test_a_code_that_is_not_published_is_refused(self, event):
        with pytest.raises(UnknownDivision, match="MX9 is not a published division code"):
            set_division(event=event, code="MX9", fee_cents=0, **BY)

    def test_is_removed_with_its_layouts_in_use(self, event):
        remove_division(event=event, code="FA1", **BY)

        assert list(event.divisions.values_list("code", flat=True)) == ["MA1"]
        assert acts(event) == [("division.changed", "FA1 removed", {})]

    def test_is_not_removed_with_entries(self, event):
        build.make_entry(event, "FA1")

        with pytest.raises(InUse, match="FA1 has 1 entry, so it cannot be removed"):
            remove_division(event=event, code="FA1", **BY)
        assert (event.divisions.count(), acts(event)) == (2, [])

    def test_one_that_is_not_offered_is_not_removed(self, event):
        with pytest.raises(NotThere, match="MPO is not offered"):
            remove_division(event=event, code="MPO", **BY)


class TestRounds:
    def test_the_next_one_is_added(self, event):
        third = set_round(
            event=event,
            number=3,
            date=date(2026, 6, 13),
            start_type="tee_times",
            first_start=time(8, 30),
            interval_minutes=9,
            **BY,
        )

        assert Round.objects.get(number=3) == third
        assert third.first_start_at == datetime(2026, 6, 13, 8, 30, tzinfo=UTC)
        detail = {
            "date": "2026-06-13",
            "start_type": "tee_times",
            "first_start": "08:30:00",
            "interval_minutes": 9,
        }
        assert acts(event) == [("round.changed", "round 3", detail)]

    def test_one_is_changed(self, event):
        set_round(event=event, number=1, date=date(2026, 6, 12), first_start=time(9, 30), **BY)

        assert acts(event) == [
            ("round.changed", "round 1", {"first_start": {"old": "09:00:00", "new": "09:30:00"}})
        ]

    def test_a_gap_is_refused(self, event):
        with pytest.raises(RoundOutOfTurn, match="Round 5 would leave a gap"):
            set_round(event=event, number=5, date=date(2026, 6, 13), **BY)

    @pytest.mark.parametrize("minutes", [0, 61])
    def test_an_interval_out_of_range_is_refused(self, event, minutes):
        with pytest.raises(ValidationError, match="An interval is 1 to 60 minutes"):
            set_round(event=event, number=1, date=date(2026, 6, 12), interval_minutes=minutes, **BY)

    def test_only_the_last_one_is_removed(self, event):
        with pytest.raises(RoundOutOfTurn, match="Only the last round can be removed"):
            remove_round(event=event, number=1, **BY)
        remove_round(event=event, number=2, **BY)

        assert list(event.rounds.values_list("number", flat=True)) == [1]
        assert acts(event) == [("round.changed", "round 2 removed", {})]

    def test_one_with_a_tee_sheet_is_kept(self, event):
        event.rounds.get(number=2).sheets.create(version=1, method="random", made_at=NOW)

        with pytest.raises(InUse, match="round 2 has 1 sheet, so it cannot be removed"):
            remove_round(event=event, number=2, **BY)

    def test_one_that_is_not_there(self, event):
        with pytest.raises(NotThere, match="There is no round 9"):
            remove_round(event=event, number=9, **BY)


class TestAddOns:
    def test_is_added_changed_renamed_and_removed(self, event):
        addon = set_addon(event=event, name="Supper", fee_cents=1250, **BY)
        set_addon(event=event, name="Supper", fee_cents=1300, **BY)
        set_addon(event=event, addon=addon, name="Dinner", fee_cents=1300, **BY)
        remove_addon(event=event, name="Dinner", **BY)

        assert not AddOn.objects.exists()
        assert acts(event) == [
            (
                "addon.changed",
                "Supper",
                {"name": "Supper", "kind": "extra", "fee_cents": 1250, "included": False},
            ),
            ("addon.changed", "Supper", {"fee_cents": {"old": 1250, "new": 1300}}),
            (
                "addon.changed",
                "Dinner",
                {"name": {"old": "Supper", "new": "Dinner"}, "fee_cents": {"old": 1250, "new": 1300}},
            ),
            ("addon.changed", "Dinner removed", {}),
        ]

    def test_two_of_one_name_are_refused(self, event):
        set_addon(event=event, name="Supper", **BY)
        other = set_addon(event=event, name="Lunch", **BY)

        with pytest.raises(ValidationError, match="An add-on of this name exists"):
            set_addon(event=event, addon=other, name="Supper", **BY)

    def test_a_sold_one_is_kept(self, event):
        addon = set_addon(event=event, name="Supper", **BY)
        addon.sold.create(entry=build.make_entry(event))

        with pytest.raises(InUse, match="Supper has 1 sale, so"):
            remove_addon(event=event, name="Supper", **BY)

    def test_one_that_is_not_there(self, event):
        with pytest.raises(NotThere, match="There is no add-on Supper"):
            remove_addon(event=event, name="Supper", **BY)
