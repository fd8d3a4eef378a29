"""A table is kept as it was saved: a changed cell changes its own bytes in the file and no others."""

import random

import pytest

from nesting.reading.columns import table_named
from nesting.reading.grid import read_grid

PIECES = table_named("pieces")
ODD = 'boards;Piece ;my own;inside width;inside height\r\n"moss";" Fern";3/8;11 1/4;15\r\n\r\nmoss;"say ""so""";;12;17'


@pytest.mark.parametrize(
    "data",
    [ODD.encode(), b"\xef\xbb\xbf" + ODD.encode(), ODD.encode("utf-16"), b"", b"\n\npiece,boards\nFern,moss\n"],
)
def test_a_table_is_kept_to_the_byte(data):
    assert read_grid(data, PIECES).data() == data


def test_only_a_changed_row_differs():
    changed = read_grid(ODD.encode(), PIECES).with_cell(4, "inside width", "13 1/8").data().decode()
    assert changed == ODD.replace('moss;"say ""so""";;12;17', 'moss;"say ""so""";;13 1/8;17')


def test_a_new_row_and_a_new_column_come_last():
    grid = read_grid(b"piece,boards\nFern,moss", PIECES).with_cell(3, "piece", "Vetch").with_cell(3, "quantity", "2")
    assert grid.data() == b"piece,boards,quantity\nFern,moss\nVetch,,2\n"


def test_rows_are_removed_but_never_the_headings():
    assert (
        read_grid(b"piece,boards\nFern,moss\nVetch,moss\n", PIECES).without((1, 2)).data()
        == b"piece,boards\nVetch,moss\n"
    )


HEADINGS = ("piece", "boards", "inside width", "inside height", "my own", "notes")
TEXTS = (
    "",
    "Fern",
    "moss",
    "3/8",
    "11 1/4",
    "12,5",
    'say "so"',
    "two\nlines",
    "=1+1",
    "\N{LATIN SMALL LETTER E WITH ACUTE}t\N{LATIN SMALL LETTER E WITH ACUTE}",
    "a;b",
    "a\tb",
    " far ",
    '7"',
)


def quoted(text, separator, draw):
    """Write a cell as some program might: in quotes where it must be, and now and then where it need not."""
    must = any(sign in text for sign in (separator, "\n", "\r")) or text.startswith((" ", '"'))
    return (
        '"' + text.replace('"', '""') + '"'
        if must or draw.random() < 0.2
        else " " * (draw.random() < 0.1 and bool(text)) + text
    )


@pytest.mark.parametrize("seed", range(500))
def test_a_cell_changes_its_own_bytes_alone(seed):
    draw = random.Random(seed)  # noqa: S311 - tables, no secrets
    separator, end = draw.choice(",;\t"), draw.choice(("\n", "\r\n"))
    encoding = draw.choice(("utf-8", "utf-8-sig", "utf-16"))
    headings = draw.sample(HEADINGS, draw.randint(3, len(HEADINGS)))
    rows = [[quoted(heading, separator, draw) for heading in headings]]
    for _ in range(draw.randint(1, 8)):
        filled = draw.random() > 0.15
        rows.append([quoted(draw.choice(TEXTS) if filled else "", separator, draw) for _ in headings])
    closed = draw.random() < 0.7

    def data():
        return (end.join(map(separator.join, rows)) + end * closed).encode(encoding)

    grid = read_grid(data(), PIECES)
    assert grid.data() == data()
    row, column = draw.randrange(1, len(rows)), draw.randrange(len(headings))
    rows[row][column] = text = draw.choice(("Vetch", "9 1/8", ""))
    assert grid.with_cell(row + 1, headings[column], text).data() == data()
