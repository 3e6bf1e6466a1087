// The horn from the laptop's speaker: short blasts, or one long one. A press starts it, as browsers ask for; a second
// press stops it. It writes nothing down: that it was sounded is said by another button.
//
//   <button data-horn="3">…</button>   three short blasts      <button data-horn="1" data-long>…</button>   one long

const SHORT = 1.0, LONG = 4.0, REST = 0.7;   // seconds
const TONES = [311, 370];                    // two that beat against each other carry further than one

let playing = null;

function blast(context, from, length) {
  const loud = context.createGain();
  loud.connect(context.destination);
  loud.gain.setValueAtTime(0, from);
  loud.gain.linearRampToValueAtTime(0.45, from + 0.03);
  loud.gain.setValueAtTime(0.45, from + length - 0.05);
  loud.gain.linearRampToValueAtTime(0, from + length);
  for (const tone of TONES) {
    const voice = context.createOscillator();
    voice.type = "sawtooth";
    voice.frequency.value = tone;
    voice.connect(loud);
    voice.start(from);
    voice.stop(from + length);
  }
}

function stop() {
  playing?.close();
  playing = null;
}

function sound(count, long) {
  const context = new AudioContext();
  const length = long ? LONG : SHORT;
  let from = context.currentTime + 0.05;
  for (let each = 0; each < count; each += 1) {
    blast(context, from, length);
    from += length + REST;
  }
  playing = context;
  setTimeout(() => { if (playing === context) stop(); }, (from - context.currentTime) * 1000);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-horn]");
  if (!button) return;
  if (playing) stop();
  else sound(Number(button.dataset.horn), "long" in button.dataset);
});
