// The answer spoken, with a stub for the browser's voice; and the symbol's place in the picture.
import assert from "node:assert/strict";
import { test } from "node:test";
import { symbolBox } from "../../../intake/desk/static/crop.js";
import { Speech, spokenOf } from "../../../intake/desk/static/speech.js";
import { click, page } from "./page.js";

const ANSWER = { kind: "good", place: ["Study", "Window", "2"], warning: "Volume 2 is missing." };

test("the place is said first, then the warning, which is English", () => {
	assert.deepEqual(spokenOf([ANSWER], "de-CH"), [
		{ text: "Window, 2", lang: "de-CH" },
		{ text: "Volume 2 is missing.", lang: "en" },
	]);
	assert.deepEqual(spokenOf([{ kind: "question" }], "de"), [{ text: "Rückfrage", lang: "de" }]);
	assert.deepEqual(spokenOf([{ kind: "good", place: [], warning: "" }], "fr-FR"), [
		{ text: "No place yet", lang: "en" },
	]);
});

function voice({ fails = false } = {}) {
	const said = [];
	const synthesis = {
		cancel: () => said.push("-"),
		speak({ text, lang }) {
			if (fails) throw new Error("synthesis-failed");
			said.push(`${lang}: ${text}`);
		},
	};
	class Utterance {
		constructor(text) {
			this.text = text;
		}
	}
	return { said, synthesis, Utterance };
}

test("nothing is said until it is turned on, and a voice that fails stops nothing", () => {
	const window = page('<button id="speech" hidden></button>');
	const button = window.document.getElementById("speech");
	const kept = new Map();
	const storage = { getItem: (key) => kept.get(key), setItem: (key, value) => kept.set(key, value) };
	const one = voice();
	const speech = new Speech({ ...one, storage });
	speech.button(button);
	speech.say([ANSWER], "en");
	assert.deepEqual([one.said, button.hidden, button.textContent], [[], false, "Turn voice on"]);
	click(window, button);
	speech.say([ANSWER], "en");
	assert.deepEqual(one.said, ["-", "en: Window, 2", "en: Volume 2 is missing."]);
	assert.equal(button.textContent, "Turn voice off");
	new Speech({ ...voice({ fails: true }), storage }).say([ANSWER], "en");
	const silent = new Speech({ synthesis: null, Utterance: null, storage });
	silent.say([ANSWER], "en");
});

test("where the browser has no voice, whoever turns it on is told, until one comes", () => {
	const window = page('<p><button id="speech" hidden></button></p>');
	const button = window.document.getElementById("speech");
	const voices = [];
	const one = voice();
	one.synthesis.getVoices = () => voices;
	new Speech({ ...one, storage: null }).button(button);
	const told = () => button.parentNode.querySelector("[role=status], span").textContent;
	assert.equal(told(), "");
	click(window, button);
	assert.match(told(), /no voice/);
	voices.push({ lang: "en" });
	one.synthesis.onvoiceschanged();
	assert.equal(told(), "");
	voices.pop();
	click(window, button);
	assert.equal(told(), "", "what is turned off is not missed");
});

test("the cut holds the symbol with a margin and stays in the picture", () => {
	const corners = [[10, 20], [110, 20], [110, 70], [10, 70]]; // biome-ignore format: a rectangle
	const frame = {
		width: 120,
		height: 300,
		readings: [
			{ number: "1", corners: [] },
			{ number: "2", corners },
		],
	};
	assert.deepEqual(symbolBox(frame, "2"), { left: 0, top: 12.5, width: 120, height: 65 });
	assert.equal(symbolBox(frame, "1"), null);
	assert.equal(symbolBox(frame, "3"), null);
	assert.equal(symbolBox(undefined, "3"), null);
});
