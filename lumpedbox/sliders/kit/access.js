// What the forms of ipywidgets lack, on the page's side. The marking of answers stands in .lb-marked, what is wrong in
// a field in .lb-said, what became of a wish to keep in .lb-kept.

// What was open above has closed: the head would be off the top.
function inView(fold) {
  if (fold.getBoundingClientRect().top < 0) fold.scrollIntoView({ block: "start" });
}
// The heads of folds are plain text to a keyboard: make buttons of them.
function openable(fold) {
  if (fold.getAttribute("role") === "button") return;
  const say = () => {
    const before = fold.getAttribute("aria-expanded"), open = String(!fold.nextElementSibling?.classList.contains("lm-mod-hidden"));
    fold.setAttribute("aria-expanded", open);
    if (before === "false" && open === "true") requestAnimationFrame(() => inView(fold));
  };
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
function attend(root) {
  for (const used of root.querySelectorAll(".jupyter-widgets select, .jupyter-widgets input, .jupyter-button"))
    used.setAttribute("data-lm-suppress-shortcuts", "true");
  for (const fold of root.querySelectorAll(".jupyter-widget-Collapse-header")) openable(fold);
}
// What changes is read out, once it has stood for a moment.
function announcer(quiet) {
  const changed = new Set();
  let waiting;
  const speak = () => {
    quiet.textContent = [...changed].map((element) => element.textContent).join(" ");
    changed.clear();
  };
  return (changes) => {
    for (const { target } of changes) {
      const said = (target.closest ? target : target.parentElement)?.closest(".lb-marked, .lb-said, .lb-kept");
      if (!said || said.closest(".lb-board")) continue; // a board reads out its own
      changed.add(said);
      clearTimeout(waiting);
      waiting = setTimeout(speak, 800);
    }
  };
}
// Whoever is left without what was in use, since it went away, goes on at what it stood in.
function holder(signal) {
  let path = [];
  const remember = (event) => (path = event.composedPath().filter((place) => place instanceof Element));
  addEventListener("focusin", remember, { signal });
  return () => {
    if (document.activeElement !== document.body || !path.length || path[0].isConnected) return;
    const left = path.find((place) => place.isConnected && place !== document.body);
    path = [];
    if (!left) return;
    left.tabIndex = -1;
    left.focus({ preventScroll: true });
  };
}
// Running a whole notebook scrolls to its end: stay at the board until the reader moves.
function stay(page, left) {
  const scroller = page?.closest(".jp-WindowedPanel-outer, .jp-Notebook");
  if (!scroller || document.body.dataset.voila) return;
  const back = () => page.closest(".jp-Cell").scrollIntoView({ block: "start" });
  const moved = new AbortController();
  left.addEventListener("abort", () => moved.abort());
  scroller.addEventListener("scroll", back, { signal: moved.signal });
  for (const kind of ["wheel", "pointerdown", "keydown", "touchstart"])
    addEventListener(kind, () => moved.abort(), { signal: moved.signal, capture: true });
  back();
}
export default {
  render({ el }) {
    const page = document.body, gone = new AbortController(), left = gone.signal, hold = holder(left);
    const quiet = el.appendChild(document.createElement("div"));
    quiet.className = "lb-quiet";
    quiet.setAttribute("aria-live", "polite");
    const announce = announcer(quiet);
    const begin = () => {
      if (left.aborted) return;
      if (!el.isConnected) return requestAnimationFrame(begin); // the page is not laid out yet
      stay(el.closest(".lb-page"), left);
    };
    requestAnimationFrame(begin);
    const watch = new MutationObserver((changes) => {
      attend(page);
      announce(changes);
      hold();
    });
    watch.observe(page, { childList: true, subtree: true, characterData: true });
    attend(page);
    return () => {
      gone.abort();
      watch.disconnect();
    };
  },
};
