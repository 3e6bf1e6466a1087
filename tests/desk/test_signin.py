"""Signing in: links that work once, a lock that says so, and the way back to where one was."""

import re
from urllib.parse import quote

import pytest
from django.contrib.auth.models import User
from django.test import Client, RequestFactory, override_settings

import build
from build import ACTOR, NOW
from desk import signin
from desk.signin import first_link, link_for, page_of, qr_image, reachable
from events.log.models import Act
from events.log.services import verify
from events.setup.models import Role, Staff
from events.setup.staffing import add_staff, remove_staff

pytestmark = pytest.mark.django_db
PLAN = "/desk/quiet-pines/plan/"
PASSWORD = "seven quiet herons"


def set_password(client: Client, link: str, password: str = PASSWORD):
    """Open a link as a browser does, which keeps its token in the session, and send the password twice."""
    page = client.get(link, follow=True)
    if not page.context["validlink"]:
        return page
    sent = {"new_password1": password, "new_password2": password}
    return client.post(page.redirect_chain[-1][0], sent)


class TestLinks:
    def test_the_first_director_is_made_once_and_only_without_a_password(self):
        first, second = first_link(), first_link()
        assert User.objects.values_list("username", "is_superuser").get() == ("director", True)
        assert not User.objects.get().has_usable_password()

        client = Client()
        assert set_password(client, first).url == "/"
        assert client.get("/events/new/").status_code == 200
        assert first_link() is None
        assert second is not None

    def test_a_link_sets_a_password_signs_in_and_is_logged(self, event):
        user = add_staff(event=event, name="Wren", role=Role.DESK, actor=ACTOR, now=NOW).user
        client = Client()

        set_password(client, link_for(user))

        assert client.get("/").url == "/desk/quiet-pines/"
        user.refresh_from_db()
        assert user.check_password(PASSWORD)
        assert Act.objects.filter(chain_id="").values_list("action", "subject", "actor").get() == (
            "staff.password",
            "wren",
            "Wren",
        )
        assert verify("") == (1, [])

    def test_a_link_works_once(self, event):
        user = build.make_user(event, Role.DESK)
        link = link_for(user)
        set_password(Client(), link)

        page = set_password(Client(), link, "another long one")

        assert "This link does not work any more" in page.content.decode()
        user.refresh_from_db()
        assert user.check_password(PASSWORD)

    def test_a_link_opens_no_event_that_came_after_it_and_none_for_who_was_taken_off_the_staff(self, event):
        other = build.make_event("other")
        new, gone = build.make_user(event, Role.DESK), build.make_user(event, Role.DESK)
        links = [link_for(new), link_for(gone)]
        add_staff(event=other, user=new, role=Role.DIRECTOR, actor=ACTOR, now=NOW)
        remove_staff(staff=Staff.objects.get(user=gone), actor=ACTOR, now=NOW)

        pages = [set_password(Client(), link) for link in links]

        assert [page.context["validlink"] for page in pages] == [False, False]

    @pytest.mark.parametrize("link", ["/first/MQ/abc-def/", "/first/OTk5/set-password/", "/first/!/x/"])
    def test_a_wrong_link_says_so(self, link):
        page = Client().get(link)

        assert page.status_code == 200
        assert "This link does not work any more" in page.content.decode()

    def test_a_weak_password_is_refused(self, event):
        user = build.make_user(event, Role.DESK)

        page = set_password(Client(), link_for(user), "short")

        assert list(page.context["form"].errors) == ["new_password2"]


class TestStaffLink:
    def ask(self, client: Client, staff: Staff) -> str:
        page = client.post(f"{PLAN}staff/{staff.pk}/link/", follow=True)
        found = re.search(r'href="http://[^/"]+(/first/[^"]+)"', page.content.decode())
        return found.group(1) if found else ""

    def test_is_shown_once_with_its_code_and_logged(self, event, client_as):
        staff = add_staff(event=event, name="Wren", role=Role.DESK, actor=ACTOR, now=NOW)
        client = client_as(Role.DIRECTOR)

        page = client.post(f"{PLAN}staff/{staff.pk}/link/", follow=True)
        again = client.get(f"{PLAN}staff/{staff.pk}/link/", follow=True)

        assert page.context["qr"] == qr_image(page.context["link"])
        assert "no-store" in page["Cache-Control"]
        assert again.redirect_chain == [(f"{PLAN}#staff", 302)]
        assert again.context["said"]["text"] == "A link is shown once. Make a new one if it is needed."
        assert Act.objects.filter(action="staff.link").values_list("subject", flat=True).get() == "Wren"

    def test_opens_the_account(self, event, client_as):
        staff = add_staff(event=event, name="Wren", role=Role.CARD_ROOM, actor=ACTOR, now=NOW)
        phone = Client()

        set_password(phone, self.ask(client_as(Role.DIRECTOR), staff))

        assert phone.get(PLAN).context["role"] is Role.CARD_ROOM

    @pytest.mark.parametrize("role", [role for role in Role if role is not Role.DIRECTOR])
    def test_is_made_by_the_director_only(self, event, client_as, role):
        staff = add_staff(event=event, name="Wren", role=Role.DIRECTOR, actor=ACTOR, now=NOW)

        assert client_as(role).post(f"{PLAN}staff/{staff.pk}/link/").status_code == 403

    def test_is_refused_for_an_account_of_another_event_too(self, event, client_as):
        other = build.make_event("other-event")
        staff = add_staff(event=event, name="Wren", role=Role.DESK, actor=ACTOR, now=NOW)
        Staff.objects.create(event=other, user=staff.user, role=Role.DIRECTOR)

        assert client_as(Role.DIRECTOR).post(f"{PLAN}staff/{staff.pk}/link/").status_code == 403

    def test_of_another_event_is_not_found(self, event, client_as):
        other = build.make_event("other-event")
        staff = add_staff(event=other, name="Wren", role=Role.DESK, actor=ACTOR, now=NOW)

        assert client_as(Role.DIRECTOR).post(f"{PLAN}staff/{staff.pk}/link/").status_code == 404

    @pytest.mark.parametrize(
        ("host", "address"),
        [
            ("localhost:8000", "http://10.1.2.3:8000/x/"),
            ("127.0.0.1", "http://10.1.2.3/x/"),
            ("10.9.9.9:8000", "http://10.9.9.9:8000/x/"),
        ],
    )
    def test_is_reachable_from_a_phone(self, monkeypatch, host, address):
        monkeypatch.setattr(signin, "lan_addresses", lambda: ["10.1.2.3", "10.4.5.6"])

        assert reachable(RequestFactory().get("/", headers={"host": host}), "/x/") == address

    def test_without_a_network_it_is_the_laptops_own(self, monkeypatch):
        monkeypatch.setattr(signin, "lan_addresses", list)
        request = RequestFactory().get("/", headers={"host": "localhost:8000"})

        assert reachable(request, "/x/") == "http://localhost:8000/x/"

    def test_the_code_carries_no_style(self):
        assert qr_image("http://10.1.2.3/").startswith("data:image/svg+xml")
        assert "style" not in qr_image("http://10.1.2.3/")


class TestSigningIn:
    def test_leads_back_to_the_page(self, event):
        build.make_user(event, Role.DESK, "wren")
        client = Client()
        page = client.get(f"{PLAN}?part=rounds")
        assert page.url == f"/sign-in/?next={quote(f'{PLAN}?part=rounds', safe='')}"

        answer = client.post(page.url, {"username": "wren", "password": "a long password"})

        assert (answer.status_code, answer.url) == (302, f"{PLAN}?part=rounds")

    def test_after_a_form_leads_back_to_the_page_that_held_it(self, event):
        answer = Client().post(f"{PLAN}rounds/", headers={"referer": f"http://testserver{PLAN}"})

        assert (answer.status_code, answer.url) == (302, f"/sign-in/?next={quote(PLAN, safe='')}")

    @pytest.mark.parametrize("method", ["get", "post"])
    def test_a_part_of_a_page_stays_where_it_is(self, event, method):
        """What was typed on the page is not lost by signing in again."""
        answer = getattr(Client(), method)(f"{PLAN}rounds/", headers={"HX-Request": "true"})

        assert (answer.status_code, "Location" in answer, "HX-Redirect" in answer) == (401, False, False)

    @pytest.mark.parametrize("shown", ["http://elsewhere.example/desk/", "", "javascript:alert(1)"])
    def test_never_leads_to_another_machine(self, shown):
        request = RequestFactory().post(PLAN, headers={"referer": shown})

        assert page_of(request) == "/"

    def test_a_wrong_password_is_said_on_the_page(self, event):
        build.make_user(event, Role.DESK, "wren")

        page = Client().post("/sign-in/", {"username": "wren", "password": "wrong"})

        assert page.status_code == 200
        assert len(page.context["form"].non_field_errors()) == 1

    @override_settings(AXES_ENABLED=True)
    def test_too_many_tries_lock_the_name_and_say_so(self, event):
        build.make_user(event, Role.DESK, "wren")
        build.make_user(event, Role.DESK, "corin")
        client = Client()

        pages = [client.post("/sign-in/", {"username": "wren", "password": str(n)}) for n in range(8)]
        right = client.post("/sign-in/", {"username": "wren", "password": "a long password"})
        other = client.post("/sign-in/", {"username": "corin", "password": "a long password"})

        assert [page.status_code for page in pages] == [200] * 7 + [429]
        assert "Too many tries" in pages[-1].content.decode()
        assert (right.status_code, other.status_code) == (429, 302)

    def test_signing_out_is_a_post(self, event, client_as):
        client = client_as(Role.DESK)

        assert client.get("/sign-out/").status_code == 405
        assert client.post("/sign-out/").url == "/sign-in/"
        assert client.get(PLAN).status_code == 302


class TestHome:
    def test_of_one_event_is_its_day(self, client_as):
        assert client_as(Role.VIEWER).get("/").url == "/desk/quiet-pines/"

    def test_of_several_is_a_list_of_ones_own_at_one_query(self, event, django_assert_num_queries):
        user = build.make_user(event, Role.DESK)
        names = ["Amber Creek", "Birch Hill", "Cold Spring"]
        others = [build.make_event(f"event-{n}", name=name) for n, name in enumerate(names)]
        for other in others[:2]:
            Staff.objects.create(event=other, user=user, role=Role.VIEWER)
        client = Client()
        client.force_login(user)

        with django_assert_num_queries(3):  # session, account, events
            page = client.get("/")

        assert [row["event"].name for row in page.context["rows"]] == [
            "Amber Creek",
            "Birch Hill",
            "Quiet Pines Open",
        ]
        assert "New event" not in page.content.decode()

    def test_of_none_says_why(self, db):
        client = Client()
        client.force_login(build.make_user(build.make_event(), None))

        assert "You have no role at an event yet" in client.get("/").content.decode()

    def test_the_list_offers_a_new_event_to_the_installations_director(self, event):
        client = Client()
        client.force_login(build.make_user(None, None))

        assert client.get("/").url == "/desk/quiet-pines/"
        assert "New event" in client.get("/events/").content.decode()
