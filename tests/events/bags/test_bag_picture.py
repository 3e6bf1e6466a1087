from decimal import Decimal

from events.bags.bag_picture import Piece, mass_picture, roles_table


def test_roles_without_a_piece_are_left_out_and_cells_name_their_pieces() -> None:
    rows = roles_table([Piece(3, "putting", "new"), Piece(1, "putting", "new"), Piece(2, "distance", "worn")])
    assert [(row.role, row.numbers) for row in rows] == [
        ("putting", ((1, 3), (), (), (), ())),
        ("distance", ((), (), (), (2,), ())),
    ]


def test_nothing_in_the_bag_is_a_table_without_rows() -> None:
    assert roles_table([]) == ()


def test_the_picture_of_masses_fits_a_phone() -> None:
    assert mass_picture([], None).width <= 358  # a screen of 390 without the margins of the page


def test_masses_stand_by_their_share_and_what_is_not_known_is_named() -> None:
    picture = mass_picture(
        [
            Piece(1, "putting", "new", Decimal("176.0"), Decimal("176.0"), weighed=True),
            Piece(2, "putting", "new", Decimal("167.2"), Decimal("176.0")),
            Piece(3, "putting", "new", None, Decimal("176.0")),
            Piece(4, "putting", "new", Decimal("170"), None),
        ],
        Decimal("0.2"),
    )
    assert [(mark.number, mark.weighed) for mark in picture.marks] == [(2, False), (1, True)]
    assert picture.marks[1].x == picture.limit_x
    assert picture.marks[0].words == "2: stamped 167.2 g, 95.0 % of 176.0 g"
    assert picture.left_out == (3, 4)
    assert picture.guard_x < picture.limit_x < picture.guard_x + picture.guard_width


def test_pieces_of_one_mass_stand_under_each_other() -> None:
    picture = mass_picture([Piece(n, "putting", "new", Decimal(170), Decimal(176)) for n in (1, 2, 3)], None)
    assert len({mark.y for mark in picture.marks}) == 3
    assert max(mark.y for mark in picture.marks) < picture.height
    assert picture.guard_width == 0


def test_a_mass_beyond_the_axis_stands_at_its_edge_and_says_its_figure() -> None:
    picture = mass_picture([Piece(1, "putting", "worn", Decimal(120), Decimal(176))], None)
    assert picture.marks[0].x == picture.ticks[0][0]
    assert picture.marks[0].words == "1: stamped 120 g, 68.2 % of 176 g"
