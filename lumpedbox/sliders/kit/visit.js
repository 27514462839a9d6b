// A link that holds where the page stands.
const STILL = 400; // ms after the last move

function differing(model) {
  const start = model.get("start");
  const places = Object.entries(model.get("places")).filter(([name, value]) => value !== start[name]);
  const stage = Object.entries(model.get("stage").link ?? {});
  return new URLSearchParams([...stage, ...places]).toString();
}
function linkOf(model, hash = differing(model)) {
  const address = new URL(location.href);
  address.searchParams.delete("token");
  address.pathname = address.pathname.replace("/doc/tree/", "/voila/render/");
  address.hash = hash;
  return String(address);
}

function createVisit(model) {
  const asked = linkAsked();
  const put = (hash) => {
    history.replaceState(history.state, "", linkOf(model, hash));
    linkIsComing(linkWritten()); // no more
  };
  let waiting;
  if (!isLive()) return;
  if (asked !== linkWritten()) put(asked);
  if (asked.includes("=")) model.send({ link: asked });
  model.on("change:places", () => {
    linkIsComing(differing(model));
    clearTimeout(waiting);
    waiting = setTimeout(() => put(differing(model)), STILL);
  });
}
