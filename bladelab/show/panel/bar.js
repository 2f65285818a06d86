// The bar over a panel with the skater's card (part of one module with panel.js, whose `make` it uses).

// Whose card is open, what is on it and what can be done with it; with no skater just the choice.
export const skaterBar = host => {
  const ask = (act, value) => host.tell({ do: "card", act, value });
  const option = (value, text) => make("option", { value }, text);
  const skater = make("select", { "data-dial": "skater", "aria-label": "skater" });
  const side = make("select", { "data-dial": "side", "aria-label": "present edge" },
    option("left", "left"), option("right", "right"));
  const named = input =>
    make("label", {}, make("span", { class: "bladelab-name" }, input.getAttribute("aria-label")), " ", input);
  const sides = named(side);
  const code = make("input", { type: "text", class: "bladelab-typed", "aria-label": "code of the new skater, no name",
                               placeholder: "code, such as K07", autocomplete: "off" });
  const begin = make("button", { type: "submit" }, "open a card");
  const form = make("form", { class: "bladelab-saving" }, code, begin);
  const says = make("p"), told = make("p", { role: "status" });
  const acts = make("span", { class: "bladelab-saving" });
  const bar = make("div", { class: "bladelab-bar", role: "group", "aria-label": "skater's card" },
    named(skater), form, sides, says, told, acts);
  let shown = {};
  const open = on => { form.hidden = !on; if (on) code.focus(); else skater.value = shown.code; };
  skater.addEventListener("change", () => {
    if (skater.value === "+") { open(true); return; }
    form.hidden = true;
    ask("choose", skater.value);
  });
  side.addEventListener("change", () => ask("side", side.value));
  form.addEventListener("submit", event => { event.preventDefault(); ask("begin", code.value); });
  code.addEventListener("keydown", event => {
    event.stopPropagation();
    if (event.key === "Escape") { open(false); skater.focus(); }
  });
  const show = () => {
    const before = shown;
    shown = host.data("bar");
    if (String(before.codes) !== String(shown.codes))
      skater.replaceChildren(option("", "no skater"), ...shown.codes.map(one => option(one, one)), option("+", "new skater …"));
    if (before.code !== shown.code) { form.hidden = true; code.value = ""; }
    if (form.hidden) skater.value = shown.code;
    sides.hidden = !shown.side;
    side.value = shown.side;
    if (says.textContent !== shown.says) says.textContent = shown.says;
    if (told.textContent !== shown.told) told.textContent = shown.told;
    told.classList.toggle("bladelab-fault", shown.fault);
    says.hidden = !shown.says;
    told.hidden = !shown.told;
    // A button that stays keeps its element, and so the focus.
    const old = Object.fromEntries([...acts.children].map(button => [button.dataset.act, button]));
    const now = shown.buttons.map(([name, text]) => {
      const button = old[name] ?? make("button", { type: "button", "data-act": name });
      if (!old[name]) button.addEventListener("click", () => ask("press", name));
      if (button.textContent !== text) button.textContent = text;
      return button;
    });
    if (String(now.map(one => one.dataset.act)) !== String(Object.keys(old))) acts.replaceChildren(...now);
  };
  return { bar, show };
};

// The units that the reader chose last in this browser hold on every page, as long as no skater's card says others. The
// browser keeps nothing else; where it may not keep that either, every page begins as it is.
const UNITS = "bladelab-units";
export const keepUnits = (host, box, moves) => {
  const select = box.querySelector("select"), { at, edition, texts } = host.data("dials").units;
  try {
    const store = window.localStorage, kept = texts.indexOf(store.getItem(UNITS));
    select.addEventListener("change", () => store.setItem(UNITS, texts[select.selectedIndex]));
    if (kept >= 0 && kept !== at && !host.data("bar").code && !host.data("answered").seq) moves.move("units", [edition, kept]);
  } catch { /* a browser that keeps nothing */ }
};

// Calls `look` when the reader comes back to a panel: from another window, another tab, or from further down the page.
export const onReturn = (root, look) => {
  let timer, inSight;
  const soon = () => {
    clearTimeout(timer);
    if (!document.hidden) timer = setTimeout(look, 50);
  };
  const watcher = new IntersectionObserver(entries => {
    const seen = [inSight, ...entries.map(one => one.isIntersecting)];  // several at once, if the page is busy
    inSight = seen.at(-1);
    if (inSight && seen.includes(false)) soon();
  });
  watcher.observe(root);
  document.addEventListener("visibilitychange", soon);
  window.addEventListener("focus", soon);
  return () => {
    clearTimeout(timer);
    watcher.disconnect();
    document.removeEventListener("visibilitychange", soon);
    window.removeEventListener("focus", soon);
  };
};
