// A table that is sorted on the page: click a heading, or press Enter on it. Rows can be ticked.
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

const render = ({ model, el }) => {
  const body = make("tbody"), heads = [];
  let by = -1, down = false;
  const show = () => {
    const rows = [...model.get("_rows")], picked = new Set(model.get("_picked"));
    if (by >= 0) rows.sort((a, b) => before(a.cells[by][1], b.cells[by][1], down));
    heads.forEach((head, i) =>
      head.setAttribute("aria-sort", i !== by ? "none" : down ? "descending" : "ascending"));
    body.replaceChildren(...rows.map(row => {
      const tick = make("input", { type: "checkbox", "aria-label": `tick ${row.id}` });
      tick.checked = picked.has(row.id);
      tick.addEventListener("change", () => {
        const now = new Set(model.get("_picked"));
        if (tick.checked) now.add(row.id); else now.delete(row.id);
        model.set("_picked", [...now].sort());
        model.save_changes();
      });
      const cells = row.cells.map(([text], i) => make(i ? "td" : "th", i ? {} : { scope: "row" }, text));
      return make("tr", {}, make("td", {}, tick), ...cells);
    }));
  };
  const columns = model.get("_columns").map((text, i) => {
    const button = make("button", { type: "button" }, text);
    button.addEventListener("click", () => { down = by === i && !down; by = i; show(); });
    heads.push(make("th", { scope: "col", "aria-sort": "none" }, button));
    return heads[i];
  });
  const caption = make("caption", {}, model.get("_caption"));
  el.replaceChildren(make("div", { class: "bladelab-table" },
    make("table", {}, caption, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "tick"), ...columns)), body)));
  show();
  const again = () => show();
  model.on("change:_rows", again);
  model.on("change:_picked", again);
  return () => { model.off("change:_rows", again); model.off("change:_picked", again); };
};

export default { render };
