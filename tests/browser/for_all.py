"""Whether a page can be used by everyone: by eye on any screen, by keyboard and with a screen reader.

The rules of axe-core (Deque Systems, MPL 2.0) are those of WCAG 2.2 that a program can check, and its own
good practice. Each page is judged by them as a plain page on a laptop and, where it is tried, on a phone; and
in the colours of JupyterLab's dark theme: there, or on the plain page by the one rule that a theme can break.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import axe_playwright_python
from jupyterlab.commands import get_app_dir

#: Rules of axe that a page can break on a phone alone.
ON_A_PHONE = ("target-size", "scrollable-region-focusable", "meta-viewport", "css-orientation-lock")

_AXE = next(Path(axe_playwright_python.__file__).parent.rglob("axe.min.js")).read_text(encoding="utf-8")

# Runs in the page. In JupyterLab the panels are ours, what is around them is not, and prose, which is judged
# on the plain page, is put away. As long as axe looks, nothing there hides what is beyond it: of text that is
# out of sight axe says nothing.
_VIOLATIONS = """
async rules => {
  const inLab = document.querySelector('.jp-NotebookPanel');
  const ours = inLab ? {include: [['.jp-Notebook .jp-CodeCell']]} : document;
  const open = document.createElement('style');
  if (inLab)
    open.textContent = `:is(body, .lm-Widget, .jp-WindowedPanel-outer) {
      overflow: visible !important; contain: none !important }
      .jp-WindowedPanel-inner { background: var(--jp-layout-color0) }
      .jp-MarkdownCell { display: none !important }`;
  document.head.append(open);
  const {violations} = await axe.run(
    ours, {...rules.length && {runOnly: rules}, resultTypes: ['violations'], selectors: false});
  open.remove();
  return violations.flatMap(({id, nodes}) => nodes.map(({html, failureSummary}) =>
    `${id}: ${html.slice(0, 200)}: ${failureSummary.slice(0, 300)}`));
}
"""

# Runs in a plain page that was lent the dark theme's colours: the one rule of axe that a theme can break.
_IN_THE_DARK = """
async () => {
  const ours = {include: [['.jp-Cell']], exclude: [['.bladelab-picture']]};
  const {violations} = await axe.run(
    ours, {runOnly: ['color-contrast'], resultTypes: ['violations'], selectors: false});
  return violations.flatMap(({nodes}) => nodes.map(({html}) => html.slice(0, 200)));
}
"""

# Runs in the page: pictures that are not on white, so that what is in them is as it was drawn.
_NOT_ON_WHITE = """
() => [...document.querySelectorAll('.bladelab-picture')].filter(
  picture => getComputedStyle(picture).backgroundColor !== 'rgb(255, 255, 255)').map(
  picture => `not on white: ${picture.outerHTML.slice(0, 150)}`)
"""

# Runs in the page: gives it colours until they are taken away.
_LEND = """
colours => {
  const style = document.body.appendChild(document.createElement('style'));
  style.id = 'lent';
  style.textContent = colours;
}
"""

# Runs in the page: controls whose name or value a screen reader could not say, and pictures without words.
_UNSAID = """
() => [...document.querySelectorAll('.bladelab-panel')].filter(panel => panel.offsetParent).flatMap(panel => {
  const of = selector =>
    [...panel.querySelectorAll(selector)].filter(part => part.offsetParent || part.closest('svg'));
  const column = slider => slider.closest('fieldset')?.className.match(/present|trial/)?.[0] ?? '';
  const sliders = of('input[type=range]').filter(slider =>
    !slider.ariaLabel?.startsWith(column(slider)) || !slider.getAttribute('aria-valuetext') ||
    slider.getAttribute('aria-valuetext') !== slider.closest('label').querySelector('output').textContent);
  const words = of('.bladelab-picture [role=img]').map(picture => picture.ariaLabel ?? '');
  const silent = of('.bladelab-sentence').filter(one => one.role !== 'status');
  const bare = words.filter(text => text.length < 20 || text.includes('?.'));
  return [...sliders.map(slider => `unnamed: ${slider.outerHTML}`),
          ...bare.map(text => `a picture says: ${text}`),
          ...(words.length ? [] : ['no picture has words']),
          ...silent.map(sentence => `not announced: ${sentence.textContent}`)];
})
"""

# Runs in the page: what is cut off, too small to read or for a thumb, or beside its slider and not above it.
_NOT_FOR_A_THUMB = """
() => {
  const room = document.querySelector('.jp-WindowedPanel-outer') ?? document.documentElement;
  const edge = room.getBoundingClientRect().left + room.clientWidth;
  const box = element => element.getBoundingClientRect();
  const told = (what, element) => `${what}: ${element.outerHTML.slice(0, 150)}`;
  const seen = selector => [...document.querySelectorAll(selector)].filter(element => element.offsetParent);
  const inBox = element => element.closest('.bladelab-table-box, .bladelab-picture, pre, table');
  const sliders = seen('.bladelab-panel input[type=range]');
  const buttons = seen('.bladelab-panel :is(button, select)');
  const letters = text => {
    const {a, b} = text.getScreenCTM?.() ?? {a: 1, b: 0};
    return parseFloat(getComputedStyle(text).fontSize) * Math.hypot(a, b);
  };
  const says = element => [...element.childNodes].some(one => one.nodeType === 3 && one.textContent.trim());
  const texts = [...document.querySelectorAll('.bladelab-panel *')].filter(
    one => says(one) && one.getClientRects().length);
  const wrong = (what, among, is) => among.filter(is).map(one => told(what, one));
  return [
    ...(room.scrollWidth > room.clientWidth ? [`it scrolls sideways: ${room.scrollWidth}`] : []),
    ...wrong('cut off', seen('.jp-Cell *'), one => box(one).right > edge + 1 && !inBox(one)),
    ...wrong('not whole', buttons, one => one.scrollWidth > one.clientWidth + 2),
    ...wrong('small', [...sliders, ...buttons], one => box(one).height < 43.9),
    ...wrong('letters too small', texts, one => letters(one) < 11),
    ...wrong('breaks in a word', seen('.jp-RenderedText pre'), one =>
      getComputedStyle(one).wordBreak === 'break-all'),
    ...wrong('no name above', sliders, one =>
      box(one.closest('label').querySelector('.bladelab-name')).bottom > box(one).top + 1),
    ...wrong('short', sliders, one => box(one).width < 0.35 * box(one.closest('.bladelab-panel')).width),
  ];
}
"""

# Runs in the page after a key was pressed: dials at which Tab stops not once for each of their controls, and
# controls of the first panel that don't show that they have the focus.
_NOT_BY_KEYBOARD = """
() => {
  const seen = (within, selector) =>
    [...within.querySelectorAll(selector)].filter(one => one.offsetParent && !one.disabled);
  const stops = dial => seen(dial, '*').filter(one => one.tabIndex >= 0).length;
  const dials = seen(document, '.bladelab-dial').filter(
    dial => stops(dial) !== seen(dial, 'input, select, button').length);
  const cell = document.querySelector('.jp-Cell:has(.bladelab-panel)');
  const controls = seen(cell, '.jp-OutputArea :is(input, select, textarea, button)').filter(control => {
    control.focus({preventScroll: true});
    return getComputedStyle(control).outlineStyle === 'none';
  });
  document.activeElement.blur();
  return [...dials.map(dial => `stops ${stops(dial)} times: ${dial.outerHTML.slice(0, 150)}`),
          ...controls.map(control => `focus not seen: ${control.outerHTML.slice(0, 150)}`)];
}
"""


def not_by_keyboard(page) -> list[str]:
    """What the keyboard stops at too often, or without a sign that it does; nothing, if all is well."""
    page.locator(".bladelab-panel input, .bladelab-panel select").first.focus()
    page.keyboard.press("Tab")
    return page.evaluate(_NOT_BY_KEYBOARD)


def not_for_a_thumb(page) -> list[str]:
    """What is wrong on a phone or a tablet, in the window as it is; nothing, if all is well."""
    return page.evaluate(_NOT_FOR_A_THUMB)


def hard_to_read_in_the_dark(page) -> list[str]:
    """What the colours of JupyterLab's dark theme make hard to read on a plain page, says axe, and pictures
    that are not on white; nothing, if all is well. The page has its own colours afterwards."""
    page.evaluate(_LEND, _dark_colours())
    try:
        return _with_axe(page, _IN_THE_DARK) + page.evaluate(_NOT_ON_WHITE)
    finally:
        page.evaluate("document.querySelector('#lent').remove()")


def _dark_colours() -> str:
    themes = Path(get_app_dir()) / "themes" / "@jupyterlab"
    return (themes / "theme-dark-extension" / "index.css").read_text(encoding="utf-8")


def violations(page, *rules: str) -> list[str]:
    """What axe finds, by all of its rules or by those given, what a screen reader could not say, and pictures
    that are not on white; nothing, if all is well."""
    return _with_axe(page, _VIOLATIONS, rules) + page.evaluate(_UNSAID) + page.evaluate(_NOT_ON_WHITE)


def _with_axe(page, script: str, given: Sequence[str] = ()) -> list[str]:
    if not page.evaluate("!!window.axe"):
        page.evaluate(f"{_AXE}; 0")
    return page.evaluate(script, [*given])
