// The queue of scans: their order, and where those belong that follow a label.
import assert from "node:assert/strict";
import { webcrypto } from "node:crypto";
import { test } from "node:test";
import { ScanQueue } from "../../../intake/desk/static/scan_queue.js";

globalThis.crypto ??= webcrypto; // node 18 has it only as a module

function storage() {
	const kept = new Map();
	return { getItem: (key) => kept.get(key) ?? null, setItem: (key, text) => kept.set(key, text) };
}

// A page on which labels of boxes are opened and those of shelves lead nowhere; it takes its time with every scan.
function page(box, kept) {
	const log = { taken: [], lost: [] };
	const queue = new ScanQueue({
		storage: kept,
		async take({ text, place }) {
			await new Promise(setImmediate);
			log.taken.push([text, place.box]);
			if (text.startsWith("B")) queue.leave();
			return !text.startsWith("S");
		},
		onLost: ({ text }) => log.lost.push(text),
	});
	queue.place = { box, shelf: "" };
	return { queue, log };
}

test("every scan is taken once, in the order of scanning, under a request id of its own", async () => {
	const { queue, log } = page("B1-56", storage());
	const texts = Array.from({ length: 20 }, (_, nth) => `${nth}`);
	const requests = texts.map((text) => queue.add(text));
	await Promise.all([queue.work(), queue.work()]);
	assert.deepEqual(
		log.taken,
		texts.map((text) => [text, "B1-56"]),
	);
	assert.equal(new Set(requests).size, texts.length);
	assert.deepEqual(queue.requests, []);
});

test("what follows a label is taken on its page, from a label there on the page after that", async () => {
	const kept = storage();
	const first = page("", kept);
	const requests = ["a", "B1-56", "b", "B4-29", "c"].map((text) => first.queue.add(text));
	await first.queue.work();
	first.queue.add("d"); // while the page is being opened
	const second = page("B1-56", kept);
	assert.deepEqual(second.queue.requests.slice(0, 3), requests.slice(2), "the same requests");
	await second.queue.work();
	const third = page("B4-29", kept);
	await third.queue.work();
	assert.deepEqual(first.log.taken, [
		["a", ""],
		["B1-56", ""],
	]);
	assert.deepEqual(second.log.taken, [
		["b", "B1-56"],
		["B4-29", "B1-56"],
	]);
	assert.deepEqual(third.log.taken, [
		["c", "B4-29"],
		["d", "B4-29"],
	]);
});

test("what waits for the desk when a person opens another page is not taken for that page", async () => {
	const kept = storage();
	page("B1-56", kept).queue.add("a");
	const other = page("B4-29", kept);
	await other.queue.work();
	assert.deepEqual(other.log.taken, [["a", "B1-56"]]);
});

test("what follows a label that led nowhere is lost aloud, up to the next label", async () => {
	const { queue, log } = page("B1-56", storage());
	for (const text of ["S3-84", "a", "b", "B4-29", "c"]) queue.add(text);
	await queue.work();
	assert.deepEqual(
		[log.taken.map(([text]) => text), log.lost],
		[
			["S3-84", "B4-29"],
			["a", "b"],
		],
	);
	assert.equal(queue.requests.length, 1);
});

test("what is scanned while a label's page is opened in place waits until it stands, and belongs to it", async () => {
	const log = { taken: [], lost: [] };
	let opened;
	const queue = new ScanQueue({
		storage: storage(),
		async take({ text, place }) {
			log.taken.push([text, place.box]);
			if (!text.startsWith("B")) return true;
			queue.leave();
			const stands = await new Promise((resolve) => {
				opened = resolve;
			});
			if (stands) queue.place = { box: text, shelf: "" };
			queue.arrive(stands);
			return stands;
		},
		onLost: ({ text }) => log.lost.push(text),
	});
	queue.place = { box: "", shelf: "" };
	for (const text of ["a", "B1-56", "b"]) queue.add(text);
	let worked = queue.work();
	await new Promise(setImmediate);
	queue.add("c");
	await queue.work();
	assert.equal(log.taken.length, 2);
	opened(true);
	await worked;
	for (const text of ["d", "B4-29", "e"]) queue.add(text);
	worked = queue.work();
	await new Promise(setImmediate);
	queue.add("f");
	opened(false);
	await worked;
	queue.add("g");
	await queue.work();
	assert.deepEqual(log.taken, [
		["a", ""],
		["B1-56", ""],
		["b", "B1-56"],
		["c", "B1-56"],
		["d", "B1-56"],
		["B4-29", "B1-56"],
		["g", "B1-56"],
	]);
	assert.deepEqual(log.lost, ["e", "f"]);
});

test("a page that a picture's label could not open loses what was scanned for it, and nothing scanned before", async () => {
	const { queue, log } = page("B1-56", storage());
	queue.add("a");
	queue.leave();
	queue.add("b");
	await queue.arrive(false);
	assert.deepEqual([log.taken, log.lost], [[["a", "B1-56"]], ["b"]]);
});
