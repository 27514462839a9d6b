// Makes elements. The files of a page are joined into one module: each defines its functions for those after it.
function make(tag, settings = {}, ...children) {
  const { text, ...attributes } = settings, element = document.createElement(tag);
  if (text !== undefined) element.textContent = text;
  for (const [name, value] of Object.entries(attributes)) if (value !== undefined) element.setAttribute(name, value);
  element.append(...children);
  return element;
}
const SVG = "http://www.w3.org/2000/svg";
function draw(tag, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}
// The notebook's one-letter commands rest while this is in use.
const KEEPS_KEYS = { "data-lm-suppress-shortcuts": "true" };
// Touches a text only where it differs: whoever reads it aloud, or has it selected, is not disturbed.
function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
function button(text, act, settings = {}) {
  const made = make("button", { type: "button", text, ...KEEPS_KEYS, ...settings });
  made.addEventListener("click", act);
  return made;
}
// An id that no other element has, of this widget or of another on the page.
const FAMILY = Math.random().toString(36).slice(2, 8);
let made = 0;
const unlike = () => `lb-${FAMILY}-${(made += 1)}`;
// Once the server has stopped, gone.js says so.
const stopped = () => document.body.classList.contains("lb-nothing-kept");
// Does something as the page is left: from then on nobody is there to be told anything.
function asItIsLeft(does, heard) {
  for (const end of ["beforeunload", "pagehide"]) addEventListener(end, does, heard);
}
// The beginning of a file as text, by its mark or as UTF-8, else as old programs write it; and whether there is more.
const LONGEST_TEXT = 1e6; // bytes
async function textOf(file) {
  const bytes = new Uint8Array(await file.slice(0, LONGEST_TEXT).arrayBuffer()), marks = { 0xfffe: "utf-16le", 0xfeff: "utf-16be" };
  const marked = marks[(bytes[0] << 8) | bytes[1]], told = { name: file.name, cut: file.size > LONGEST_TEXT };
  try {
    return { ...told, text: new TextDecoder(marked ?? "utf-8", { fatal: true }).decode(bytes) };
  } catch {
    return { ...told, text: new TextDecoder("windows-1252").decode(bytes) };
  }
}
// Hands a file to the reader's downloads.
function saveFile({ name, type }, content) {
  const address = URL.createObjectURL(new Blob([content], { type }));
  make("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}
// Hands on each file that the kernel sends, and says so in a note.
function takeFiles(model, note) {
  model.on("msg:custom", ({ taken }, buffers) => {
    if (!taken) return;
    saveFile(taken, buffers[0]);
    write(note, `Saved as ${taken.name}, among your browser's downloads.${taken.told ?? ""}`);
  });
}
