// Plays two loudspeakers one after the other, never by itself, and asks in a blind test which came first.
const SOFTLY = 0.2; // of the player's full volume, to begin with
const MOST = 100e6; // bytes of a file that is read

// The samples of a file, as one channel, from some second on. [1]
async function samplesOf(file, start, seconds, rate) {
  const context = new OfflineAudioContext(1, 1, rate); // decodes at its own rate, and plays nothing
  const sound = await context.decodeAudioData(await file.arrayBuffer());
  const from = Math.round(start * rate), mixed = new Float32Array(Math.max(0, Math.min(sound.length - from, seconds * rate)));
  for (let channel = 0; channel < sound.numberOfChannels; channel += 1)
    sound.getChannelData(channel).subarray(from, from + mixed.length).forEach((one, n) => (mixed[n] += one / sound.numberOfChannels));
  return mixed;
}

function createPlayer(model, note) {
  const player = make("audio", { controls: "", loop: "", preload: "auto", "aria-label": "Player: A, then B", ...KEEPS_KEYS });
  let address = "";
  player.volume = SOFTLY;
  player.hidden = true;
  model.on("msg:custom", ({ sound }, buffers) => {
    if (!sound) return;
    player.pause(); // never goes on by itself
    if (address) URL.revokeObjectURL(address);
    address = URL.createObjectURL(new Blob([buffers[0]], { type: "audio/wav" }));
    player.src = address;
    player.hidden = false;
    player.setAttribute("aria-label", sound === "test" ? "Player: which comes first?" : "Player: A, then B");
  });
  const which = make("span", { class: "lb-ear-which" });
  player.addEventListener("timeupdate", () => {
    const half = player.currentTime < model.get("seconds") ? 0 : 1;
    const names = model.get("asks").number ? ["first", "second"] : ["A", "B"];
    write(which, player.paused ? "" : `now: ${names[half]}`);
  });
  player.addEventListener("pause", () => write(which, ""));
  player.addEventListener("error", () => player.src && write(note, "This browser cannot play the sound."));
  return [player, which];
}

function createOwn(model, note) {
  const file = make("input", { type: "file", accept: "audio/*", "aria-label": "Music of your own", ...KEEPS_KEYS });
  const start = make("input", { type: "number", min: 0, step: 1, value: 0, "aria-label": "Starts at, in seconds", ...KEEPS_KEYS });
  const read = async () => {
    const [one] = file.files;
    if (!one) return;
    const refuse = (why) => write(note, `${one.name}: ${why}`);
    if (one.size > MOST) return refuse("too large. Cut a few seconds out of it.");
    try {
      const samples = await samplesOf(one, Math.max(0, Number(start.value) || 0), model.get("seconds"), model.get("rate"));
      model.send({ own: one.name }, undefined, [samples.buffer]);
    } catch {
      refuse("this browser cannot read it. Try a WAV, MP3 or FLAC file.");
    }
  };
  file.addEventListener("change", read);
  start.addEventListener("change", read);
  const id = unlike();
  start.id = id;
  const said = "It stays on the machine that runs lumpedbox, and is not kept.";
  return make("div", { class: "lb-ear-own" }, file, make("label", { for: id, text: "from second" }), start, make("small", { text: said }));
}

function createTest(model) {
  const told = make("p", { role: "status" }), ask = make("div", { class: "lb-ear-ask" });
  const begin = button("Begin the blind test", () => model.send({ test: true }));
  const question = make("span"), guess = (first) => model.send({ guess: first });
  ask.append(question, button("A came first", () => guess("A")), button("B came first", () => guess("B")));
  const update = () => {
    const { number, of, told: text = "" } = model.get("asks");
    ask.hidden = !number;
    begin.hidden = Boolean(number);
    write(question, number ? `Trial ${number} of ${of}: play it. Which came first?` : "");
    write(told, text);
  };
  model.on("change:asks", update);
  update();
  const words = "Ten times the page plays the two in an order that it draws. You say which came first. Then it says whether that was luck.";
  return make("details", { class: "lb-ear-test" }, make("summary", { text: "Blind test" }), make("p", { text: words }), begin, ask, told);
}

export default {
  render({ model, el }) {
    const note = make("span", { class: "lb-ear-note", role: "status" });
    const go = button("Make the sound", () => {
      if (document.body.classList.contains("lb-nothing-kept")) return write(note, "The server has stopped: nothing can be made.");
      write(note, "Making it…");
      model.send({ make: true });
    }, { class: "lb-first" });
    const stale = make("span", { class: "lb-ear-stale", text: "Changed since: make it again." });
    const own = createOwn(model, note), row = make("div", { class: "lb-ear-row" }, go, ...createPlayer(model, note), stale, note);
    const update = () => {
      stale.hidden = !model.get("stale");
      own.hidden = !model.get("own");
    };
    const caution = "Use headphones: laptop loudspeakers carry no bass. Start low, turn up slowly, keep it short, and never listen while you drive. Loud sound harms hearing for good.";
    model.on("change:note", () => write(note, model.get("note")));
    for (const name of ["stale", "own"]) model.on(`change:${name}`, update);
    write(note, model.get("note"));
    update();
    el.append(make("section", { class: "lb-ear", "aria-label": "Listen" }, row, own, make("p", { class: "lb-ear-caution", text: caution }), createTest(model)));
  },
};
