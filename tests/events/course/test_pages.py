import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

import build
from events.course.importing import read_layouts
from events.course.models import Layout
from events.course.queries import layouts_of
from events.setup.models import Role

pytestmark = pytest.mark.django_db


def grid(*rows: tuple[str, ...], name: str = "Lower", **extra: str) -> dict[str, str]:
    data = {"name": name, "hole-TOTAL_FORMS": str(len(rows)), "hole-INITIAL_FORMS": "0", **extra}
    for number, row in enumerate(rows):
        for key, value in zip(("label", "par", "length", "tee", "target", "walk", "note"), row, strict=False):
            data[f"hole-{number}-{key}"] = value
    return data


def test_a_layout_is_typed_as_one_grid(event, client_as):
    client = client_as(Role.DIRECTOR)
    address = reverse("course:new", args=[event.slug])
    assert client.get(address).status_code == 200
    answer = client.post(
        address, grid(("1", "3", "90"), ("4S", "4", "150", "pond", "north", "5", "creek"), ("",))
    )
    assert answer.status_code == 302
    facts = layouts_of(event)[Layout.objects.get(name="Lower").pk]
    assert [(h.label, h.par, h.length_m, h.tee_name, h.walk_minutes, h.note) for h in facts.holes] == [
        ("1", 3, 90, "1", None, ""),
        ("4S", 4, 150, "pond", 5, "creek"),
    ]


def test_a_missing_par_is_named_and_nothing_is_saved(event, client_as):
    answer = client_as(Role.DIRECTOR).post(reverse("course:new", args=[event.slug]), grid(("1", "", "90")))
    assert answer.status_code == 422
    assert "Par is missing." in answer.content.decode()
    assert not Layout.objects.filter(name="Lower").exists()


def test_feet_are_typed_and_metres_kept(event, client_as):
    event.units = "ft"
    event.save()
    client_as(Role.DIRECTOR).post(reverse("course:new", args=[event.slug]), grid(("1", "3", "300")))
    facts = layouts_of(event)[Layout.objects.get(name="Lower").pk]
    assert facts.holes[0].length_m == 91


def test_others_read_but_do_not_change(event, client_as):
    client = client_as(Role.CARD_ROOM)
    layout = event.layouts.get()
    assert client.get(reverse("course:layouts", args=[event.slug])).status_code == 200
    assert client.get(reverse("course:layout", args=[event.slug, layout.pk])).status_code == 200
    assert (
        client.post(reverse("course:layout", args=[event.slug, layout.pk]), grid(("1", "3"))).status_code
        == 403
    )


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_one_and_three_layouts(
    event, client_as, count, django_assert_num_queries
):
    client = client_as(Role.VIEWER)
    for number in range(count - 1):
        build.make_layout(event, f"L{number}")
    with django_assert_num_queries(10):
        client.get(reverse("course:layouts", args=[event.slug]))


CSV = "Sunny layouts,,\nLayout,Hole,Par,Metres,Tee\nShort,1,3,80,a\nShort,2S,4,130,b\nLong,1,3,110,a\n"


def test_layouts_come_from_a_file(event, client_as):
    file = SimpleUploadedFile("layouts.csv", CSV.encode())
    client_as(Role.DIRECTOR).post(reverse("course:upload", args=[event.slug]), {"file": file})
    by_name = {layout.name: layout for layout in layouts_of(event).values()}
    assert [hole.label for hole in by_name["Short"].holes] == ["1", "2S"]
    assert by_name["Long"].holes[0].tee == by_name["Short"].holes[0].tee


def test_every_problem_of_a_file_is_named():
    found = read_layouts("x.csv", b"hole,par,length\n1,3,90\n2,,80\n3,12,70\n4,3,far\n", units="m")
    assert [(p.row, p.column) for p in found.problems] == [(3, "par"), (4, "par"), (5, "length")]


def test_a_file_with_problems_saves_nothing(event, client_as):
    file = SimpleUploadedFile("layouts.csv", b"layout,hole,par\nNew,1,3\nNew,2,0\n")
    answer = client_as(Role.DIRECTOR).post(reverse("course:upload", args=[event.slug]), {"file": file})
    assert answer.status_code == 422
    assert not Layout.objects.filter(name="New").exists()
