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

// A drawing on the page; `show` sets what differs.
const drawn = ({ markup, slots }) => {
  const box = make("div");
  box.innerHTML = markup;
  const element = box.firstElementChild, all = [element, ...element.querySelectorAll("*")];
  const places = slots.map(([number, name]) => [all[number], name]), now = [];
  return { element, show: values => values.forEach((value, i) => {
    if (now[i] === value) return;
    now[i] = value;
    const [part, name] = places[i];
    if (name) part.setAttribute(name, value); else part.textContent = value;
  }) };
};

// Draws the page from what it holds: its data, and elements with the packed settings and with the packed still parts.
export const takeHome = async (root, page, packed, packedStills) => {
  const dials = Object.values(page.dials), packs = {}, drawings = {}, stills = {};
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
    stills[still] ??= await unpacked(packedStills[still]);
    Object.assign(shown, { still: stills[still], frame: picture.element });
  };
  const put = (name, at) => Object.assign(page.dials[name], { at, text: page.dials[name].texts[at] });
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
  for (let number = 0; number < packed.length; number += 1) {
    await new Promise(go => (window.requestIdleCallback ?? setTimeout)(go));
    await unpack(number);
  }
};
