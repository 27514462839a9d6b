// Moves a mark on a drawing by mouse, finger and arrow keys.
const FINGER = 22; // px, the radius of what a finger meets
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

// `at` tells where the mark is, or nothing if it does not move; `go` takes where it was and how far the hand went since,
// to the right and up in px, wherever the page has moved meanwhile; `step` takes an arrow, and whether Shift is held.
function makeDraggable(element, { at, go, step, hold = () => {}, release = () => {} }) {
  let from = null;
  element.addEventListener("pointerdown", (event) => {
    if (!at()) return;
    event.preventDefault();
    element.focus({ focusVisible: false });
    element.setPointerCapture(event.pointerId);
    from = { at: at(), x: event.pageX, y: event.pageY };
    hold();
  });
  element.addEventListener("pointermove", (event) => from && go(from.at, event.pageX - from.x, from.y - event.pageY));
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"])
    element.addEventListener(end, () => {
      if (!from) return;
      from = null;
      release();
    });
  element.addEventListener("keydown", (event) => {
    if (!ARROWS[event.key] || !at()) return;
    event.preventDefault();
    step(ARROWS[event.key], event.shiftKey);
  });
}
