// A table that is sorted on the page: click a heading, or press Enter on it. Rows can be ticked and looked for.
const make = (tag, attributes = {}, ...children) => {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value !== undefined) element.setAttribute(name, value);
  if (["input", "button"].includes(tag)) element.dataset.lmSuppressShortcuts = true;
  element.append(...children);
  return element;
};

// Unknown comes last, whichever way the table is sorted.
const before = (a, b, down) => {
  if (a === null || b === null) return (a === null) - (b === null);
  return (a < b ? -1 : a > b ? 1 : 0) * (down ? -1 : 1);
};
// With more rows than this there is a field to look for some, and the table scrolls by itself.
const MANY = 40;

const render = ({ model, el }) => {
  const body = make("tbody", { role: "rowgroup" }), heads = [], names = model.get("_columns");
  let by = -1, down = false, rows = [];
  const pick = now => { model.set("_picked", [...now].toSorted()); model.save_changes(); };
  const all = make("input", { type: "checkbox", "aria-label": "tick all rows in sight" });
  all.addEventListener("change", () => {
    const now = new Set(model.get("_picked"));
    for (const { row } of inSight()) if (all.checked) now.add(row.id); else now.delete(row.id);
    pick(now);
  });
  const find = make("input", { type: "search", "aria-label": "look for", placeholder: "look for ..." });
  const inSight = () => rows.filter(({ line }) => !line.hidden);
  // A tick keeps its element when it is set, and so the focus.
  const ticks = () => {
    const picked = new Set(model.get("_picked"));
    for (const { row, tick } of rows) tick.checked = picked.has(row.id);
    const seen = inSight();
    all.checked = seen.length > 0 && seen.every(({ tick }) => tick.checked);
  };
  const look = () => {
    const text = find.value.trim().toLowerCase();
    for (const { row, line } of rows)
      line.hidden = text !== "" && !row.cells.some(([said]) => said.toLowerCase().includes(text));
    ticks();
  };
  const sort = () => {
    heads.forEach((head, i) =>
      head.setAttribute("aria-sort", i !== by ? "none" : down ? "descending" : "ascending"));
    const sorted = by < 0 ? rows : rows.toSorted((a, b) => before(a.row.cells[by][1], b.row.cells[by][1], down));
    body.replaceChildren(...sorted.map(({ line }) => line));
  };
  const show = () => {
    rows = model.get("_rows").map(row => {
      const tick = make("input", { type: "checkbox", "aria-label": `tick ${row.said}` });
      tick.addEventListener("change", () => {
        const now = new Set(model.get("_picked"));
        if (tick.checked) now.add(row.id); else now.delete(row.id);
        pick(now);
      });
      const cells = row.cells.map(([text], i) => i
        ? make("td", { role: "cell", "data-name": names[i], class: text ? undefined : "bladelab-empty" }, text)
        : make("th", { scope: "row", role: "rowheader" }, text));
      const line = make("tr", { role: "row", class: row.quiet ? "bladelab-quiet" : undefined },
        make("td", { role: "cell" }, tick), ...cells);
      return { row, tick, line };
    });
    const many = rows.length > MANY;
    box.classList.toggle("bladelab-many", many);
    search.hidden = !many;
    if (!many) find.value = "";
    look();
    sort();
  };
  const columns = names.map((text, i) => {
    const button = make("button", { type: "button" }, text);
    button.addEventListener("click", () => { down = by === i && !down; by = i; sort(); });
    heads.push(make("th", { scope: "col", role: "columnheader", "aria-sort": "none" }, button));
    return heads[i];
  });
  find.addEventListener("input", look);
  find.addEventListener("keydown", event => event.stopPropagation());
  const search = make("p", {}, find);
  // The roles are said, since a phone shows the rows as blocks, and a browser then takes them for no table.
  const box = make("div", { class: "bladelab-table-box" },
    make("table", { role: "table" }, make("caption", {}, model.get("_caption")),
      make("thead", { role: "rowgroup" },
        make("tr", { role: "row" }, make("th", { scope: "col", role: "columnheader" }, all), ...columns)),
      body));
  el.replaceChildren(make("div", { class: "bladelab-table" }, search, box));
  show();
  model.on("change:_rows", show);
  model.on("change:_picked", ticks);
  return () => { model.off("change:_rows", show); model.off("change:_picked", ticks); };
};

export default { render };
