// The kernel as host of a panel (see panel.js, which comes before this in one module): the panel's data are the widget's,
// and an answer is one message.
const kernel = model => ({
  data: name => model.get(`_${name}`),
  tell: message => model.send(message),
  follow({ heard, answered, reported, barred, lost }) {
    const custom = message => heard(message.heard);
    const change = () => {
      // What changed goes into the data, so that another view of this panel begins with it.
      const { dials } = model.get("_answered"), all = model.get("_dials");
      for (const name in dials) Object.assign(all[name], dials[name]);
      answered();
    };
    const ears = { "msg:custom": custom, "change:_answered": change, "change:_report": reported,
                   "change:_bar": barred, comm_live_update: lost };  // the kernel was restarted
    for (const event in ears) model.on(event, ears[event]);
    return () => { for (const event in ears) model.off(event, ears[event]); };
  },
});

export default { render: ({ model, el }) => draw(el, kernel(model)) };
