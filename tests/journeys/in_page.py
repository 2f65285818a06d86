"""What runs in the page while a journey is played: it finds the dials and reads panels at one look."""

from __future__ import annotations

#: Runs in the page once: what a dial is, by its name, in one panel.
IN_PAGE = """
window.dials = {
  panel: n => [...document.querySelectorAll('.bladelab-panel')].filter(one => one.isConnected)[n],
  control: (n, name) => dials.panel(n).querySelector(`[data-dial="${name}"]`),
  text: (n, name) => {
    const control = dials.control(n, name);
    if (control.type === 'checkbox') return `${control.checked}`;
    return control.selectedOptions ? control.selectedOptions[0]?.textContent ?? ''
      : control.closest('label').querySelector('output').textContent;
  },
  // What a slider read when a hand moved it last, by the name of its dial: an answer from the kernel may
  // follow at once.
  moved: {},
  // Takes hold of a dial, if it is in sight.
  hold: (n, name) => {
    const control = dials.control(n, name);
    control.focus();
    return document.activeElement === control;
  },
  // Opens the tab that holds the dial, if it is in one.
  reveal: (n, name) => {
    const page = dials.control(n, name).closest('[role=tabpanel]');
    if (page?.hidden) document.getElementById(page.getAttribute('aria-labelledby')).click();
    return !!dials.control(n, name).offsetParent;
  },
  // What a picture shows, as text: ids are counted in the order in which they are met, and the order of an
  // element's properties says nothing.
  drawn: picture => {
    const seen = new Map(), parts = [];
    const named = text => text.replace(/#[\\w.:-]+/g, id => {
      if (!/^#[0-9a-fA-F]{6}$/.test(id) && !seen.has(id)) seen.set(id, `#${seen.size}`);
      return seen.get(id) ?? id;
    });
    const walk = (node, into) => {
      if (node.nodeType === Node.TEXT_NODE) { if (node.data.trim()) into.push(node.data.trim()); return; }
      if (['defs', 'style', 'clipPath'].includes(node.tagName)) return;
      const about = [...node.attributes].filter(one => !['id', 'aria-label', 'clip-path'].includes(one.name))
        .map(one => `${one.name}=${named(one.value.replace(/\\s+/g, ' '))}`).sort();
      into.push(`<${node.tagName} ${about.join(' ')}>`);
      node.childNodes.forEach(child => walk(child, into));
    };
    picture.querySelectorAll('svg').forEach(svg => walk(svg, parts));
    return parts;
  },
  // What the picture should show from now on.
  wanted: [],
  want: html => {
    const box = document.createElement('div');
    box.innerHTML = html;
    dials.wanted = dials.drawn(box);
  },
  // All of a panel at one look: what it says, what its dials read, and, once it says what it should, how many
  // parts the picture has and should have, and those that differ.
  look: (n, names, sentence) => {
    const panel = dials.panel(n), said = dials.oneLine(panel.querySelector('.bladelab-sentence').innerText);
    const texts = names.map(name => dials.oneLine(dials.text(n, name)));
    if (!said.startsWith(sentence)) return {said, texts};
    const shown = dials.drawn(panel.querySelector('.bladelab-picture')), {wanted} = dials;
    const apart = shown.map((part, i) => [part, wanted[i] ?? '']).filter(([part, other]) => part !== other);
    return {said, texts, parts: [shown.length, wanted.length], apart};
  },
  oneLine: text => text.trim().replace(/\\s+/g, ' '),
};
document.addEventListener('input', ({target}) => {
  if (target.type !== 'range') return;
  dials.moved[target.dataset.dial] = target.closest('label').querySelector('output').textContent;
});
"""
