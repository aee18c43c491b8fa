// A sound played by the browser's own clock. It does not know what is in it.

/** How long it takes to fade in and out, in seconds: cut off at once it would crack. */
const FADE = 0.012;

let context;
let playing;

/** Opens the way to the loudspeaker; a browser grants it only when the player has just touched the page. */
export function awake() {
  context ??= new AudioContext({ latencyHint: "interactive" });
  return context.state === "running" ? Promise.resolve() : context.resume();
}

export const decode = (file) => context.decodeAudioData(file);

/**
 * Plays `buffer` from `from` seconds on; over and over between the two seconds of `round` where there are any. Calls
 * `onEnd` when it has ended by itself.
 */
export function start(buffer, from, round, onEnd) {
  stop();
  const source = new AudioBufferSourceNode(context, { buffer });
  const gain = new GainNode(context, { gain: 0 });
  if (round) {
    source.loop = true;
    [source.loopStart, source.loopEnd] = round;
  }
  source.connect(gain).connect(context.destination);
  const now = context.currentTime;
  gain.gain.setValueAtTime(0, now);
  gain.gain.linearRampToValueAtTime(1, now + FADE);
  source.onended = onEnd;
  source.start(now, from);
  playing = { source, gain, began: now - from, round };
}

export function stop() {
  if (!playing) return;
  const { source, gain } = playing;
  playing = undefined;
  source.onended = null;
  const now = context.currentTime;
  gain.gain.setValueAtTime(gain.gain.value, now);
  gain.gain.linearRampToValueAtTime(0, now + FADE);
  source.stop(now + FADE);
}

/** The second of the buffer that is heard now; none while nothing plays. */
export function position() {
  if (!playing) return undefined;
  const { began, round } = playing;
  // What is on its way to the ear has not been heard yet.
  const at = context.currentTime - (context.outputLatency || context.baseLatency || 0) - began;
  return round && at > round[1] ? round[0] + ((at - round[0]) % (round[1] - round[0])) : Math.max(at, 0);
}
