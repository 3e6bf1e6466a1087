"""A lost password: one new link, once, from the laptop itself."""

import re

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client

import build
from events.log.models import Act

pytestmark = pytest.mark.django_db


def link(capsys, *words: str) -> str:
    call_command("password_link", *words)
    return re.search(r"http://127\.0\.0\.1:8400(/first/\S+)", capsys.readouterr().out).group(1)


def test_the_director_gets_a_link_although_a_password_is_set(capsys):
    director = User.objects.create_superuser("director", password="a long password")
    client = Client()
    page = client.get(link(capsys), follow=True)
    new = "another long password"
    client.post(page.redirect_chain[-1][0], {"new_password1": new, "new_password2": new})
    director.refresh_from_db()
    assert director.check_password(new)
    assert list(Act.objects.values_list("action", flat=True)) == ["staff.link", "staff.password"]


def test_a_named_account_gets_a_link_and_an_unknown_name_is_told_the_others(capsys):
    build.make_user(None, None, "wren")
    assert link(capsys, "wren").startswith("/first/")
    with pytest.raises(CommandError, match=r"There is no account moth\. There are: wren"):
        call_command("password_link", "moth")
