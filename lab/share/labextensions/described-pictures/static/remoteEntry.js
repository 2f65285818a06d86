// A picture among a cell's outputs comes with words that say what it shows. JupyterLab, and voila as well, show either the
// picture or the words; this gives the picture its words, which a screen reader reads out. In the form JupyterLab loads,
// as in run-on-open.
(() => {
  let shared;

  const load = async name => {
    const versions = Object.values(shared[name]);
    const chosen = versions.find(version => version.loaded) ?? versions[0];
    return (await chosen.get())();
  };

  const extension = async () => {
    const { IRenderMimeRegistry, RenderedImage } = await load('@jupyterlab/rendermime');

    class DescribedPicture extends RenderedImage {
      async render(model) {
        await super.render(model);
        const words = [model.data['text/plain'] ?? ''].flat().join('');
        for (const picture of this.node.querySelectorAll('img')) picture.alt = words;
      }
    }

    return {
      __esModule: true,
      default: {
        id: 'described-pictures:plugin',
        description: 'Gives the pictures in a notebook their descriptions.',
        autoStart: true,
        requires: [IRenderMimeRegistry],
        activate: (_, registry) => registry.addFactory({
          safe: true,
          mimeTypes: ['image/png'],
          defaultRank: 90, // as the factory that this one takes the place of
          createRenderer: options => new DescribedPicture(options)
        })
      }
    };
  };

  (window._JUPYTERLAB ??= {})['described-pictures'] = {
    init: scope => { shared = scope; },
    get: async () => { const module = await extension(); return () => module; }
  };
})();
