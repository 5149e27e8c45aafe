// Alert sounds. A browser gives sound only after a person has touched the page: so there is a
// switch that says plainly whether it is on.

let context = null;
let timer = null;

// Two tones a fourth apart cut through engine noise better than one (common practice): stop is
// a fast high pair that goes on, look closer one slow pair.
const PATTERNS = {
  stop: { tones: [1480, 1975], each: 0.13, every: 620 },
  look_closer: { tones: [880, 660], each: 0.22, every: 2400 },
};

function beep(frequency, start, length) {
  const tone = context.createOscillator();
  const level = context.createGain();
  tone.type = "square";
  tone.frequency.value = frequency;
  level.gain.setValueAtTime(0.0001, start);
  level.gain.exponentialRampToValueAtTime(0.5, start + 0.01);
  level.gain.setValueAtTime(0.5, start + length - 0.02);
  level.gain.exponentialRampToValueAtTime(0.0001, start + length);
  tone.connect(level).connect(context.destination);
  tone.start(start);
  tone.stop(start + length);
}

function play({ tones, each }) {
  for (const [index, tone] of tones.entries()) beep(tone, context.currentTime + index * each, each);
}

export const isOn = () => context !== null && context.state === "running";

export async function switchSound(on) {
  if (!on) {
    silence();
    await context?.close();
    context = null;
    return false;
  }
  context ??= new AudioContext();
  await context.resume();
  play({ tones: [660, 880], each: 0.1 });
  return isOn();
}

let sounding = null;
export function sound(severity) {
  if (severity === sounding && (severity === null) === (timer === null)) return;
  silence();
  sounding = severity;
  const pattern = PATTERNS[severity];
  if (!pattern || !isOn()) return;
  play(pattern);
  timer = setInterval(() => play(pattern), pattern.every);
}

function silence() {
  clearInterval(timer);
  timer = null;
  sounding = null;
}
