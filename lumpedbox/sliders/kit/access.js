// What ipywidgets lack, on the page's side. The page's own sentences stand in .lb-says, the marking of answers in
// .lb-marked, what is wrong in a field in .lb-said, what became of a wish to keep in .lb-kept, a page's sliders and
// picture in .lb-page.

function attend(root) {
  for (const box of root.querySelectorAll(".widget-slider")) {
    const label = box.querySelector(".widget-label"), handle = box.querySelector(".noUi-handle");
    if (!label || !handle) continue;
    if (handle.getAttribute("aria-label") !== label.textContent) handle.setAttribute("aria-label", label.textContent);
    handle.setAttribute("data-lm-suppress-shortcuts", "true");
    const reading = box.querySelector(".widget-readout")?.textContent;
    if (reading && handle.getAttribute("aria-valuetext") !== reading) handle.setAttribute("aria-valuetext", reading);
    listen(box);
    ease(box.querySelector(".noUi-target"));
  }
  for (const chooser of root.querySelectorAll(".jupyter-widgets select"))
    chooser.setAttribute("data-lm-suppress-shortcuts", "true");
  for (const fold of root.querySelectorAll(".jupyter-widget-Collapse-header")) openable(fold);
}
// The heads of folds are plain text to a keyboard: make buttons of them.
function openable(fold) {
  if (fold.getAttribute("role") === "button") return;
  const say = () => fold.setAttribute("aria-expanded", String(!fold.nextElementSibling?.classList.contains("lm-mod-hidden")));
  fold.setAttribute("role", "button");
  fold.tabIndex = 0;
  fold.setAttribute("data-lm-suppress-shortcuts", "true");
  fold.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    fold.click();
  });
  new MutationObserver(say).observe(fold.parentElement, { attributeFilter: ["class"], subtree: true });
  say();
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
function listen(box) {
  const number = box.querySelector(".widget-readout"), slider = box.querySelector(".noUi-target");
  if (!number || !slider?.noUiSlider || number.heard) return;
  number.heard = true;
  const said = box.appendChild(document.createElement("div"));
  said.setAttribute("role", "status");
  const tell = (wrong) => {
    said.textContent = wrong;
    said.classList.toggle("lb-wrong", Boolean(wrong));
  };
  let before = number.textContent, settling = false;
  const typed = () => {
    const text = number.textContent.trim();
    if (text === before) return;
    const wrong = refusal(text, slider.noUiSlider.options);
    if (wrong.includes("not a number")) number.textContent = "";
    tell(wrong);
    settling = true; // the number that is taken comes at once
    setTimeout(() => {
      before = number.textContent.trim();
      settling = false;
    });
  };
  const moved = () => settling || number.textContent.trim() === before || tell("");
  new MutationObserver(moved).observe(number, { childList: true, characterData: true, subtree: true });
  addEventListener("click", ({ target }) => target.closest?.(".lb-back") && tell("")); // also where nothing moves
  number.addEventListener("focus", () => (before = number.textContent.trim()));
  number.addEventListener("keydown", (event) => event.key === "Enter" && typed(), true);
  number.addEventListener("blur", typed, true);
  slider.addEventListener("pointerdown", () => tell(""), true);
  slider.addEventListener("keydown", () => tell(""), true);
}
// Sentences and markings that change are read out, once they have stood for a moment.
function announcer(quiet) {
  const changed = new Set();
  let waiting;
  const speak = () => {
    quiet.textContent = [...changed].map((element) => element.textContent).join(" ");
    changed.clear();
  };
  return (changes) => {
    for (const { target } of changes) {
      const said = (target.closest ? target : target.parentElement)?.closest(".lb-says, .lb-marked, .lb-said, .lb-kept");
      if (!said) continue;
      changed.add(said);
      clearTimeout(waiting);
      waiting = setTimeout(speak, 800);
    }
  };
}
// Whoever is left without what was in use, since it went away, goes on at what it stood in.
function holder() {
  let path = [];
  addEventListener("focusin", (event) => (path = event.composedPath().filter((place) => place instanceof Element)));
  return () => {
    if (document.activeElement !== document.body || !path.length || path[0].isConnected) return;
    const left = path.find((place) => place.isConnected && place !== document.body);
    path = [];
    if (!left) return;
    left.tabIndex = -1;
    left.focus({ preventScroll: true });
  };
}
// Running a whole notebook scrolls to its end: stay at the sliders until the reader moves.
function stay(page) {
  const scroller = page?.closest(".jp-WindowedPanel-outer, .jp-Notebook");
  if (!scroller || document.body.dataset.voila) return;
  const back = () => page.closest(".jp-Cell").scrollIntoView({ block: "start" });
  const moved = new AbortController();
  scroller.addEventListener("scroll", back, { signal: moved.signal });
  for (const kind of ["wheel", "pointerdown", "keydown", "touchstart"])
    addEventListener(kind, () => moved.abort(), { signal: moved.signal, capture: true });
  back();
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
    const page = document.body, hold = holder();
    const quiet = el.appendChild(document.createElement("div"));
    quiet.className = "lb-quiet";
    quiet.setAttribute("aria-live", "polite");
    const announce = announcer(quiet);
    const describe = () => {
      const picture = el.closest(".lb-page")?.querySelector(".widget-image"), showing = model.get("showing");
      if (picture && picture.alt !== showing) picture.alt = showing;
    };
    const look = () => {
      if (!el.isConnected) return;
      const now = screen(el), last = model.get("screen");
      if (now.density === last.density && now.dark === last.dark) return;
      model.set("screen", now);
      model.save_changes();
    };
    let left = false;
    const begin = () => {
      if (left) return;
      if (!el.isConnected) return requestAnimationFrame(begin); // the page is not laid out yet
      look();
      stay(el.closest(".lb-page"));
    };
    requestAnimationFrame(begin);
    addEventListener("resize", look);
    model.on("change:showing", describe);
    const colours = matchMedia("(prefers-color-scheme: dark)");
    colours.addEventListener("change", look);
    const watch = new MutationObserver((changes) => {
      attend(page);
      describe();
      announce(changes);
      hold();
    });
    watch.observe(page, { childList: true, subtree: true, characterData: true });
    attend(page);
    describe();
    return () => {
      left = true;
      watch.disconnect();
      removeEventListener("resize", look);
      colours.removeEventListener("change", look);
    };
  },
};
