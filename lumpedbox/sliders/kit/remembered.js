// Keeps a state in the store of this tab. The kernel says what of it, and what to say if that fails.
function readable(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null; // the kernel says that it is damaged
  }
}
export default {
  render({ model, el }) {
    const place = `lumpedbox ${model.get("about")}`;
    const isEmpty = () => !Object.keys(model.get("state")).length;
    const keep = () => {
      try {
        if (isEmpty()) sessionStorage.removeItem(place);
        else sessionStorage.setItem(place, JSON.stringify(model.get("state")));
      } catch {
        model.send({ closed: true });
      }
    };
    const recall = () => {
      let kept = null;
      try {
        kept = sessionStorage.getItem(place);
      } catch {
        // a closed store matters once there is something to keep
      }
      if (kept !== null) model.send({ kept: readable(kept) });
    };
    const say = () => (el.textContent = model.get("said"));
    el.className = "lb-small lb-said";
    model.on("change:state", keep);
    model.on("change:said", say);
    say();
    if (isEmpty()) recall();
    else keep(); // shown once more: the kernel knows better
  },
};
