// In place of MathJax, which voila would fetch from a server far away the first time a label is shown: no notebook of
// the collection holds a formula, and a rink may have no internet.
window.MathJax = { Hub: { Config() {}, Configured() {}, Queue() {}, Register: { StartupHook() {} } } };
