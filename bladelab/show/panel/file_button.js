// A button that brings files from the reader's computer or phone: their names in a message, their contents beside it.
const render = ({ model, el }) => {
  const { text, hint, suffixes, several } = model.get("_spec");
  const button = document.createElement("button"), files = document.createElement("input");
  Object.assign(button, { type: "button", className: "jupyter-button widget-button bladelab-file", textContent: text, title: hint });
  Object.assign(files, { type: "file", accept: suffixes, multiple: several, hidden: true });
  Object.assign(button.style, { width: "auto", margin: "2px" });
  button.addEventListener("click", () => files.click());
  files.addEventListener("change", async () => {
    const chosen = [...files.files];
    files.value = "";  // else the same file could not be brought once more
    const contents = await Promise.all(chosen.map(file => file.arrayBuffer()));
    model.send({ names: chosen.map(file => file.name) }, undefined, contents);
  });
  el.append(button, files);
};

export default { render };
