// A store of settings as host of a panel (see panel.js, which comes before this in one module): a page to take home. Each
// setting was drawn when the page was made.
//
// Some settings are packed together; a pack is unpacked when it is first needed, or when there is nothing else to do.
// Pictures built alike share a drawing, of which only what differs is touched. Even so, to lay out and paint a new picture takes a
// phone longer than a frame. So the settings one step away lie ready under the one on view, each on a sheet of its own.

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

// A whole picture, its still part and the drawing over it, which stays hidden until it is brought up.
const newSheet = (page, stills) => {
  const boxes = [make("div"), make("div")], stillPart = stillParts(stills), drawings = {};
  const element = make("div", { class: "bladelab-sheet", "aria-hidden": "true" }, ...boxes);
  const sheet = { element, number: undefined, show(number, { still, drawing, row }, slots) {
    sheet.number = number;
    const picture = drawings[drawing] ??= drawn(page.drawings[drawing]);
    picture.show(slots[drawing].map(values => values[row]));
    [stillPart(still), picture.element].forEach((part, i) => {
      if (boxes[i].firstChild !== part) boxes[i].replaceChildren(part);
    });
  } };
  return sheet;
};

// When there is nothing else to do; after a while anyway: a page on which nothing moves may wait for its idle time for ever.
const idle = () => new Promise(
  go => window.requestIdleCallback ? requestIdleCallback(go, { timeout: 200 }) : setTimeout(go));

// Draws the page from what it holds: its data, elements with the packed settings, and one with the packed still parts.
export const takeHome = async (root, page, packed, packedStills) => {
  const packs = {}, stills = await unpacked(packedStills);
  const sheets = [1, 2, 3].map(() => newSheet(page, stills)), pile = make("div", { class: "bladelab-pile" });
  pile.append(...sheets.map(({ element }) => element));
  const unpack = number => packs[number] ??= unpacked(packed[number]);
  const shown = { ...page, answered: { seq: 0, dials: {} },
                  report: { text: "", fault: false, going: false, done: 0, total: 0, links: [] } };
  // The number of the setting on view, or of the one where some dials are moved elsewhere.
  const numberOf = (moved = {}) => Object.entries(page.dials).reduce(
    (sum, [name, dial]) => sum * (dial.last + 1) + (moved[name] ?? dial.at), 0);
  const settingOf = async number => {
    const { settings, slots } = await unpack(Math.floor(number / page.together));
    return [settings[number % page.together], slots];
  };
  // What a move takes back of the other dials: the guess, with its question.
  const withTakenBack = moved => {
    const back = Object.entries(page.back).filter(
      ([name, causes]) => !(name in moved) && causes.some(cause => cause in moved));
    return { ...Object.fromEntries(back.map(([name]) => [name, 0])), ...moved };
  };
  let top, near = [], preparing = false, ears;
  const spare = () => sheets.find(sheet => sheet !== top && !near.includes(sheet.number)) ?? sheets.find(sheet => sheet !== top);
  const set = async () => {
    const number = numberOf(), [setting, slots] = await settingOf(number), { words, fault } = setting;
    Object.assign(shown, { words, fault, stale: fault });
    if (fault) return; // the last picture stays, dimmed
    const sheet = sheets.find(one => one.number === number) ?? spare();
    if (sheet.number !== number) sheet.show(number, setting, slots);
    if (sheet === top) return;
    top?.element.setAttribute("aria-hidden", true);
    sheet.element.removeAttribute("aria-hidden");
    [top, shown.frame] = [sheet, pile];
  };
  // Draws the settings one step of this dial away, one at a time, while nothing moves.
  const prepare = async name => {
    const { at, last } = page.dials[name];
    near = [at + 1, at - 1].filter(one => one >= 0 && one <= last).map(one => numberOf(withTakenBack({ [name]: one })));
    if (preparing) return;
    preparing = true;
    const missing = () => near.find(one => sheets.every(({ number }) => number !== one));
    await idle();
    for (let number; (number = missing()) !== undefined; await idle()) {
      const [setting, slots] = await settingOf(number);
      if (setting.fault) near = near.filter(one => one !== number);
      else if (near.includes(number)) spare().show(number, setting, slots);
    }
    preparing = false;
  };
  await set();
  draw(root, {
    data: name => shown[name],
    async tell({ seq, values }) {
      const moved = withTakenBack(Object.fromEntries(Object.entries(values).map(([name, [, at]]) => [name, at]))), dials = {};
      for (const [name, at] of Object.entries(moved))
        dials[name] = Object.assign(page.dials[name], { at, text: page.dials[name].texts[at] });
      await set();
      shown.answered = { seq, dials };
      ears.answered();
      prepare(Object.keys(values)[0]);
    },
    follow(given) { ears = given; return () => {}; },
  });
  roomFor(page.longest, root.querySelector(".bladelab-sentence"));
  root.addEventListener("focusin", ({ target }) => { if (target.dataset.dial in page.dials) prepare(target.dataset.dial); });
  for (let number = 0; number < packed.length; number += 1) {
    await idle();
    await unpack(number);
  }
};
