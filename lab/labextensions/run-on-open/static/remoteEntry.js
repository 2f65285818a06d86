// Runs all cells of a notebook when it opens, if it lies in notebooks/ and its metadata hold
// {"bladelab": {"run_on_open": true}}. Prints such a notebook as it stands on the page: JupyterLab itself would print
// the file, in which every panel is as it was before anything was moved. Written by hand in the form JupyterLab loads (a module-federation
// container with `init` and `get`), so there is no build step and nothing to install.
(() => {
  let shared;

  const load = async name => {
    const versions = Object.values(shared[name]);
    const chosen = versions.find(version => version.loaded) ?? versions[0];
    return (await chosen.get())();
  };

  const runsOnOpen = panel =>
    panel.context.path.startsWith('notebooks/') &&
    panel.context.model.getMetadata('bladelab')?.run_on_open === true;

  const extension = async () => {
    const { INotebookTracker, NotebookActions } = await load('@jupyterlab/notebook');
    const { Printing } = await load('@jupyterlab/apputils');

    const runOnceSeen = async panel => {
      await Promise.all([panel.context.ready, panel.sessionContext.ready, panel.revealed]);
      if (!runsOnOpen(panel)) return;
      await NotebookActions.runAll(panel.content, panel.sessionContext);
      // Back to the top, and no question about saving: the reader has changed nothing yet.
      panel.content.activeCellIndex = 0;
      panel.content.node.querySelector('.jp-WindowedPanel-outer')?.scrollTo(0, 0);
      panel.context.model.dirty = false;
      panel.addClass('run-on-open-done');
    };

    const printAsSeen = panel => {
      const printFile = panel[Printing.symbol].bind(panel);
      panel[Printing.symbol] = () => (runsOnOpen(panel) ? async () => window.print() : printFile());
    };

    return {
      __esModule: true,
      default: {
        id: 'run-on-open:plugin',
        description: 'Runs a notebook of bladelab when it opens, and prints it as it stands on the page.',
        autoStart: true,
        requires: [INotebookTracker],
        activate: (app, tracker) =>
          tracker.widgetAdded.connect((_, panel) => {
            printAsSeen(panel);
            void runOnceSeen(panel);
          })
      }
    };
  };

  (window._JUPYTERLAB ??= {})['run-on-open'] = {
    init: scope => { shared = scope; },
    get: async () => { const module = await extension(); return () => module; }
  };
})();
