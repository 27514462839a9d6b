"""What ipywidgets' sliders lack for who cannot see them or does not use a mouse."""

from __future__ import annotations

import anywidget

SCRIPT = """
function name(root) {
  for (const box of root.querySelectorAll(".widget-slider")) {
    const label = box.querySelector(".widget-label"), handle = box.querySelector(".noUi-handle");
    if (!label || !handle) continue;
    if (handle.getAttribute("aria-label") !== label.textContent) handle.setAttribute("aria-label", label.textContent);
    handle.setAttribute("data-lm-suppress-shortcuts", "true");
  }
}
export default {
  render({ el }) {
    const page = document.body;
    const watch = new MutationObserver(() => name(page));
    watch.observe(page, { childList: true, subtree: true, characterData: true });
    name(page);
    return () => watch.disconnect();
  },
};
"""

STYLE = """
.lb-slider.widget-hbox, .lb-slider.jupyter-widgets { flex-wrap: wrap; height: auto; }
.lb-slider > .widget-label { width: 100% !important; text-align: left; height: 20px; line-height: 20px; }
.lb-slider > .slider-container { flex: 1 1 auto; }
.lb-says { font-size: 15px; line-height: 1.45; max-width: 820px; }
.lb-wrong { border-left: 4px solid #D55E00; padding: 4px 8px; white-space: pre-wrap; }
"""


class Access(anywidget.AnyWidget):
    """Names every slider by its label, and keeps the notebook's one-letter commands off while one is in use."""

    _esm = SCRIPT
    _css = STYLE
