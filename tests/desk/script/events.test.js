// What a page loads anew when the desk reports a change.
import assert from "node:assert/strict";
import { test } from "node:test";
import { parseHTML } from "linkedom";
import { isTouched, reached, renew, stateWords } from "../../../intake/desk/static/events.js";
import { page } from "./page.js";

const fresh = (body) => parseHTML(`<!doctype html><html><body>${body}</body></html>`).document;
const part = (name, content) => `<div data-live="${name}">${content}</div>`;

// A page and the element that has the focus, which linkedom does not keep track of.
function open(body, focused = "body") {
	const { document } = page(body);
	const activeElement = document.querySelector(focused);
	return {
		document,
		activeElement,
		querySelectorAll: (selector) => document.querySelectorAll(selector),
	};
}

test("a live part that changed is replaced, the rest of the page stays", () => {
	const view = open(`<p>old</p>${part("head", "0 of 16")}`);
	renew(view, fresh(`<p>new</p>${part("head", "1 of 16")}`));
	assert.equal(view.document.querySelector("[data-live]").textContent, "1 of 16");
	assert.equal(view.document.querySelector("p").textContent, "old");
});

test("a live part in which something is being filled in stays as it is", () => {
	const view = open(part("facts", '<input value="so far">'), "input");
	renew(view, fresh(part("facts", "<p>saved</p>")));
	assert.ok(view.document.querySelector("input"));
});

test("what was typed or chosen stays, wherever the focus is", () => {
	const field = (more) => ({ ownerDocument: {}, matches: () => false, ...more });
	assert.equal(isTouched(field({ type: "text", value: "a", defaultValue: "a" })), false);
	assert.equal(isTouched(field({ type: "text", value: "ab", defaultValue: "a" })), true);
	assert.equal(isTouched(field({ type: "radio", checked: true, defaultChecked: false })), true);
	const options = [{ selected: true, defaultSelected: true }];
	assert.equal(isTouched(field({ type: "select-one", matches: () => true, options })), false);
	options[0].selected = false;
	assert.equal(isTouched(field({ type: "select-one", matches: () => true, options })), true);
});

test("what was open stays open", () => {
	const view = open(part("lines", "<details><summary>A</summary>1</details>"));
	view.document.querySelector("details").open = true;
	renew(view, fresh(part("lines", "<details><summary>A</summary>2</details>")));
	const details = view.document.querySelector("details");
	assert.deepEqual([details.open, details.textContent], [true, "A2"]);
});

test("a part that the fresh page no longer has stays", () => {
	const view = open(part("head", "0 of 16"));
	renew(view, fresh("<p>elsewhere</p>"));
	assert.equal(view.document.querySelector("[data-live]").textContent, "0 of 16");
});

test("whether the desk can be reached is written in words", () => {
	const window = page('<span id="link">connected</span>');
	const { document } = window;
	globalThis.Event = window.Event;
	let losses = 0;
	document.addEventListener("desk:lost", () => {
		losses += 1;
	});
	const link = document.getElementById("link");
	reached(false);
	reached(false);
	assert.equal(losses, 1, "signalled once");
	assert.deepEqual([link.textContent, link.className], ["no connection", "lost"]);
	reached(true);
	assert.deepEqual([link.textContent, link.className], ["connected", ""]);
});

test("the state of the page names what is wrong, the worst first", () => {
	const states = [
		[{ reached: true, signedOut: false, trouble: "" }, "connected"],
		[{ reached: false, signedOut: false, trouble: "" }, "no connection"],
		[{ reached: true, signedOut: false, trouble: "The library's folder is not there any more." }, "no library"],
		[{ reached: true, signedOut: true, trouble: "The library's folder is not there any more." }, "signed out"],
	];
	for (const [state, words] of states) assert.equal(stateWords(state), words);
});
