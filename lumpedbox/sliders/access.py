"""What ipywidgets lack: names for who cannot see a slider, keys for who uses no mouse, and news of the screen."""

from __future__ import annotations

import anywidget
import traitlets

SCRIPT = r"""
function attend(root, tell) {
  for (const box of root.querySelectorAll(".widget-slider")) {
    const label = box.querySelector(".widget-label"), handle = box.querySelector(".noUi-handle");
    if (!label || !handle) continue;
    if (handle.getAttribute("aria-label") !== label.textContent) handle.setAttribute("aria-label", label.textContent);
    handle.setAttribute("data-lm-suppress-shortcuts", "true");
    listen(box, tell);
    ease(box.querySelector(".noUi-target"));
  }
  for (const chooser of root.querySelectorAll(".jupyter-widgets select"))
    chooser.setAttribute("data-lm-suppress-shortcuts", "true");
}
// Values that are typed or converted stay as they are: a slider rounds to its step only while it is moved by hand.
// And what it was told it does not tell back, a hair off: the kernel may by then count in another unit.
function ease(slider) {
  if (!slider?.noUiSlider || slider.noUiSlider.eased) return;
  const control = slider.noUiSlider, change = control.updateOptions, put = control.set;
  let step = control.options.step, byHand = 1, told = Number(control.get());
  const asTold = (value) => (Math.abs(value - told) <= 1e-9 * (Math.abs(value) + Math.abs(told)) ? told : value);
  const set = (now) => {
    if (now !== byHand) change({ step: now ? step : 0 }, false);
    byHand = now;
  };
  control.updateOptions = (options, tell) => {
    step = options.step ?? step;
    told = Number(options.start ?? told);
    change({ ...options, step: byHand ? step : 0 }, tell);
  };
  control.set = (value, ...rest) => {
    told = Number(value);
    put(value, ...rest);
  };
  control.eased = true;
  change({ format: { from: Number, to: asTold } }, false);
  slider.addEventListener("pointerdown", () => set(1), true);
  slider.addEventListener("keydown", (event) => /^(Arrow|Page|Home|End)/.test(event.key) && set(1), true);
  for (const kind of ["pointerup", "keyup", "blur"]) addEventListener(kind, () => slider.isConnected && set(0), true);
  set(0);
}
// What is typed and cannot be taken as it stands is said; ipywidgets takes the nearest value, or puts the old one back.
function refusal(text, { range }) {
  if (/^[-+]?\d+,\d+$/.test(text)) return `"${text}" is not a number: write a point for the comma.`;
  const value = text ? Number(text) : NaN;
  if (Number.isNaN(value)) return `"${text}" is not a number.`;
  const [low, high] = [range.min, range.max].map((end) => Number(end.toPrecision(4)));
  return value < range.min || value > range.max ? `${text} is outside ${low} to ${high}: the nearest is taken.` : "";
}
function listen(box, tell) {
  const number = box.querySelector(".widget-readout"), slider = box.querySelector(".noUi-target");
  if (!number || !slider?.noUiSlider || number.heard) return;
  number.heard = true;
  let before = number.textContent;
  const typed = () => {
    const text = number.textContent.trim();
    if (text === before) return;
    const wrong = refusal(text, slider.noUiSlider.options);
    if (wrong.includes("not a number")) number.textContent = "";
    tell(wrong && `${box.querySelector(".widget-label").textContent}: ${wrong}`);
    setTimeout(() => (before = number.textContent.trim()));
  };
  number.addEventListener("focus", () => (before = number.textContent.trim()));
  number.addEventListener("keydown", (event) => event.key === "Enter" && typed(), true);
  number.addEventListener("blur", typed, true);
}
function screen(element) {
  let ground = element;
  while (ground.parentElement && /rgba\(.*, 0\)|transparent/.test(getComputedStyle(ground).backgroundColor))
    ground = ground.parentElement;
  const [red, green, blue] = getComputedStyle(ground).backgroundColor.match(/[0-9.]+/g).map(Number);
  return { density: Math.min(Math.max(devicePixelRatio, 1), 3), dark: red + green + blue < 384 };
}
export default {
  render({ model, el }) {
    const page = document.body;
    el.setAttribute("role", "status");
    const tell = (wrong) => {
      el.textContent = wrong;
      el.classList.toggle("lb-wrong", Boolean(wrong));
    };
    const look = () => {
      const now = screen(el), last = model.get("screen");
      if (!el.isConnected || (now.density === last.density && now.dark === last.dark)) return;
      model.set("screen", now);
      model.save_changes();
    };
    requestAnimationFrame(look);
    addEventListener("resize", look);
    const colours = matchMedia("(prefers-color-scheme: dark)");
    colours.addEventListener("change", look);
    const watch = new MutationObserver(() => attend(page, tell));
    watch.observe(page, { childList: true, subtree: true, characterData: true });
    attend(page, tell);
    return () => {
      watch.disconnect();
      removeEventListener("resize", look);
      colours.removeEventListener("change", look);
    };
  },
};
"""

STYLE = """
.lb-slider.widget-hbox, .lb-slider.jupyter-widgets { flex-wrap: wrap; height: auto; }
.lb-slider > .widget-label { width: 100% !important; text-align: left; height: 20px; line-height: 20px; }
.lb-slider > .slider-container { flex: 1 1 auto; }
.lb-says { max-width: 820px; }
.lb-says .widget-html-content { font-size: 15px; line-height: 1.4; }
.lb-wrong { border-left: 4px solid #D55E00; padding: 4px 8px; white-space: pre-wrap; line-height: 1.4; }
.lb-form, .lb-form .jupyter-widgets:not(.lb-beside), .lb-form .lm-Widget:not(.lb-beside) { overflow: visible; }
.jp-Cell .lm-Widget:has(.lb-form) { overflow: visible; }
.lb-beside { position: sticky; top: 0; align-self: flex-start; max-height: 100vh; }
.lb-form .widget-html-content, .lb-note .widget-html-content { line-height: 1.4; }
.lb-form td { white-space: nowrap; padding: 0 14px 0 0; vertical-align: top; }
.lb-form ul { margin: 0 0 6px; padding-left: 18px; }
.lb-columns { display: flex; gap: 20px; }
"""


class Access(anywidget.AnyWidget):
    """Names every slider by its label, and keeps the notebook's one-letter commands off while one is in use.

    Attributes
    ----------
    screen : dict
        {"density": device pixels per pixel of the page, "dark": whether the ground under the sliders is dark}.
    """

    _esm = SCRIPT
    _css = STYLE
    screen = traitlets.Dict({"density": 2.0, "dark": False}).tag(sync=True)
