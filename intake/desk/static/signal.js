// Good, question, stop and wait, for the ear and for the corner of the eye.
import { at, onOff } from "./element.js";

const flash = at("flash");
// Frequencies in hertz, one after the other: rising, the same twice, falling, once. The middle ones carry on small speakers.
const TONES = { good: [660, 990], question: [740, 740], stop: [300, 200], wait: [520] };
const TONE_S = 0.12;
let audio = null;
let sound = localStorage.getItem("sound") !== "off";

function wake() {
	audio ??= "AudioContext" in window ? new AudioContext() : null;
	audio?.resume?.();
}
for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, wake, { once: true });

function play(kind) {
	if (!sound || !audio || audio.state !== "running") return;
	TONES[kind].forEach((hertz, nth) => {
		const tone = audio.createOscillator();
		const loud = audio.createGain();
		const from = audio.currentTime + nth * (TONE_S + 0.04);
		tone.type = kind === "stop" ? "square" : "sine";
		tone.frequency.value = hertz;
		loud.gain.setValueAtTime(0.2, from);
		loud.gain.exponentialRampToValueAtTime(0.001, from + TONE_S);
		tone.connect(loud).connect(audio.destination);
		tone.start(from);
		tone.stop(from + TONE_S);
	});
}

export function signal(kind) {
	play(kind);
	navigator.vibrate?.({ good: 40, question: [60, 60, 60], stop: 300, wait: [30, 90, 30] }[kind]);
	flash.className = "";
	void flash.offsetWidth; // begins the animation anew
	flash.className = `${kind} on`;
}

function turnSound() {
	sound = !sound;
	localStorage.setItem("sound", sound ? "on" : "off");
}

export const soundButton = (button) => onOff(button, "sound", () => sound, turnSound);
