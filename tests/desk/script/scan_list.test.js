// The last scans: listed at once, answered one by one, each taken back by itself.
import assert from "node:assert/strict";
import { test } from "node:test";
import { ScanList } from "../../../intake/desk/static/scan_list.js";
import { accepted, click, desk, NO_ANSWER, page, settle } from "./page.js";

function memory() {
	const kept = new Map();
	return { getItem: (key) => kept.get(key) ?? null, setItem: (key, value) => kept.set(key, value) };
}

function listed({ storage = memory() } = {}, ...answers) {
	const window = page('<h2 id="heading" hidden>Last scans</h2><ol id="last" aria-labelledby="heading"></ol>');
	const place = window.document.getElementById("last");
	const { sent, post } = desk(...answers);
	const list = new ScanList({ post, get: (address) => post(address), storage });
	list.showIn(place);
	const lines = () => [...place.children].map((line) => line.textContent);
	return { window, place, list, lines, sent, storage };
}

const GULLS = { kind: "good", title: "Gulls", place: ["Study", "Window", "2"], entry: 17 };

test("a scan is listed before anything is asked, the newest first, and answered where it stands", () => {
	const { list, lines, sent, window } = listed();
	list.begin("a", "9789999812252");
	list.begin("b", "9789999812429");
	assert.deepEqual(sent, []);
	assert.equal(lines().length, 2);
	assert.match(lines()[0], /9789999812429/);
	list.answered("a", [GULLS]);
	assert.match(lines()[1], /Window · 2 Gulls/);
	assert.match(lines()[0], /9789999812429/);
	assert.equal(window.document.getElementById("heading").hidden, false);
});

test("several books of one picture are several lines; one that failed says why", () => {
	const { list, lines } = listed();
	list.begin("a", "");
	list.answered("a", [GULLS, { ...GULLS, title: "Terns", entry: 18 }]);
	list.begin("b", "12");
	list.failed("b", "It arrived incomplete.");
	assert.equal(lines().length, 3);
	assert.match(lines()[0], /12 .*incomplete/);
});

test("each is taken back by itself, once; what did not arrive can be pressed again", async () => {
	const { list, lines, place, window, sent } = listed({}, NO_ANSWER, accepted({ kind: "good" }));
	list.begin("a", "1");
	list.answered("a", [GULLS]);
	list.begin("b", "2");
	list.answered("b", [{ ...GULLS, title: "Terns", entry: 18 }]);
	const press = async () => {
		click(window, place.children[1].querySelector("button"));
		await settle();
	};
	await press();
	assert.equal(place.querySelectorAll("button").length, 2, "it is still there");
	await press();
	assert.deepEqual(
		sent.map(({ body }) => body.entry),
		["17", "17"],
	);
	assert.equal(place.querySelectorAll("button").length, 1);
	assert.match(lines()[1], /taken back/);
	list.undone("18");
	assert.equal(place.querySelectorAll("button").length, 0);
});

test("a decision takes the place of its question", () => {
	const { list, lines, place } = listed();
	list.begin("a", "123");
	list.answered("a", [{ kind: "question", title: "123", query: 3, entry: 5 }]);
	assert.equal(place.querySelector("a").getAttribute("href"), "/pile/3");
	list.decided("3", [GULLS]);
	assert.equal(lines().length, 1);
	assert.match(lines()[0], /Gulls/);
});

test("a query that was decided on the pile says so, and asks again once that is taken back", async () => {
	const decided = accepted({ answers: { 3: "copy A2-50, as listed" } });
	const { list, lines, place, sent } = listed({}, decided, NO_ANSWER, accepted({ answers: {} }));
	await list.lookAtQueries();
	assert.deepEqual(sent, [], "nothing is asked where nothing waits");
	list.begin("a", "123");
	list.answered("a", [{ kind: "question", title: "123", query: 3, entry: 5 }]);
	for (const _ of [decided, NO_ANSWER]) {
		await list.lookAtQueries();
		assert.equal(sent.at(-1).address, "/api/queries?query=3");
		assert.match(lines()[0], /^✓123 query 3: copy A2-50, as listed$/);
		assert.equal(place.querySelectorAll("a, button").length, 0, "there is nothing left to decide or to undo");
	}
	await list.lookAtQueries();
	assert.equal(place.querySelector("a").textContent, "query 3");
	assert.equal(place.querySelectorAll("button").length, 1);
});

test("the next page shows them too; what waits in no outbox any more is left out", () => {
	const first = listed();
	first.list.begin("a", "1");
	first.list.answered("a", [GULLS]);
	first.list.begin("b", "22222");
	first.list.begin("c", "33333");
	const next = listed({ storage: first.storage });
	assert.equal(next.lines().length, 3);
	next.list.keepWaiting(["c"]);
	assert.equal(next.lines().length, 2);
	assert.match(next.lines()[0], /33333/);
});
