// Words dictated into a field, with a stub for the browser's recognition of speech.
import assert from "node:assert/strict";
import { test } from "node:test";
import { dictate } from "../../../intake/desk/static/dictation.js";
import { click, page } from "./page.js";

const FORM = '<form><div><textarea name="why">A gift.</textarea></div><div><input name="title"></div></form>';

function recogniser() {
	const made = [];
	class Recognition {
		constructor() {
			made.push(this);
			this.calls = [];
		}
		start() {
			this.calls.push("start");
		}
		stop() {
			this.calls.push("stop");
			this.onend();
		}
		hears(...words) {
			this.onresult({ results: words.map((transcript) => [{ transcript }]) });
		}
	}
	return { made, Recognition, language: () => "de-CH" };
}

test("a browser without it shows nothing", () => {
	const window = page(FORM);
	dictate(window.document);
	assert.equal(window.document.querySelector("button"), null);
});

test("what is said is added to what stands there, and the form is told that it was touched", () => {
	const window = page(FORM);
	globalThis.Event = window.Event;
	const browser = recogniser();
	dictate(window.document, browser);
	const [button, ...others] = window.document.querySelectorAll("button");
	assert.equal(others.length, 0, "only beside why it is kept");
	assert.match(window.document.querySelector(".dictation").textContent, /server of their maker/);
	const field = window.document.querySelector("textarea");
	let touched = 0;
	window.document.addEventListener("input", () => touched++);
	click(window, button);
	const [first] = browser.made;
	assert.equal(first.lang, "de-CH");
	assert.equal(button.textContent, "Stop listening");
	first.hears(" Read aloud on the crossing ");
	assert.equal(field.value, "A gift. Read aloud on the crossing");
	assert.equal(touched, 1);
	click(window, button);
	assert.deepEqual(first.calls, ["start", "stop"]);
	assert.equal(button.textContent, "Dictate");
	click(window, button);
	assert.equal(browser.made.length, 2, "and again");
});

test("what goes wrong is told beside the button, and it can be tried again", () => {
	const window = page(FORM);
	const browser = recogniser();
	dictate(window.document, browser);
	const button = window.document.querySelector("button");
	for (const [error, words] of [
		["not-allowed", /allow this page the microphone/],
		["no-speech", /Nothing was heard/],
		["audio-capture", /audio-capture/],
	]) {
		click(window, button);
		const heard = browser.made.at(-1);
		heard.onerror({ error });
		heard.onend();
		assert.match(window.document.querySelector("[role=status]").textContent, words);
		assert.equal(button.textContent, "Dictate");
	}
});

test("a field that comes later gets its button when it is gone into, once", () => {
	const window = page("<main></main>");
	const browser = recogniser();
	dictate(window.document, browser);
	window.document.querySelector("main").innerHTML = FORM;
	const field = window.document.querySelector("textarea");
	for (let nth = 0; nth < 2; nth++) field.dispatchEvent(new window.Event("focusin", { bubbles: true }));
	assert.equal(window.document.querySelectorAll("button").length, 1);
});
