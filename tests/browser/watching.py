"""What runs in the page of a notebook, in JavaScript: opening, listening, watching, closing."""

# Each page opens in feet and inches, whatever was chosen in the browser before, unless a test sets
# `keepsUnits` in the tab.
FORGET_UNITS = """
try {
  if (!sessionStorage.keepsUnits) localStorage.removeItem('bladelab-units');
} catch { /* a blank page */ }
"""

# Runs in every page before anything else: notes what the kernel was sent and has not dealt with, whether it
# is busy, when either last spoke, and what went wrong in it.
LISTEN = """
window.bladelabKernel = {sent: new Set(), busy: false, last: 0, errors: []};
window.bladelabText = data => typeof data === 'string' ? data.slice(0, 3000)
  : data instanceof ArrayBuffer ? new TextDecoder().decode(data.slice(0, 3000)) : '';
window.WebSocket = class extends WebSocket {
  constructor(...given) {
    super(...given);
    this.addEventListener('message', event => {
      const text = bladelabText(event.data), state = text.match(/"execution_state": ?"([a-z]+)"/)?.[1];
      if (/"msg_type": ?"error"/.test(text))  // raised by a handler: no output of a cell shows it
        bladelabKernel.errors.push(text.match(/"ename": ?"[^"]*", ?"evalue": ?"[^"]*"/)?.[0] ?? text);
      if (state) bladelabKernel.busy = state !== 'idle';
      if (/starting|dead/.test(state)) bladelabKernel.sent.clear();
      if (state === 'idle')  // it names the message that it is done with
        for (const id of bladelabKernel.sent) if (text.includes(id)) bladelabKernel.sent.delete(id);
      bladelabKernel.last = performance.now();
    });
  }
  send(data) {
    const text = bladelabText(data);
    if (/"(comm_msg|execute_request|kernel_info_request)"/.test(text))
      bladelabKernel.sent.add(text.match(/"msg_id": ?"([^"]+)"/)[1]);
    bladelabKernel.last = performance.now();
    return super.send(data);
  }
};
"""

# Runs in the page: notes the time of each key press and mouse move, of each frame with a changed picture, and
# of each value that a slider takes. Who watched before, watches no more.
WATCH = """
(selector) => {
  window.bladelabUnwatch?.();
  const end = new AbortController(), observers = [];
  window.bladelabUnwatch = () => { end.abort(); observers.forEach(one => one.disconnect()); };
  const watch = window.bladelabWatch = {acts: [], frames: [], values: []};
  for (const kind of ['keydown', 'mousemove'])
    document.addEventListener(
      kind, () => watch.acts.push(performance.now()), {capture: true, signal: end.signal});
  const around = node => (node.nodeType === Node.ELEMENT_NODE ? node : node.parentElement)?.closest(selector);
  const within = node => node.nodeType === Node.ELEMENT_NODE && node.querySelector(selector);
  let waiting = false;
  observers.push(new MutationObserver(async records => {
    const touched = records.some(record => around(record.target) ||
                                           [...record.addedNodes].some(node => around(node) || within(node)));
    if (!touched || waiting) return;
    waiting = true;
    const images = [...document.querySelectorAll(selector)].flatMap(
      node => node.tagName === 'IMG' ? [node] : [...node.querySelectorAll('img')]);
    await Promise.all(images.map(image => image.complete ? null : image.decode().catch(() => null)));
    requestAnimationFrame(() => { waiting = false; watch.frames.push(performance.now()); });
  }));
  observers[0].observe(
    document.body, {subtree: true, childList: true, attributes: true, characterData: true});
  observers.push(new MutationObserver(records => {
    const moved = record => record.target.getAttribute(record.attributeName) !== record.oldValue;
    if (records.some(moved)) watch.values.push(performance.now());
  }));
  observers[1].observe(document.body, {
    subtree: true, attributeFilter: ['aria-valuenow', 'aria-valuetext'], attributeOldValue: true});
}
"""

# Runs in the page: draws what the picture shows, whatever it is made of, and returns it as a short text.
READ_PICTURE = """
async (element) => {
  const pieces = [];
  const short = async bytes => {
    const digest = await crypto.subtle.digest('SHA-256', bytes);
    return [...new Uint8Array(digest)].map(b => b.toString(16).padStart(2, '0')).join('');
  };
  const images = element.tagName === 'IMG' ? [element] : [...element.querySelectorAll('img')];
  for (const image of images) {
    await image.decode().catch(() => null);
    const canvas = document.createElement('canvas');
    canvas.width = image.naturalWidth; canvas.height = image.naturalHeight;
    if (!canvas.width) { pieces.push('empty'); continue; }
    const pen = canvas.getContext('2d');
    pen.drawImage(image, 0, 0);
    pieces.push(await short(pen.getImageData(0, 0, canvas.width, canvas.height).data));
  }
  for (const drawing of element.querySelectorAll('svg')) {
    const copy = drawing.cloneNode(true);
    copy.removeAttribute('aria-label');  // words about the picture are not the picture
    // The name of a clip is another in each drawing.
    const names = new Map();
    const named = name => names.get(name) ?? names.set(name, `clip-${names.size}`).get(name);
    const text = copy.outerHTML.replace(/\\bp[0-9a-f]{8,}\\b/g, named);
    pieces.push(await short(new TextEncoder().encode(text)));
  }
  for (const sheet of element.querySelectorAll('canvas')) pieces.push(sheet.toDataURL());
  return pieces.join('|');
}
"""

# Runs in JupyterLab: opens a notebook, by its path, in a tab of its own.
OPEN_TAB = """
async path => {
  Object.assign(bladelabKernel, {sent: new Set(), busy: false, last: 0, errors: []});
  await jupyterapp.commands.execute('docmanager:open', {path});
}
"""

# Runs in JupyterLab: closes all tabs, without a question about what is unsaved.
CLOSE_TABS = """
async () => {
  for (const tab of jupyterapp.shell.widgets('main'))
    if (tab.context?.model) tab.context.model.dirty = false;
  await jupyterapp.commands.execute('application:close-all');
}
"""

# Runs in JupyterLab, given the server's token: ends all kernels and waits until none is left. A notebook
# opened meanwhile at the same place would join a session that is ending, and never run; and what JupyterLab
# says of it late would count as an error of the next notebook.
END_KERNELS = """
async token => {
  const ask = (what, method) => fetch('/api/' + what, {method, headers: {Authorization: 'token ' + token}});
  const all = async what => (await ask(what, 'GET')).json();
  await Promise.all((await all('sessions')).map(one => ask('sessions/' + one.id, 'DELETE')));
  while ((await all('kernels')).length) await new Promise(wait => setTimeout(wait, 50));
}
"""
