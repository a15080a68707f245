// The list of what waits and of what was refused.
import assert from "node:assert/strict";
import { test } from "node:test";
import { WaitingList, waitingWords } from "../../../intake/desk/static/waiting.js";
import { click, page, settle } from "./page.js";

function list(scans, lasting = true) {
	const window = page('<div id="kept" hidden></div>');
	const place = window.document.getElementById("kept");
	const log = { changed: [], removed: [], sent: 0 };
	const store = {
		lasting,
		all: async () => scans,
		change: async (scan) => log.changed.push(scan),
		remove: async (scan) => {
			log.removed.push(scan);
			scans.splice(scans.indexOf(scan), 1);
		},
	};
	const send = async () => {
		log.sent += 1;
	};
	return { window, place, log, shown: new WaitingList(place, { store, send }) };
}

test("nothing waits, nothing is shown", async () => {
	const { place, shown } = list([]);
	await shown.show();
	assert.equal(place.hidden, true);
	assert.equal(place.children.length, 0);
});

test("how many wait; what was refused is not among them", async () => {
	const { place, shown } = list([{ text: "a" }, { text: "b", refused: "no" }, { hasPicture: true }]);
	await shown.show();
	assert.equal(place.hidden, false);
	assert.match(place.firstElementChild.textContent, /^2 scans wait /);
	assert.equal(place.children.length, 2, "one refused alone has its own buttons only");
});

test("the words for one, and for a browser that does not store them", () => {
	assert.match(waitingWords(1, true), /^1 scan waits /);
	assert.notEqual(waitingWords(1, true), waitingWords(1, false));
});

test("what is waited for is said, until nothing waits", async () => {
	const scans = [{ text: "a" }];
	const { place, shown } = list(scans);
	await shown.showWhy("The library is being written.");
	assert.match(place.textContent, /^1 scan waits .*The library is being written\.$/);
	scans.pop();
	await shown.show();
	scans.push({ text: "b" });
	await shown.show();
	assert.doesNotMatch(place.textContent, /written/);
});

test("a browser that is not let in any more finds the way to pair it", async () => {
	const scans = [{ text: "a" }];
	const { place, shown } = list(scans);
	await shown.showWhy("This browser has not been let in.", true);
	assert.equal(place.querySelector("a").getAttribute("href"), "/pair");
	await shown.showWhy("The library is being written.");
	assert.equal(place.querySelector("a"), null);
});

test("a long scan that was refused does not fill the page", async () => {
	const { place, shown } = list([{ text: "\u{1f4d5}".repeat(5000), refused: "It is too long." }]);
	await shown.show();
	assert.match(place.textContent, /^(\u{1f4d5}){80} … \(5000 characters\): It is too long\./u);
});

test("all that was refused is sent again by one press", async () => {
	const scans = ["a", "b"].map((text, nth) => ({ nth, text, refused: "no", failed: true }));
	const { window, place, log, shown } = list(scans);
	await shown.show();
	click(window, place.lastElementChild);
	await settle();
	assert.deepEqual(log.changed, [
		{ nth: 0, text: "a" },
		{ nth: 1, text: "b" },
	]);
	assert.equal(log.sent, 1);
});

test("a refused scan is sent again without its refusal, a refused picture thrown away", async () => {
	const scan = { nth: 1, text: "<i>9</i>", refused: "Not this box." };
	const picture = { nth: 2, hasPicture: true, refused: "No picture." };
	const { window, place, log, shown } = list([scan, picture]);
	await shown.show();
	const [first, second] = place.children;
	assert.equal(first.querySelector("p").textContent, "<i>9</i>: Not this box.");
	assert.equal(second.querySelector("p").textContent, "A picture: No picture.");
	click(window, first.querySelectorAll("button")[0]);
	await settle();
	assert.deepEqual(log.changed, [{ nth: 1, text: "<i>9</i>" }]);
	assert.equal(log.sent, 1);
	click(window, second.querySelectorAll("button")[1]);
	await settle();
	assert.deepEqual(log.removed, [picture]);
	assert.equal(place.children.length, 1);
});
