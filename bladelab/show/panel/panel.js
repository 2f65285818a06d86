// A panel on the page: a picture, a sentence and the controls that move them.
//
// What it shows and what happens on a move is up to its host: a kernel (kernel.js), or a store of frames inside a page
// to take home. A host has
//   data(name)      what the panel is made of: "spec", "size", "dials", "still", "frame", "words", "fault", "stale", "answered", "report",
//                   "bar" (the skater's card, where there is one)
//   tell(message)   passes on what the user did: {do: "move", seq, values}, {do: "type", name, text},
//                   {do: "press", button}, {do: "save", form}, {do: "stop"},
//                   {do: "narrow", on} (how much room there is), {do: "card", act, value} (of the bar), {do: "look"} (the reader is back; needs no answer)
//   follow(ears)    calls ears.heard(seq), ears.answered(), ears.reported(), ears.barred() and ears.lost() from then on;
//                   returns how to end it
//
// Every value is a position, a whole number from 0 to `last`, in the scale that the dial has (its `edition`). The page
// sends only positions that the user moved: setting a control from here fires no event, so a number that nobody moved
// can't change.

const make = (tag, attributes = {}, ...children) => {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === undefined) continue;
    element.setAttribute(name, value === true ? "" : value);
  }
  // JupyterLab keeps its shortcuts away from an element with this attribute: here, arrows move sliders.
  if (["input", "select", "button"].includes(tag)) element.dataset.lmSuppressShortcuts = true;
  element.append(...children);
  return element;
};

// Writes a text where there is one already: a new node would make the browser work out styles and layout again.
const write = (element, text) => {
  if (!element.firstChild) element.textContent = text;
  else if (element.firstChild.data !== text) element.firstChild.data = text;
};

// What a dial says at a position, before the host has answered.
export const textAt = (dial, at) => {
  if (dial.texts) return dial.texts[at];
  const { low, step, decimals, trim, unit } = dial.scale;
  let text = (low + at * step).toFixed(decimals);
  if (trim && text.includes(".")) text = text.replace(/\.?0+$/, "");
  if (Number(text) === 0) text = text.replace("-", "");
  return text.replace("-", "−") + unit;
};

// How long a page waits for an answer before it says that there is none, and a text stays before it is read out.
const PATIENCE_MS = 15000, REST_MS = 600;
// A panel with less room than this has its picture stacked.
const ROOM_PX = 840;
const NO_ANSWER = "No answer yet: the notebook is busy, or its kernel has stopped. If this does not go away, run the " +
  "cell again; on a plain page, reload it.";

// By chance, not counted: each panel of a notebook runs this module for itself.
const newId = () => `bladelab-${Math.random().toString(36).slice(2)}`;

// Call the result whenever the text of a live region changes: a screen reader then waits until nothing has moved, and does
// not read out every step of a held key.
const readAtRest = element => {
  let timer;
  return () => {
    clearTimeout(timer);
    element.setAttribute("aria-busy", true);
    timer = setTimeout(() => element.setAttribute("aria-busy", false), REST_MS);
  };
};

// Passes moves on: one message on its way at a time, and always the last position of each dial. Messages are numbered
// through all views of a panel, so that each view can tell whether an answer knows its own last move.
const mover = host => {
  let heard = host.data("answered").seq, sent = heard, waiting = {};
  const last = {}; // the message that carried a dial's last move; Infinity while it waits
  const flush = () => {
    if (!Object.keys(waiting).length) return;
    sent += 1;
    for (const name in waiting) last[name] = sent;
    const values = waiting;
    waiting = {};
    host.tell({ do: "move", seq: sent, values });
  };
  const go = () => { if (heard >= sent) flush(); };
  return {
    move(name, place) { waiting[name] = place; last[name] = Infinity; go(); },
    flush, // sends what waits, before what is asked of it
    heard(seq) { heard = Math.max(heard, seq); sent = Math.max(sent, heard); go(); },
    idle: () => heard >= sent && !Object.keys(waiting).length,
    // Whether an answer to message `seq` knows the last move of this dial.
    knows: (name, seq) => !(last[name] > seq),
  };
};

// One control: its box for the layout, and `show`, which sets it to what the host says without an event.
const control = (info, moves, host) => {
  const named = [info.column, info.label].filter(Boolean).join(" ");
  const name = make("span", { class: "bladelab-name" }, info.label);
  // A copy: while a move waits, the hand goes on in the scale on view, though the host has another by now.
  const news = () => ({ ...host.data("dials")[info.name] });
  let dial = news();
  const aria = { "data-dial": info.name, "aria-label": named };

  if (info.kind === "choice" || info.kind === "tick") {
    const tick = info.kind === "tick";
    const input = tick ? make("input", { type: "checkbox", ...aria }) : make("select", aria);
    const box = make("label", { class: `bladelab-dial bladelab-${info.kind}` }, name, input);
    let offered;
    input.addEventListener("change", () =>
      moves.move(info.name, [dial.edition, tick ? Number(input.checked) : input.selectedIndex]));
    const show = () => {
      dial = news();
      box.hidden = !dial.shown;
      if (tick) { input.checked = Boolean(dial.at); return; }
      if (offered !== (offered = dial.texts.join("\n")))
        input.replaceChildren(...dial.texts.map(text => make("option", {}, text)));
      input.selectedIndex = dial.at;
    };
    return { box, show };
  }

  const typed = info.kind === "range", id = newId();
  const input = make("input", { type: "range", id, min: 0, step: 1, ...aria,
                                "aria-description": typed && "press Enter to type a value" });
  // The slider itself says its value: an output would be read out as well.
  const output = make("output", { "aria-live": "off", title: typed && "click to type a value" });
  const box = make("label", { class: "bladelab-dial", for: id }, name, input, output);
  const say = text => {
    if (output.textContent === text) return;
    write(output, text);
    input.setAttribute("aria-valuetext", text);
  };
  const move = at => {
    if (Number(input.value) !== at) input.value = at;
    say(textAt(dial, at));
    moves.move(info.name, [dial.edition, at]);
  };
  input.addEventListener("input", () => move(Number(input.value)));

  if (typed) {
    const type = first => {
      const field = make("input", { type: "text", class: "bladelab-typed", inputmode: "decimal",
                                    "aria-label": `${named}, type a value` });
      field.value = first ?? output.textContent;
      let open = true;
      const end = taken => {
        if (!open) return;
        open = false;
        if (taken && field.value.trim() && field.value !== output.textContent)
          host.tell({ do: "type", name: info.name, text: field.value });
        field.replaceWith(output);
        if (taken !== "left") input.focus({ preventScroll: true });
      };
      field.addEventListener("keydown", event => {
        event.stopPropagation();
        if (event.key === "Enter") end("typed");
        if (event.key === "Escape") end(false);
      });
      field.addEventListener("blur", () => end("left"));
      output.replaceWith(field);
      field.focus();
      if (first === undefined) field.select();
    };
    output.addEventListener("click", event => { event.preventDefault(); type(); });
    input.addEventListener("keydown", event => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "Enter") { event.preventDefault(); type(); }
      if (/^[0-9.,−-]$/.test(event.key)) { event.preventDefault(); type(event.key); }
    });
  }

  if (info.kind === "frames") {
    const button = make("button", { type: "button", class: "bladelab-play", "aria-label": `play ${named}` }, "▶");
    let timer;
    const step = () => {
      if (!input.isConnected) { play(false); return; }
      if (moves.idle()) move((Number(input.value) + 1) % (dial.last + 1));
    };
    const play = on => {
      clearInterval(timer);
      timer = on ? setInterval(step, info.interval_ms) : undefined;
      button.textContent = on ? "⏸" : "▶";
      button.setAttribute("aria-label", `${on ? "pause" : "play"} ${named}`);
    };
    button.addEventListener("click", event => { event.preventDefault(); play(timer === undefined); });
    box.prepend(button);
  }

  const show = () => {
    dial = news();
    box.hidden = !dial.shown;
    if (Number(input.max) !== dial.last || !input.max) input.max = dial.last; // else the browser lays the slider out again
    if (Number(input.value) !== dial.at) input.value = dial.at;
    say(dial.text);
  };
  return { box, show };
};

// The controls of one page: present and trial side by side, what both share below.
const page = (infos, boxes, columnsOf) => {
  const parts = [];
  const columns = ["present", "trial"].filter(column => infos.some(info => info.column === column));
  if (columns.length)
    parts.push(make("div", { class: "bladelab-columns" }, ...columns.map(column =>
      make("fieldset", { class: `bladelab-column bladelab-${column}` },
        make("legend", {}, `${column} ${columnsOf}`),
        ...infos.filter(info => info.column === column).map(info => boxes[info.name])))));
  const shared = infos.filter(info => !info.column).map(info => boxes[info.name]);
  if (shared.length) parts.push(make("div", { class: "bladelab-shared" }, ...shared));
  return parts;
};

// Puts the boxes of each group in the order of their dials' places, for the eye and the Tab key alike; a control that has
// the focus keeps it.
const arrange = (host, infos, boxes) => {
  const places = new Map(infos.map(info => [boxes[info.name], host.data("dials")[info.name].place ?? 0]));
  for (const group of new Set([...places.keys()].map(box => box.parentElement))) {
    const before = [...group.children];
    const after = before.toSorted((one, other) => (places.get(one) ?? 0) - (places.get(other) ?? 0));
    if (after.every((box, i) => box === before[i])) continue;
    const focused = group.contains(document.activeElement) && document.activeElement;
    group.append(...after);
    if (focused) focused.focus({ preventScroll: true });
  }
};

const tabs = (pages, chosen) => {
  const buttons = [], panes = [];
  const choose = (at, focus) => {
    buttons.forEach((button, i) => {
      button.setAttribute("aria-selected", i === at);
      button.tabIndex = i === at ? 0 : -1;
      panes[i].hidden = i !== at;
    });
    if (focus) buttons[at].focus();
  };
  pages.forEach(([, title, parts], i) => {
    const id = newId();
    buttons.push(make("button", { type: "button", role: "tab", id, "aria-controls": `${id}-page` }, title));
    panes.push(make("div", { role: "tabpanel", id: `${id}-page`, "aria-labelledby": id, "data-title": title }, ...parts));
    buttons[i].addEventListener("click", () => choose(i));
    buttons[i].addEventListener("keydown", event => {
      const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (by) { event.preventDefault(); choose((i + by + pages.length) % pages.length, true); }
    });
  });
  choose(Math.max(0, pages.findIndex(([group]) => group === chosen)));
  return [make("div", { role: "tablist", class: "bladelab-tabs" }, ...buttons), ...panes];
};

// Fills the screen with the panel, where the browser can: an iPhone can't.
const fullScreen = root => {
  const button = make("button", { type: "button" }, "full screen");
  const on = () => document.fullscreenElement === root;
  button.addEventListener("click", () => on() ? document.exitFullscreen() : root.requestFullscreen());
  root.addEventListener("fullscreenchange", () => { button.textContent = on() ? "leave full screen" : "full screen"; });
  return document.fullscreenEnabled ? [button] : [];
};

// The row of buttons, the units and what can be saved; below it a line that says how long work goes on.
const tools = (host, boxes, root) => {
  const spec = host.data("spec");
  const act = (text, message) => {
    const button = make("button", { type: "button" }, text);
    button.addEventListener("click", () => host.tell(message()));
    return button;
  };
  const row = make("div", { class: "bladelab-tools" },
    ...spec.buttons.map((text, i) => act(text, () => ({ do: "press", button: i }))));
  if (boxes.units) row.append(boxes.units);
  const starters = [];
  if (spec.forms.length) {
    const form = make("select", { "aria-label": "kind of picture file" },
      ...spec.forms.map(text => make("option", {}, text)));
    const save = act("save picture", () => ({ do: "save", form: form.value }));
    starters.push(save);
    row.append(make("span", { class: "bladelab-saving" }, form, save));
  }
  const stop = act("stop", () => ({ do: "stop" }));
  const bar = make("progress", { "aria-label": "how far it is" });
  const line = make("p", { class: "bladelab-report", role: "status" }), changed = readAtRest(line);
  row.append(...fullScreen(root), stop, bar, line);
  const say = (text, fault, links = []) => {
    line.replaceChildren(text, ...links.flatMap(link => [" ", make("a", { href: link.href, download: true }, link.text)]));
    line.hidden = !text;
    line.classList.toggle("bladelab-fault", fault);
    changed();
  };
  const report = () => {
    const { text, fault, going, done, total, links } = host.data("report");
    stop.hidden = bar.hidden = !(going && total);
    if (total) Object.assign(bar, { max: total, value: done });
    for (const button of starters) button.disabled = going;
    say(text, fault, links);
  };
  return { row, report, say, line };
};

// Draws the panel into `root` and keeps it true; returns how to end it.
export const draw = (root, given) => {
  let alarm, lost = false;
  const lose = () => {
    lost = true;
    picture.classList.add("bladelab-stale");
    say(NO_ANSWER, true);
  };
  const alive = () => {
    clearTimeout(alarm);
    if (!lost) return;
    lost = false;
    show();
    report();
  };
  const host = { ...given, tell(message) {
    clearTimeout(alarm);
    alarm = setTimeout(lose, PATIENCE_MS);
    if (message.do !== "move") moves.flush();
    given.tell(message);
  } };
  const spec = host.data("spec"), moves = mover(host);
  const still = make("div"), frame = make("div");
  const picture = make("div", { class: "bladelab-picture" }, still, frame);
  const sentence = make("div", { class: "bladelab-sentence", role: "status" });
  const spoke = readAtRest(sentence);
  const controls = Object.fromEntries(spec.controls.map(info => [info.name, control(info, moves, host)]));
  const boxes = Object.fromEntries(Object.entries(controls).map(([name, { box }]) => [name, box]));
  const infos = spec.controls.filter(info => info.name !== "units");
  const laid = spec.tabs
    ? tabs([...new Set(infos.map(info => info.group))].map(group =>
        [group, spec.titles[group] ?? group, page(infos.filter(info => info.group === group), boxes, spec.columns_of)]),
        spec.open_on)
    : page(infos, boxes, spec.columns_of);
  const { row, report, say, line } = tools(host, boxes, root), card = host.data("bar") && skaterBar(host);
  // How it went is said beside the button: the row of tools may be far below the bar.
  for (const place of [row, card?.bar])
    place?.addEventListener("click", event => { if (event.target.closest("button")) place.append(line); });

  root.classList.add("bladelab-panel");
  root.replaceChildren(...(card ? [card.bar] : []),
    make("div", { class: "bladelab-body" },
      make("div", { class: "bladelab-seen" }, picture, sentence),
      make("div", { class: "bladelab-side" }, make("div", { class: "bladelab-controls" }, ...laid), row)));

  let cramped = false, sized;
  const size = () => {
    const { width, height, narrow } = sized = host.data("size");
    root.classList.toggle("bladelab-narrow", width <= 560);
    root.classList.toggle("bladelab-stacked", narrow);
    // Where there is little room the picture scrolls by itself, with the keyboard too.
    if (narrow || cramped) picture.tabIndex = 0; else picture.removeAttribute("tabindex");
    for (const [name, value] of Object.entries({ width: `${narrow ? 480 : width}px`, ratio: width / height }))
      root.style.setProperty(`--bladelab-${name}`, value);
  };
  let shown = {};
  const show = () => {
    if (sized !== host.data("size")) size();
    const now = Object.fromEntries(["still", "frame", "words", "fault", "stale"].map(name => [name, host.data(name)]));
    for (const [box, part] of [[still, "still"], [frame, "frame"]])
      if (now[part] !== shown[part]) {
        if (typeof now[part] === "string") box.innerHTML = now[part]; // from a kernel
        else box.replaceChildren(now[part]); // an element, which a store goes on changing
      }
    picture.hidden = !still.hasChildNodes() && !frame.hasChildNodes(); // no setting has worked yet
    picture.classList.toggle("bladelab-stale", now.stale);
    if (now.words !== shown.words || now.fault !== shown.fault) {
      const texts = now.words.split("\n");
      while (sentence.children.length > texts.length) sentence.lastElementChild.remove();
      while (sentence.children.length < texts.length) sentence.append(make("p"));
      texts.forEach((text, i) => {
        write(sentence.children[i], text);
        sentence.children[i].classList.toggle("bladelab-fault", now.fault);
      });
      spoke();
    }
    shown = now;
  };
  for (const name in controls) controls[name].show();
  arrange(host, infos, boxes);
  show();
  report();
  card?.show();

  // Where there is little room the picture is laid out for it, by a host that can.
  let asked = host.data("size").narrow;
  const room = new ResizeObserver(() => {
    const on = cramped = root.clientWidth < ROOM_PX;
    size();
    if (!root.clientWidth || on === asked || !host.data("size").stacks) return;
    asked = on;
    host.tell({ do: "narrow", on });
  });
  room.observe(root);

  const away = onReturn(root, () => host.data("bar")?.looks && given.tell({ do: "look" }));
  const end = host.follow({
    lost: lose,
    heard(seq) { alive(); moves.heard(seq); },
    reported() { alive(); report(); },
    barred() { alive(); card?.show(); },
    answered() {
      alive();
      const { seq, dials } = host.data("answered");
      for (const name in dials) if (moves.knows(name, seq)) controls[name].show();
      arrange(host, infos, boxes);
      show();
      moves.heard(seq);
    },
  });
  if (card) keepUnits(host, boxes.units, moves);
  return () => { clearTimeout(alarm); room.disconnect(); away(); end(); };
};
