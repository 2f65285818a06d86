// A store of settings as host of a panel (see panel.js, which comes before this in one module): a page to take home. Each
// setting was drawn when the page was made.
//
// Some settings are packed together; a pack is unpacked when it is first needed, or when there is nothing else to do.
// Pictures built alike share a drawing, of which only what differs is touched.

// What an element of the page holds, packed.
const unpacked = async element => {
  const bytes = Uint8Array.from(atob(element.textContent), letter => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return JSON.parse(await new Response(stream).text());
};

const parsed = markup => {
  const box = make("div");
  box.innerHTML = markup;
  return box.firstElementChild;
};

// A drawing on the page; `show` sets what differs.
const drawn = ({ markup, slots }) => {
  const element = parsed(markup), all = [element, ...element.querySelectorAll("*")];
  const places = slots.map(([number, name]) => [all[number], name]), now = [];
  return { element, show: values => values.forEach((value, i) => {
    if (now[i] === value) return;
    now[i] = value;
    const [part, name] = places[i];
    if (name) part.setAttribute(name, value); else write(part, value);
  }) };
};

// Makes each still part of its pieces. A piece that was in the last one too stays where it is: laying out all the letters of
// an axis again takes longer than the rest of a move.
const stillParts = ({ pieces, stills }) => {
  const homes = {}, made = {};
  return number => {
    const [opening, numbers] = stills[number], home = homes[opening] ??= parsed(opening);
    const missing = numbers.filter(piece => !made[piece]);
    if (missing.length) {
      const fresh = [...parsed(opening + missing.map(piece => pieces[piece]).join("")).children];
      missing.forEach((piece, i) => { made[piece] = fresh[i]; });
    }
    const wanted = numbers.map(piece => made[piece]), stays = new Set(wanted);
    [...home.children].filter(child => !stays.has(child)).forEach(child => child.remove());
    let here = home.firstElementChild;
    for (const element of wanted)
      if (element === here) here = here.nextElementSibling; else home.insertBefore(element, here);
    return home;
  };
};

// Keeps room for the longest sentence: the picture and the sliders below it must not slide away under a finger.
const roomFor = (longest, sentence) => {
  let fits;
  new ResizeObserver(() => {
    const width = sentence.offsetWidth;
    if (width === fits) return;
    fits = width;
    const copy = make("div", { class: sentence.className, style: `position: absolute; visibility: hidden; width: ${width}px; ` +
      "box-sizing: border-box; min-height: 0" }, ...longest.map(text => make("p", {}, text)));
    sentence.after(copy);
    sentence.style.minHeight = `${copy.getBoundingClientRect().height}px`;
    copy.remove();
  }).observe(sentence);
};

// Draws the page from what it holds: its data, elements with the packed settings, and one with the packed still parts.
export const takeHome = async (root, page, packed, packedStills) => {
  const dials = Object.values(page.dials), packs = {}, drawings = {};
  const unpack = number => packs[number] ??= unpacked(packed[number]);
  const shown = { ...page, answered: { seq: 0, dials: {} },
                  report: { text: "", fault: false, going: false, done: 0, total: 0, links: [] } };
  const set = async () => {
    const number = dials.reduce((sum, dial) => sum * (dial.last + 1) + dial.at, 0);
    const { settings, slots } = await unpack(Math.floor(number / page.together));
    const { words, fault, still, drawing, row } = settings[number % page.together];
    Object.assign(shown, { words, fault, stale: fault });
    if (fault) return; // the last picture stays, dimmed
    const picture = drawings[drawing] ??= drawn(page.drawings[drawing]);
    picture.show(slots[drawing].map(values => values[row]));
    Object.assign(shown, { still: stillPart(still), frame: picture.element });
  };
  const put = (name, at) => Object.assign(page.dials[name], { at, text: page.dials[name].texts[at] });
  const stillPart = stillParts(await unpacked(packedStills));
  let ears;
  await set();
  draw(root, {
    data: name => shown[name],
    async tell({ seq, values }) {
      for (const [name, [, at]] of Object.entries(values))
        put(name, at);
      // What is taken back where another dial moves: the guess, with its question.
      for (const [name, causes] of Object.entries(page.back))
        if (!(name in values) && causes.some(cause => cause in values)) put(name, 0);
      await set();
      shown.answered = { seq, dials: page.dials };
      ears.answered();
    },
    follow(given) { ears = given; return () => {}; },
  });
  roomFor(page.longest, root.querySelector(".bladelab-sentence"));
  for (let number = 0; number < packed.length; number += 1) {
    await new Promise(go => (window.requestIdleCallback ?? setTimeout)(go));
    await unpack(number);
  }
};
