// What lasts beyond a page: the guess of this visit, and a link that holds where the page stands.
const VISIT = 12 * 3600e3; // ms
const STILL = 400; // ms after the last move
const shelf = () => `lumpedbox ${location.pathname.replace(/^.*\/(voila\/render|doc\/tree)\//, "")}`;

function remember(what) {
  try {
    localStorage.setItem(shelf(), JSON.stringify({ ...what, when: Date.now() }));
  } catch {
    // a browser that keeps nothing asks again
  }
}
function remembered() {
  try {
    const kept = JSON.parse(localStorage.getItem(shelf()));
    return kept && Date.now() - kept.when < VISIT ? kept : {};
  } catch {
    return {};
  }
}

function differing(model) {
  const start = model.get("start");
  const short = (value) => (typeof value === "number" ? Number(value.toPrecision(9)) : value);
  const places = Object.entries(model.get("places")).filter(([name, value]) => value !== start[name]);
  return new URLSearchParams(places.map(([name, value]) => [name, short(value)])).toString();
}
function linkOf(model) {
  const address = new URL(location.href), hash = differing(model);
  address.searchParams.delete("token");
  address.pathname = address.pathname.replace("/doc/tree/", "/voila/render/");
  address.hash = hash;
  return String(address);
}

function createVisit(model) {
  const live = Boolean(document.body.dataset.voila), asked = live ? location.hash.slice(1) : "";
  let waiting;
  if (asked.includes("=")) model.send({ link: asked });
  else if (model.get("guess").words) {
    const { guess } = remembered();
    if (guess !== undefined && !(guess === "" && model.get("guess").obligatory)) model.send({ guess });
  }
  if (!live) return;
  model.on("change:places", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => history.replaceState(history.state, "", linkOf(model)), STILL);
  });
}
