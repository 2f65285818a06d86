"""How panels look on the page: the rules of CSS for every panel, and those that its size asks for."""

from __future__ import annotations

#: How panels look on the page; for every widget that has the parts of one.
PANEL_CSS = """<style>
.bladelab-panel {max-width: 100%; overflow: visible}
.bladelab-picture.jupyter-widgets {display: grid; max-width: 100%; overflow: hidden; margin: 0;
  background: white}
/* The picture stays in sight while its sliders scroll by: no box around it may scroll by itself. */
.bladelab-picture.jupyter-widgets {position: sticky; top: 0; z-index: 20; border-bottom: 1px solid #ddd}
:is(.jp-OutputArea-output, .jp-OutputArea-child, .jp-OutputArea, .jp-Cell-outputWrapper, .jp-Cell,
  .jp-OutputArea-output > *):has(.bladelab-panel) {overflow: visible !important; min-width: 0 !important}
/* The sentence comes before the picture: after it, it would scroll by under the picture. */
.bladelab-panel .bladelab-sentence.jupyter-widgets {order: -1; flex: 0 0 auto}
.bladelab-picture > .jupyter-widgets {grid-area: 1/1; width: 100%; height: 100%; margin: 0; max-width: none}
.bladelab-picture .widget-html-content {width: 100%; height: 100%; line-height: 0}
.bladelab-picture img, .bladelab-picture svg {display: block; width: 100%; height: 100%; margin: 0;
  max-width: none}
.bladelab-picture.bladelab-stale {opacity: 0.3}
.bladelab-sentence .widget-html-content {font-size: 14px; line-height: 1.4; min-height: 2.8em;
  max-width: 904px; white-space: normal; padding: 2px 8px; color: var(--jp-content-font-color1, #222)}
.bladelab-sentence p {margin: 0 0 0.25em 0}
.bladelab-report .widget-html-content {white-space: normal; line-height: 1.4; min-height: 28px;
  display: flex; align-items: center}
.bladelab-report p {margin: 0}
:is(.bladelab-sentence, .bladelab-report) p.bladelab-fault {border-left: 4px solid #D55E00; padding-left: 8px}
/* A slider over a list of values can't be typed into: what was typed would be shown and not used. */
.bladelab-steps .widget-readout {pointer-events: none; user-select: none; -webkit-user-modify: read-only;
  -moz-user-modify: read-only}
.bladelab-controls .widget-label {text-align: right}
.bladelab-controls .widget-tab-contents {padding: 6px 4px}
.bladelab-columns h4 {margin: 2px 0 2px 8px; font-size: 14px}
</style>"""

#: How a page with panels prints. Paper has no window: whatever lies around a panel grows to the length of
#: what it holds, in JupyterLab as under voila, and what only serves the screen is left out.
PRINT_CSS = """<style>
@media print {
  @page {margin: 14mm}
  html, body, body :has(.bladelab-panel):not(.lm-mod-hidden) {display: block !important;
    position: static !important; contain: none !important; overflow: visible !important;
    width: auto !important; min-width: 0 !important; max-width: none !important;
    height: auto !important; min-height: 0 !important; max-height: none !important;
    margin: 0 !important; padding: 0 !important; border: none !important; background: white !important}
  #jp-top-panel, #jp-menu-panel, #jp-bottom-panel, #jp-left-stack, #jp-right-stack, .jp-skiplink,
  .jp-SideArea, .jp-SideBar,
  .lm-DockPanel-tabBar, .lm-DockPanel-handle, .lm-SplitPanel-handle, .jp-Toolbar, .jp-Dialog,
  .jp-Notebook-footer, .jp-Collapser, .jp-InputPrompt, .jp-OutputPrompt, .jp-Placeholder,
  .jp-CodeCell > .jp-Cell-inputWrapper, .jp-Notification-Status, .Toastify, .bladelab-saving,
  .bladelab-panel .jupyter-button
    {display: none !important}
  .bladelab-picture.jupyter-widgets {position: static}
  .bladelab-picture.jupyter-widgets, .bladelab-sentence, .jp-Cell:has(.bladelab-panel),
  .bladelab-panel img, svg, tr, li, p
    {break-inside: avoid}
  .bladelab-sentence, .bladelab-picture, h1, h2, h3,
  .jp-Cell:has(.jp-RenderedMarkdown > :is(h1, h2, h3):last-child)
    {break-after: avoid}
  .bladelab-panel {print-color-adjust: exact}
}
</style>"""


def stylesheet(mine: str, width_px: int, height_px: int) -> str:
    """The rules for a panel of the class `mine`, whose picture has this size, as ``<style>`` elements."""
    # A control that gets the focus must not end up under the picture, which stays at the top.
    return (
        f"{PANEL_CSS}{PRINT_CSS}<style>"
        # Nothing is wider than the picture, or it would be seen beside it while it scrolls by.
        f".bladelab-panel.{mine} {{max-width: min(100%, {width_px}px)}} "
        f".{mine} > .bladelab-picture {{aspect-ratio: {width_px}/{height_px}}} "
        f".{mine} :is(.noUi-handle, input, select, button, [tabindex]) {{scroll-margin: "
        f"{height_px + 30}px 0 20px 0}}</style>"
    )
