// Defects by touching the drawing: the part, its words, and what the form then states.
import assert from "node:assert/strict";
import { test } from "node:test";
import { drawnBooks, wordsIn } from "../../../intake/desk/static/defects.js";
import { accepted, click, desk, page, settle } from "./page.js";

const FORM = `<form data-facts><div data-book><svg><g data-region="spine"><rect/></g><g data-region="boards"><rect/></g></svg>
<button type="button" data-region="spine"></button><button type="button" data-region="boards"></button>
<div data-words="spine" hidden><button type="button" data-part="spine" data-defect="faded"></button></div>
<div data-words="boards" hidden><button type="button" data-part="boards" data-defect="rubbed"></button></div>
<ol data-chips data-copy="A1-59"></ol></div>
<input name="part-spine" value="torn 3 cm"><input name="part-boards" value=""></form>`;

function drawn(...answers) {
	const window = page(FORM);
	const { document } = window;
	globalThis.Event = window.Event;
	const { sent, post } = desk(...answers);
	const form = document.querySelector("form");
	for (const each of document.querySelectorAll("button, input")) Object.defineProperty(each, "form", { value: form });
	drawnBooks(document, post);
	const at = (selector) => document.querySelector(selector);
	const press = (selector) => click(window, at(selector));
	const chips = () => [...at("[data-chips]").children].map((chip) => chip.querySelector("span").textContent);
	return { window, at, press, chips, sent };
}

test("a touch on the drawing shows the words of that part alone", () => {
	const { at, press } = drawn();
	press("g[data-region=boards] rect");
	assert.deepEqual([at("[data-words=boards]").hidden, at("[data-words=spine]").hidden], [false, true]);
	assert.equal(at("button[data-region=boards]").getAttribute("aria-pressed"), "true");
	press("button[data-region=spine]");
	assert.deepEqual([at("[data-words=boards]").hidden, at("[data-words=spine]").hidden], [true, false]);
});

test("a word is stated, beside what was written, and taken back by a second touch", () => {
	const { at, press, chips } = drawn();
	press("[data-defect=faded]");
	assert.deepEqual(wordsIn(at("[name=part-spine]")), ["torn 3 cm", "faded"]);
	press("[data-defect=rubbed]");
	assert.deepEqual(chips(), ["spine: torn 3 cm", "spine: faded", "boards: rubbed"]);
	assert.equal(at("[data-defect=faded]").getAttribute("aria-pressed"), "true");
	press("[data-defect=faded]");
	assert.deepEqual(wordsIn(at("[name=part-spine]")), ["torn 3 cm"]);
	press("[data-chips] li button");
	assert.deepEqual(chips(), ["boards: rubbed"]);
});

test("a photograph carries the number and the words of its defect", async () => {
	const { window, at, press, sent } = drawn(accepted({ sentence: "Kept." }));
	press("[data-defect=rubbed]");
	const input = at("[data-chips] li:nth-child(2) input");
	Object.defineProperty(input, "files", { value: ["a picture"] });
	input.dispatchEvent(new window.Event("change"));
	await settle();
	assert.deepEqual(sent, [{ address: "/api/photograph?copy=A1-59&note=2%20boards%3A%20rubbed", body: "a picture" }]);
});
