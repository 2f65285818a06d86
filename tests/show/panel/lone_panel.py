"""panel.js alone, in a blank page, with a host that only writes down what it is told."""

from __future__ import annotations

import json

# Runs in the page: draws a panel whose host keeps every message, and answers when it is told to.
START = """
async ([code, looks, data]) => {
  const style = document.createElement('style');
  style.textContent = looks;
  document.head.replaceChildren(style);
  const module = await import(URL.createObjectURL(new Blob([code], {type: 'text/javascript'})));
  const told = [], ears = [];
  const tellAll = (what, seq) => ears.forEach(one => one[what](seq));
  window.panel = {
    told, data, textAt: module.textAt,
    ears, lost: () => tellAll('lost'),
    heard: seq => tellAll('heard', seq),
    answer(seq, dials = {}, change = {}) {
      for (const name in dials) Object.assign(data.dials[name], dials[name]);
      Object.assign(data, change, {answered: {seq, dials}});
      tellAll('answered');
    },
    bar(change) { data.bar = {...data.bar, ...change}; tellAll('barred'); },
    report(change) { Object.assign(data.report, change); tellAll('reported'); },
  };
  const host = {
    data: name => data[name],
    tell: message => told.push(JSON.parse(JSON.stringify(message))),
    follow(given) { ears.push(given); return () => ears.splice(ears.indexOf(given), 1); },
  };
  window.panel.view = () => {
    const root = document.createElement('main');
    document.body.append(root);
    window.panel.end = module.draw(root, host);
  };
  document.body.replaceChildren();
  window.panel.view();
}
"""


def data_of(panel) -> dict:
    """What a panel tells its page, as the page has it."""
    state = panel.get_state()
    names = (
        "spec",
        "size",
        "dials",
        "still",
        "frame",
        "words",
        "fault",
        "stale",
        "answered",
        "report",
        "bar",
    )
    return json.loads(json.dumps({name: state[f"_{name}"] for name in names}))


def told(page) -> list[dict]:
    """What the host was told since the last call."""
    return page.evaluate("panel.told.splice(0)")


def dial(page, name):
    return page.locator(f'[data-dial="{name}"]')


def output(page, name) -> str:
    return dial(page, name).evaluate("input => input.closest('label').querySelector('output').textContent")
