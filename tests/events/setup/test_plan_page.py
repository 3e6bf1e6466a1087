"""The plan page: everybody on the staff reads it, the director types into it, nothing is lost on the way."""

from datetime import UTC, date, datetime

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.log.models import Act
from events.setup.models import AddOn, Event, Role, Round, Staff
from events.setup.services import set_addon, set_division, set_round
from events.setup.staffing import add_staff

pytestmark = pytest.mark.django_db
PAGE = "/desk/quiet-pines/plan/"


def table(prefix: str, rows: list[dict], held: int) -> dict[str, str]:
    """What a browser sends for a table: `held` rows that exist, then new ones."""
    sent = {f"{prefix}-TOTAL_FORMS": str(len(rows)), f"{prefix}-INITIAL_FORMS": str(held), "version": "1"}
    for number, row in enumerate(rows):
        sent |= {f"{prefix}-{number}-{name}": str(value) for name, value in row.items()}
    return sent


DIVISIONS = [
    {"code": "MA1", "fee_cents": "45", "cap": "", "order": "0"},
    {"code": "FA1", "fee_cents": "45", "cap": "", "order": "1"},
]


@pytest.fixture(name="director")
def director_fixture(client_as) -> Client:
    return client_as(Role.DIRECTOR)


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.DIRECTOR])
def test_others_read_and_do_not_write(client_as, role):
    client = client_as(role)

    page = client.get(PAGE)
    assert (page.status_code, page.context["editable"]) == (200, False)
    assert b'name="divisions-0-fee_cents"' not in page.content
    for name in ("facts", "divisions", "rounds", "addons", "staff", "staff_new"):
        url = reverse(f"setup:{name}", args=["quiet-pines"])
        assert (client.get(url).status_code, client.post(url).status_code) == (403, 403), name


def test_the_page_answers_a_stranger_with_sign_in(event):
    answer = Client().get(PAGE)

    assert (answer.status_code, answer.url) == (302, f"/sign-in/?next={PAGE.replace('/', '%2F')}")


def test_the_page_takes_the_same_queries_at_any_size(director, event, django_assert_num_queries):
    by = {"event": event, "actor": ACTOR, "now": NOW}
    for code, number in (("MPO", 3), ("FPO", 4), ("MA2", 5)):
        set_division(code=code, fee_cents=100, **by)
        set_round(number=number, date=date(2026, 6, 13), **by)
        set_addon(name=code, **by)
        add_staff(name=code, role=Role.DESK, **by)
        build.make_user(None, None, f"chief-{code}")
        if code != "FPO":
            # session, account, event, role; then overrides, divisions, rounds, holes, add-ons, staff, accounts
            with django_assert_num_queries(11):
                director.get(PAGE)


def test_a_reader_needs_one_query_less(client_as, django_assert_num_queries):
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(10):
        client.get(PAGE)


@pytest.mark.parametrize("version", ["", "abc", "²", "9" * 5000])
def test_a_version_that_no_page_shows_is_an_old_one(director, version):
    answer = director.post(f"{PAGE}rounds/", table("rounds", [], held=0) | {"version": version})

    assert answer.status_code == 302
    assert director.session["plan_said"]["kind"] == "error"


def test_names_of_divisions_and_advice_are_in_words(director, event):
    set_division(event=event, code="MA40", fee_cents=4550, actor=ACTOR, now=NOW)

    page = director.get(PAGE)
    text = page.content.decode()

    assert "Mixed Amateur 40+" in text
    assert 'value="45.50"' in text
    assert [advice.text for advice in page.context["plan"].advice] == [
        "Check-in has no closing time yet.",
        "MA40 is offered: FA40 has to be open for the first 7 days too.",
    ]


class TestDivisions:
    url = f"{PAGE}divisions/"

    def test_are_saved(self, director, event):
        rows = [
            {"code": "MA1", "fee_cents": "50.50", "cap": "40", "order": "2"},
            DIVISIONS[1] | {"remove": "on"},
            {"code": "MPO", "fee_cents": "90", "cap": "", "order": "1"},
            {"code": "", "fee_cents": "", "cap": "", "order": ""},
        ]
        answer = director.post(self.url, table("divisions", rows, held=2))

        assert (answer.status_code, answer.url) == (302, f"{PAGE}#divisions")
        assert list(event.divisions.order_by("order").values_list("code", "fee_cents", "cap")) == [
            ("MPO", 9000, None),
            ("MA1", 5050, 40),
        ]
        assert set(Act.objects.values_list("actor", flat=True)) == {User.objects.get().username}

    def test_what_is_mistyped_is_shown_as_typed(self, director, event):
        rows = [DIVISIONS[0] | {"fee_cents": "forty"}, DIVISIONS[1] | {"cap": "0"}]
        answer = director.post(self.url, table("divisions", rows, held=2))

        errors = [form.errors for form in answer.context["divisions"]]
        assert answer.status_code == 422
        assert errors == [
            {"fee_cents": ["Write an amount as 45 or 45.50."]},
            {"cap": ["Ensure this value is greater than or equal to 1."]},
        ]
        assert 'value="forty"' in answer.content.decode()
        assert event.divisions.get(code="MA1").fee_cents == 4500

    def test_what_is_entered_is_not_removed(self, director, event):
        build.make_entry(event, "FA1")
        rows = [DIVISIONS[0], DIVISIONS[1] | {"remove": "on"}]

        answer = director.post(self.url, table("divisions", rows, held=2))

        assert (answer.status_code, event.divisions.count()) == (422, 2)
        assert "FA1 has 1 entry, so it cannot be removed." in answer.content.decode()

    def test_a_change_in_between_is_not_written_over(self, director, event):
        set_division(event=event, code="MA1", fee_cents=6000, actor=ACTOR, now=NOW)

        answer = director.post(self.url, table("divisions", DIVISIONS, held=2), follow=True)

        assert answer.context["said"] == {
            "part": "divisions",
            "text": "The plan was changed by Tester at 07:00. Nothing was saved: look again, save again.",
            "kind": "error",
        }
        assert "changed by Tester" not in director.get(PAGE).content.decode()
        assert event.divisions.get(code="MA1").fee_cents == 6000

    def test_nothing_changed_is_said(self, director):
        answer = director.post(self.url, table("divisions", DIVISIONS, held=2), follow=True)

        assert answer.context["said"]["text"] == "Nothing was changed."

    def test_one_division_in_two_rows_is_said(self, director, event):
        new = {"code": "MPO", "fee_cents": "90"}
        rows = [*DIVISIONS, new, new | {"fee_cents": "95"}]

        answer = director.post(self.url, table("divisions", rows, held=2))

        assert (answer.status_code, event.divisions.count()) == (422, 2)
        assert "MPO stands in two rows." in answer.content.decode()

    def test_an_unknown_code_is_refused(self, director, event):
        rows = [*DIVISIONS, {"code": "MX9", "fee_cents": "1"}]

        assert director.post(self.url, table("divisions", rows, held=2)).status_code == 422
        assert event.divisions.count() == 2


class TestRounds:
    url = f"{PAGE}rounds/"
    rows = [
        {
            "number": 1,
            "date": "2026-06-12",
            "start_type": "tee_times",
            "first_start": "08:30",
            "interval_minutes": 9,
        },
        {
            "number": 2,
            "date": "2026-06-12",
            "start_type": "shotgun",
            "first_start": "13:00",
            "interval_minutes": 10,
        },
    ]

    def test_a_round_is_added_by_its_date(self, director):
        new = {"number": 3, "start_type": "shotgun", "first_start": "09:00", "interval_minutes": 10}

        director.post(self.url, table("rounds", [*self.rows, new | {"date": ""}], held=2))
        assert Round.objects.count() == 2
        sent = table("rounds", [*self.rows, new | {"date": "2026-06-13"}], held=2)
        director.post(self.url, sent | {"version": str(Event.objects.get().version)})
        assert list(Round.objects.order_by("number").values_list("number", "start_type", "date")) == [
            (1, "tee_times", date(2026, 6, 12)),
            (2, "shotgun", date(2026, 6, 12)),
            (3, "shotgun", date(2026, 6, 13)),
        ]

    def test_only_the_last_is_removed(self, director):
        rows = [self.rows[0] | {"remove": "on"}, self.rows[1]]

        answer = director.post(self.url, table("rounds", rows, held=2))

        assert (answer.status_code, Round.objects.count()) == (422, 2)
        assert "Only the last round can be removed." in answer.content.decode()


class TestAddOns:
    url = f"{PAGE}add-ons/"

    def test_are_saved(self, director):
        rows = [{"pk": "", "name": "Supper", "kind": "extra", "fee_cents": "12.50"}]

        director.post(self.url, table("addons", rows, held=0))

        assert AddOn.objects.values_list("name", "fee_cents", "included").get() == ("Supper", 1250, False)

    def test_two_of_one_name_are_said(self, director):
        row = {"pk": "", "name": "Supper", "kind": "extra", "fee_cents": "1", "included": "on"}

        answer = director.post(self.url, table("addons", [row, row | {"fee_cents": "2"}], held=0))

        assert (answer.status_code, AddOn.objects.count()) == (422, 0)
        assert "An add-on of this name exists." in answer.content.decode()


class TestFacts:
    url = f"{PAGE}event/"

    def sent(self, **facts: str) -> dict[str, str]:
        return {
            "version": "1",
            "name": "Quiet Pines Open",
            "starts_on": "2026-06-12",
            "ends_on": "2026-06-13",
            "time_zone": "Europe/Oslo",
            "tier": "C",
            "region": "elsewhere",
            "units": "m",
            "paper": "A4",
            "cards": "region",
            "currency": "eur",
        } | facts

    def test_times_are_of_the_zone_that_is_sent_with_them(self, director, event):
        answer = director.post(
            self.url, self.sent(checkin_opens_at="2026-06-12T07:00", handling_fee_cents="7.5")
        )

        stored = Event.objects.get()
        assert (answer.status_code, answer.url) == (302, PAGE)
        assert stored.checkin_opens_at == datetime(2026, 6, 12, 5, 0, tzinfo=UTC)
        assert (stored.currency, stored.handling_fee_cents, stored.version) == ("EUR", 750, 2)
        assert 'value="2026-06-12T07:00"' in director.get(self.url).content.decode()

    @pytest.mark.parametrize(
        ("facts", "field", "words"),
        [
            ({"checkin_opens_at": "2026-03-29T02:30"}, "checkin_opens_at", "this time does not exist"),
            ({"time_zone": "Oslo"}, "time_zone", "Oslo is not a time zone"),
            ({"currency": "e1"}, "currency", "Write three letters"),
            ({"ends_on": "2026-06-11"}, "__all__", "The last day is before the first."),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, director, facts, field, words):
        answer = director.post(self.url, self.sent(**facts))

        assert answer.status_code == 422
        assert list(answer.context["form"].errors) == [field]
        assert words in str(answer.context["form"].errors[field])
        assert Event.objects.get().version == 1

    def test_an_unsaved_name_does_not_show_elsewhere(self, director):
        answer = director.post(self.url, self.sent(name="Renamed", currency="1"))

        assert answer.context["event"].name == "Quiet Pines Open"

    def test_a_change_in_between_is_shown_with_what_was_typed(self, director, event):
        Event.objects.filter(pk=event.pk).update(version=4)

        answer = director.post(self.url, self.sent(venue="Otter Bend"))

        text = answer.content.decode()
        assert answer.status_code == 422
        assert "The plan was changed by somebody else. Nothing was saved" in text
        assert 'value="Otter Bend"' in text
        assert 'name="version" value="4"' in text
        assert director.post(self.url, self.sent(venue="Otter Bend", version="4")).status_code == 302


class TestStaff:
    def test_roles_are_changed_and_taken_away(self, director, event):
        by = {"event": event, "actor": ACTOR, "now": NOW}
        wren, corin = (add_staff(name=n, role=Role.DESK, **by) for n in ("Wren", "Corin"))
        own = Staff.objects.get(role="director")
        rows = [
            {"pk": own.pk, "role": "director"},
            {"pk": wren.pk, "role": "marshal"},
            {"pk": corin.pk, "role": "desk", "remove": "on"},
        ]

        answer = director.post(f"{PAGE}staff/", table("staff", rows, held=3))

        assert (answer.status_code, answer.url) == (302, f"{PAGE}#staff")
        assert dict(Staff.objects.values_list("user__username", "role")) == {
            own.user.username: "director",
            "wren": "marshal",
        }

    def test_the_own_role_is_kept(self, director):
        rows = [{"pk": Staff.objects.get().pk, "role": "viewer"}]

        answer = director.post(f"{PAGE}staff/", table("staff", rows, held=1))

        assert (answer.status_code, Staff.objects.get().role) == (422, "director")
        assert "Your own role is changed by another director." in answer.content.decode()

    def test_somebody_new_gets_a_link(self, director):
        answer = director.post(f"{PAGE}staff/new/", {"name": "Wren Quillfeather", "role": "desk"})

        staff = Staff.objects.get(user__username="wren.quillfeather")
        assert (answer.status_code, answer.url) == (302, f"{PAGE}staff/{staff.pk}/link/")

    def test_an_account_that_exists_needs_none(self, director, event):
        other = build.make_user(event, None, "corin")

        answer = director.post(f"{PAGE}staff/new/", {"name": "", "user": other.pk, "role": "desk"})

        assert (answer.status_code, answer.url) == (302, f"{PAGE}#staff")
        assert Staff.objects.get(user=other).role == "desk"

    @pytest.mark.parametrize("facts", [{"name": ""}, {"name": "Wren", "user": True}, {"name": "?"}])
    def test_one_of_name_and_account_is_needed(self, director, event, facts):
        other = build.make_user(event, None, "corin")
        sent = facts | ({"user": other.pk} if facts.get("user") else {}) | {"role": "desk"}

        answer = director.post(f"{PAGE}staff/new/", sent)

        assert answer.status_code == 422
        assert list(answer.context["staff_form"].errors) == ["name"]
        assert Staff.objects.count() == 1

    def test_the_installations_director_is_not_offered(self, director):
        chief = build.make_user(None, None, "chief")
        build.make_user(None, None, "spare")

        answer = director.post(f"{PAGE}staff/new/", {"name": "", "user": chief.pk, "role": "desk"})

        assert (answer.status_code, Staff.objects.filter(user=chief).exists()) == (422, False)


class TestNewEvent:
    facts = TestFacts().sent(name="Otter Bend Open")

    def test_is_made_by_the_installations_director(self, event):
        client = Client()
        client.force_login(build.make_user(None, None))

        assert client.get("/events/new/").status_code == 200
        answer = client.post("/events/new/", self.facts)

        assert (answer.status_code, answer.url) == (302, "/desk/otter-bend-open/plan/")
        assert Event.objects.get(slug="otter-bend-open").region == "elsewhere"
        assert client.get(answer.url).status_code == 200

    def test_is_not_made_by_the_director_of_another(self, director):
        assert director.get("/events/new/").status_code == 403
        assert director.post("/events/new/", self.facts).status_code == 403
        assert Event.objects.count() == 1


@pytest.mark.parametrize("name", ["divisions", "rounds", "addons", "staff", "staff_new"])
def test_a_reload_of_a_saved_table_leads_back_to_the_plan(director, name):
    answer = director.get(reverse(f"setup:{name}", args=["quiet-pines"]))

    assert (answer.status_code, answer.url.split("#")[0]) == (302, PAGE)
