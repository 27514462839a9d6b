// A link that holds where the page stands.
const STILL = 400; // ms after the last move

function differing(model) {
  const start = model.get("start");
  const places = Object.entries(model.get("places")).filter(([name, value]) => value !== start[name]);
  const stage = Object.entries(model.get("stage").link ?? {});
  return new URLSearchParams([...stage, ...places]).toString();
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
  if (!live) return;
  model.on("change:places", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => history.replaceState(history.state, "", linkOf(model)), STILL);
  });
}
