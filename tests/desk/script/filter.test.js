// A list is filtered by what a form asks for, and shows the latest answer whichever comes last.
import assert from "node:assert/strict";
import { test } from "node:test";
import { addressOf, filterAsTyped } from "../../../intake/desk/static/filter.js";
import { page } from "./page.js";

test("an empty field asks for nothing, and words are written as an address has them", () => {
	const fields = [
		["q", "box 5 & ä"],
		["room", ""],
		["by", "room"],
	];
	assert.equal(addressOf("/boxes", fields), "/boxes?q=box+5+%26+%C3%A4&by=room");
	assert.equal(addressOf("/boxes", [["q", ""]]), "/boxes");
});

test("an answer that a later one overtook is not shown, and no answer leaves the list as it is", async () => {
	const form = page('<form action="/boxes"></form>').document.querySelector("form");
	const answers = [];
	const shown = [];
	let typed = "";
	const ask = () => new Promise((resolve) => answers.push({ resolve }));
	const filter = filterAsTyped(
		form,
		ask,
		(address, text) => shown.push([address, text]),
		() => [["q", typed]],
	);
	typed = "b";
	const first = filter();
	typed = "b5";
	const second = filter();
	answers[1].resolve("the fifth");
	await second;
	answers[0].resolve("all with b");
	await first;
	assert.deepEqual(shown, [["/boxes?q=b5", "the fifth"]]);
	const third = filter();
	answers[2].resolve(null); // no connection
	await third;
	const fourth = filter();
	answers[3].resolve(null);
	await fourth;
	assert.equal(shown.length, 1);
});

test("an answer for a page in whose place another stands by then is not shown, nor is one asked for", async () => {
	const form = page('<form action="/boxes"></form>').document.querySelector("form");
	const answers = [];
	const shown = [];
	const ask = () => new Promise((resolve) => answers.push({ resolve }));
	const filter = filterAsTyped(
		form,
		ask,
		(...found) => shown.push(found),
		() => [["q", "b"]],
	);
	const asked = filter();
	form.remove();
	answers[0].resolve("all with b");
	await asked;
	await filter();
	assert.deepEqual([shown, answers.length], [[], 1]);
});
