import assert from "node:assert/strict";
import { test } from "node:test";
import { answers, forgetLists, keepList, listOf, lookUp, thirteen } from "../../../intake/desk/static/offline_list.js";

const lines = [
	{ copy: "A12-57", number: "9789999812252", title: "Divers and Petrels", goes: "Study · Window bookcase · 2" },
	{ copy: "A13-48", number: "9789999812252", title: "Divers and Petrels", goes: "" },
	{ copy: "A14-39", number: "", title: "A Book of Fog", goes: "Study · Door bookcase · 1" },
];

// The worked example of ISO 2108: 0-306-40615-2 is 978-0-306-40615-7.
test("an ISBN-10 stands for its ISBN-13, and anything else for itself", () => {
	assert.equal(thirteen("0-306-40615-2"), "9780306406157");
	assert.equal(thirteen("978-99998-1225-2"), "9789999812252");
	assert.equal(thirteen("a12-57"), "A1257");
});

test("a scan finds its line by number, with or without an add-on, or by its own flag", () => {
	assert.equal(lookUp(lines, "9789999812252").line.copy, "A12-57");
	assert.equal(lookUp(lines, "978999981225251299").line.copy, "A12-57");
	assert.equal(lookUp(lines, "A14-39").line.title, "A Book of Fog");
	assert.equal(lookUp(lines, "9789999999999"), null);
});

test("two scans of one number are two copies, a third is none of the list", () => {
	const scans = ["9789999812252", "9789999812252", "9789999812252"].map((text) => ({ box: "B1", text }));
	const told = answers(scans, () => lines);
	assert.deepEqual(
		told.map(({ line }) => line?.copy ?? null),
		["A12-57", "A13-48", null],
	);
	assert.match(told[2].sentence, /not on the list/);
});

test("words are no number that is not on the list: a title that has them all is told as a guess", () => {
	const titles = [
		{ copy: "A18-03", number: "", title: "Chaminés e Platibandas", goes: "Study" },
		{ copy: "A19-01", number: "", title: "Chaminés do Sul", goes: "" },
	];
	const scans = ["chamines plati", "chaminés", "no such words", "A99-12"].map((text) => ({ box: "B1", text }));
	const told = answers(scans, () => titles);
	assert.deepEqual(
		told.map(({ line }) => line?.copy ?? null),
		["A18-03", null, null, null],
	);
	assert.match(told[0].sentence, /Perhaps/);
	assert.match(told[1].sentence, /look for it/);
	assert.match(told[2].sentence, /look for it/);
	assert.match(told[3].sentence, /not on the list/);
});

test("nothing is said of a picture, or of a box whose list is not kept", () => {
	const told = answers(
		[
			{ box: "B1", hasPicture: true },
			{ box: "B2", text: "1" },
		],
		() => null,
	);
	assert.deepEqual(
		told.map(({ sentence }) => sentence),
		["", ""],
	);
});

test("one list is kept, and none after signing out", async () => {
	const storage = {};
	Object.defineProperties(storage, {
		getItem: { value: (key) => storage[key] ?? null },
		removeItem: { value: (key) => delete storage[key] },
		setItem: {
			value: (key, text) => {
				storage[key] = text;
			},
		},
	});
	globalThis.fetch = async (address) => ({ ok: true, text: async () => JSON.stringify({ lines, asked: address }) });
	await keepList("B1", storage);
	await keepList("B2", storage);
	assert.deepEqual(Object.keys(storage), ["box-list:B2"]);
	assert.equal(listOf("B2", storage)[0].copy, "A12-57");
	globalThis.fetch = async () => {
		throw new Error("no connection");
	};
	await keepList("B2", storage);
	assert.equal(listOf("B2", storage).length, 3);
	forgetLists(storage);
	assert.equal(listOf("B2", storage), null);
});
