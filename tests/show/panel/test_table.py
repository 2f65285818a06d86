"""table.js alone, in a blank page, with the rows of a real table and a model that notes what it saves."""

from __future__ import annotations

import json

import pytest

from bladelab.show.panel.table import TableRow, TickTable

pytestmark = pytest.mark.browser

# Runs in the page: shows a table. As in anywidget, setting a value tells those who listen to it.
START = """
async ([code, looks, data]) => {
  const style = document.createElement('style');
  style.textContent = looks;
  document.head.replaceChildren(style);
  const url = URL.createObjectURL(new Blob([code], {type: 'text/javascript'}));
  const { render } = (await import(url)).default;
  const ears = new Map(), saved = [];
  const model = {
    get: name => data[name],
    set(name, value) { data[name] = value; ears.get(`change:${name}`)?.forEach(one => one()); },
    save_changes: () => saved.push(data._picked),
    on: (what, ear) => ears.set(what, new Set(ears.get(what)).add(ear)),
    off: (what, ear) => ears.get(what).delete(ear),
  };
  const el = document.createElement('main');
  document.body.replaceChildren(el);
  window.table = {saved, ears, set: model.set, end: render({model, el})};
}
"""

COLUMNS = ("skater", "hours", "sharpened")
#: As texts the hours would be in the order 100, 12, 9 and unknown first, and the days 12 October, 2 October,
#: 3 June.
TEAM = [
    TableRow("a", (("K07", "K07"), ("12", 12.0), ("2 October", "2026-10-02")), "K07, team U15"),
    TableRow("b", (("K08", "K08"), ("100", 100.0), ("", None)), "K08, team U15"),
    TableRow("c", (("K09", "K09"), ("9", 9.0), ("3 June", "2026-06-03")), "K09, team U16", quiet=True),
    TableRow("d", (("K10", "K10"), ("", None), ("12 October", "2026-10-12")), "K10, team U16"),
]


@pytest.fixture(scope="module")
def blank(blank_page):
    """A blank page in headless Chromium; without one the test is skipped."""
    page = blank_page()
    page.set_default_timeout(2_000)
    page.on("pageerror", lambda error: pytest.fail(f"the page: {error}"))
    return page


@pytest.fixture
def show(blank):
    """Call with rows, and those of them that are ticked: shows the table and returns the page."""

    def one(rows=TEAM, picked=()):
        blank.evaluate(START, [TickTable._esm, TickTable._css, told(rows, picked)])
        return blank

    return one


def told(rows, picked=()) -> dict:
    """What the kernel tells the page of a table."""
    table = TickTable("everybody", COLUMNS)
    table.pick(picked)
    table.show(rows)
    state = table.get_state()
    return json.loads(
        json.dumps({name: state[name] for name in ("_caption", "_columns", "_rows", "_picked")})
    )


def order(page) -> list[str]:
    """The first cells of the rows in sight, from above."""
    return page.get_by_role("rowheader").all_inner_texts()


def heading(page, name):
    return page.get_by_role("columnheader", name=name, exact=True)


def sorts(page) -> list[str]:
    """How the table says that it is sorted, column by column."""
    return [heading(page, name).get_attribute("aria-sort") for name in COLUMNS]


def ticked(page) -> list[str]:
    """The rows whose boxes are ticked, as a screen reader calls them."""
    boxes = "boxes => boxes.filter(one => one.checked && !one.closest('thead')).map(one => one.ariaLabel)"
    return page.get_by_role("checkbox").evaluate_all(boxes)


def test_it_is_a_table_with_every_cell_and_the_order_it_was_given(show):
    page = show()
    table = page.get_by_role("table", name="everybody")
    assert table.get_by_role("columnheader").all_inner_texts() == ["", *COLUMNS]
    cells = [row.get_by_role("cell").all_inner_texts() for row in table.get_by_role("row").all()[1:]]
    assert cells == [["", *(text for text, _ in row.cells[1:])] for row in TEAM]
    assert order(page) == ["K07", "K08", "K09", "K10"] and sorts(page) == ["none"] * 3
    assert page.locator(".bladelab-quiet").all_inner_texts()[0].split() == ["K09", "9", "3", "June"]
    names = "cells => cells.map(cell => cell.dataset.name)"
    assert page.locator(".bladelab-empty").evaluate_all(names) == ["sharpened", "hours"]
    assert not page.get_by_role("searchbox").is_visible(), "four are found without looking for them"


@pytest.mark.parametrize(
    ("column", "up", "down"),
    [
        ("skater", ["K07", "K08", "K09", "K10"], ["K10", "K09", "K08", "K07"]),
        ("hours", ["K09", "K07", "K08", "K10"], ["K08", "K07", "K09", "K10"]),
        ("sharpened", ["K09", "K07", "K10", "K08"], ["K10", "K07", "K09", "K08"]),
    ],
)
def test_a_heading_sorts_by_value_one_way_and_the_other_with_the_unknown_last(show, column, up, down):
    page = show()
    place = COLUMNS.index(column)
    for wanted, said in ((up, "ascending"), (down, "descending"), (up, "ascending")):
        page.get_by_role("button", name=column, exact=True).click()
        assert order(page) == wanted
        assert sorts(page) == [said if i == place else "none" for i in range(3)]


def test_another_heading_begins_upward(show):
    page = show()
    for _ in range(2):
        page.get_by_role("button", name="skater", exact=True).click()
    page.get_by_role("button", name="hours", exact=True).click()
    assert sorts(page) == ["none", "ascending", "none"] and order(page)[0] == "K09"


def test_it_is_sorted_and_ticked_with_the_keyboard_alone(show):
    page = show()
    page.get_by_role("checkbox", name="tick all rows in sight").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert sorts(page) == ["none", "ascending", "none"]
    page.keyboard.press("Space")
    assert sorts(page) == ["none", "descending", "none"] and order(page)[0] == "K08"
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")  # the first row as it is sorted now
    page.keyboard.press("Space")
    assert page.evaluate("table.saved") == [["b"]]
    page.evaluate("table.set('_picked', ['b', 'c'])")  # the kernel ticks one more
    assert ticked(page) == ["tick K08, team U15", "tick K09, team U16"]
    assert page.evaluate("document.activeElement.ariaLabel") == "tick K08, team U15", "the focus is kept"
    page.keyboard.press("Space")
    assert page.evaluate("table.saved") == [["b"], ["c"]] and ticked(page) == ["tick K09, team U16"]


def test_a_tick_stays_with_its_row_and_one_box_ticks_all(show):
    page = show(picked=["a"])
    every = page.get_by_role("checkbox", name="tick all rows in sight")
    page.get_by_role("button", name="hours", exact=True).click()
    assert ticked(page) == ["tick K07, team U15"] and not every.is_checked()
    every.click()
    assert page.evaluate("table.saved.at(-1)") == ["a", "b", "c", "d"] and len(ticked(page)) == 4
    page.get_by_role("checkbox", name="tick K10, team U16").click()
    assert page.evaluate("table.saved.at(-1)") == ["a", "b", "c"] and not every.is_checked()
    page.get_by_role("checkbox", name="tick K10, team U16").click()
    assert every.is_checked(), "all are ticked, one by one"
    every.click()
    assert page.evaluate("table.saved.at(-1)") == [] and ticked(page) == []


def test_new_rows_come_in_the_order_that_was_chosen(show):
    page = show(picked=["a"])
    page.get_by_role("button", name="hours", exact=True).click()
    page.get_by_role("button", name="hours", exact=True).click()
    more = TableRow("e", (("K11", "K11"), ("50", 50.0), ("", None)))
    page.evaluate("rows => table.set('_rows', rows)", told([*TEAM, more])["_rows"])
    assert order(page) == ["K08", "K11", "K07", "K09", "K10"] and ticked(page) == ["tick K07, team U15"]
    assert page.get_by_role("checkbox", name="tick e").count() == 1, "a row is called by its name"


def test_among_many_some_are_looked_for_and_only_those_in_sight_are_ticked(show):
    many = [
        TableRow(f"{i:02d}", ((f"N{i:02d}", i), ("under" if i % 10 else "Over", 0), ("", None)))
        for i in range(41)
    ]
    page = show(many, picked=["01"])
    find, every = page.get_by_role("searchbox", name="look for"), page.get_by_role("checkbox").first
    assert page.locator(".bladelab-table-box").evaluate("box => box.scrollHeight > box.clientHeight")
    find.fill(" over")
    assert order(page) == ["N00", "N10", "N20", "N30", "N40"]
    every.click()
    assert page.evaluate("table.saved") == [["00", "01", "10", "20", "30", "40"]] and every.is_checked()
    page.get_by_role("button", name="skater", exact=True).click()
    page.get_by_role("button", name="skater", exact=True).click()
    assert order(page) == ["N40", "N30", "N20", "N10", "N00"]
    find.fill("N1")
    assert not every.is_checked() and len(order(page)) == 10
    find.fill("nobody")
    assert order(page) == [] and not every.is_checked()
    page.evaluate("rows => table.set('_rows', rows)", told(many[:40])["_rows"])
    assert not find.is_visible() and len(order(page)) == 40, "what hid them can't be seen any more"


def test_a_table_that_is_closed_listens_no_more(show):
    page = show()
    page.evaluate("table.end()")
    assert page.evaluate("[...table.ears.values()].map(ears => ears.size)") == [0, 0]
