// Runs all cells of a notebook when it opens, if it lies in notebooks/ and its code is the collection's: notebooks.json,
// beside this file, lists a hash of the code of each (tools/execute_notebooks.py writes it). Outputs don't count, so a
// notebook that was saved with its outputs still runs; what the notebook says of itself doesn't count either.
// In a window with too little room for it, the list of files starts closed, so that a panel fits whole; on a phone the
// bars at the sides are left out.
// Prints a notebook with panels as it looks on the page: JupyterLab itself would print the file, in which every panel is
// as it was before anything was moved. Written by hand in the form JupyterLab loads (a module-federation container with
// `init` and `get`), so there is no build step and nothing to install.
(() => {
  const list = new URL('notebooks.json', document.currentScript.src);
  let shared;

  const load = async name => {
    const versions = Object.values(shared[name]);
    const chosen = versions.find(version => version.loaded) ?? versions[0];
    return (await chosen.get())();
  };

  // As `code_hash` in tools/execute_notebooks.py.
  const codeHash = async model => {
    const code = [...model.cells].filter(cell => cell.type === 'code').map(cell => cell.sharedModel.getSource());
    const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(JSON.stringify(code)));
    return [...new Uint8Array(digest)].map(byte => byte.toString(16).padStart(2, '0')).join('');
  };

  const isOurs = async ({ path, model }) => {
    // Browsers have no `crypto.subtle` where an address is neither https nor this computer's own.
    if (!path.startsWith('notebooks/') || !globalThis.crypto?.subtle) return false;
    const answer = await fetch(list, { cache: 'no-store' });
    return answer.ok && Object.values(await answer.json()).includes(await codeHash(model));
  };

  const extension = async () => {
    const { INotebookTracker, NotebookActions } = await load('@jupyterlab/notebook');
    const { Printing } = await load('@jupyterlab/apputils');

    const runOnceSeen = async panel => {
      await Promise.all([panel.context.ready, panel.sessionContext.ready, panel.revealed]);
      if (!(await isOurs(panel.context))) {
        panel.addClass('run-on-open-waits');
        return;
      }
      // Not `runAll`, which moves the page to its end while the cells run.
      await NotebookActions.runCells(panel.content, panel.content.widgets, panel.sessionContext);
      // No question about saving: the reader has changed nothing yet.
      panel.context.model.dirty = false;
      panel.addClass('run-on-open-done');
    };

    // Wide enough for a panel, its controls and the list of files side by side.
    const ROOM_FOR_FILES_PX = 1600;

    // On a phone the notebook needs all of the width.
    const phone = matchMedia('(max-width: 600px)');

    const showSideBars = shell => {
      for (const side of ['left', 'right'])
        if (shell.isSideTabBarVisible(side) === phone.matches) shell.toggleSideTabBarVisibility(side);
    };

    const printAsSeen = panel => {
      const printFile = panel[Printing.symbol].bind(panel);
      panel[Printing.symbol] = () =>
        panel.node.querySelector('.bladelab-panel') ? async () => window.print() : printFile();
    };

    return {
      __esModule: true,
      default: {
        id: 'run-on-open:plugin',
        description: 'Runs a notebook of bladelab when it opens, and prints it as it looks on the page.',
        autoStart: true,
        requires: [INotebookTracker],
        activate: (app, tracker) => {
          void app.restored.then(() => {
            if (innerWidth < ROOM_FOR_FILES_PX) app.shell.collapseLeft();
            showSideBars(app.shell);
            phone.addEventListener('change', () => showSideBars(app.shell));
          });
          tracker.widgetAdded.connect((_, panel) => {
            printAsSeen(panel);
            void runOnceSeen(panel);
          });
        }
      }
    };
  };

  (window._JUPYTERLAB ??= {})['run-on-open'] = {
    init: scope => { shared = scope; },
    get: async () => { const module = await extension(); return () => module; }
  };
})();
