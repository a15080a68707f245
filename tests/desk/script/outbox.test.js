// The outbox: order, one request id a scan, and how often it asks a desk that does not answer.
import assert from "node:assert/strict";
import { webcrypto } from "node:crypto";
import { test } from "node:test";
import { IDBFactory } from "fake-indexeddb";
import { FIRST_RETRY_MS, fate, LONGEST_RETRY_MS, Outbox, SLOW_MS } from "../../../intake/desk/static/outbox.js";
import { OutboxStore } from "../../../intake/desk/static/outbox_store.js";

globalThis.crypto ??= webcrypto; // node 18 has it only as a module
const GOOD = { ok: true, status: 200, body: { answers: [] } };
const NO_ANSWER = { ok: false, status: 0, body: {} };
const refusal = (status, sentence) => ({ ok: false, status, body: { sentence } });

async function until(holds) {
	for (let turn = 0; turn < 10_000 && !holds(); turn += 1) await new Promise(setImmediate);
	assert.ok(holds());
}

// A clock that a test moves; at most one timer may wait.
class Clock {
	now = 0;
	timers = new Map();
	setTimeout(act, wait) {
		const id = {};
		this.timers.set(id, { act, due: this.now + wait });
		assert.equal(this.timers.size, 1, "one timer");
		return id;
	}
	clearTimeout(id) {
		this.timers.delete(id);
	}
	async advance(ms) {
		const end = this.now + ms;
		for (;;) {
			const [id, { act, due }] = [...this.timers][0] ?? [null, {}];
			if (!id || due > end) break;
			this.now = due;
			this.timers.delete(id);
			await act();
		}
		this.now = end;
	}
}

// A desk that answers as `answer` says, and remembers what it was sent.
function bench(answer = () => GOOD, factory = new IDBFactory()) {
	const clock = new Clock();
	const log = { sent: [], answered: [], refused: [], failures: [], changes: 0, waits: 0 };
	const made = { clock, log, answer };
	const post = async (address, body) => {
		const picture = body instanceof Blob;
		const request = picture ? new URLSearchParams(address.split("?")[1]).get("request") : body.request;
		log.sent.push({ address, body, request, at: clock.now });
		return made.answer(request, body);
	};
	made.outbox = new Outbox(
		new OutboxStore(factory),
		post,
		{
			onAnswer: (_, scan) => log.answered.push(scan.request),
			onRefused: (sentence) => log.refused.push(sentence),
			onFailure: ({ status }) => log.failures.push(status),
			onWaiting: () => {
				log.waits += 1;
			},
			onChange: () => {
				log.changes += 1;
			},
		},
		clock,
	);
	made.waiting = async () => (await made.outbox.store.all()).length;
	return made;
}

test("a scan and a picture go to the desk as what they are", async () => {
	const { outbox, log, waiting } = bench();
	await outbox.add({ box: "B1-56", text: "9789999812252" });
	await outbox.add({ box: "B1-56" }, { bytes: Uint8Array.from([1, 2]).buffer, type: "image/jpeg" });
	const [scan, picture] = log.sent;
	assert.equal(scan.address, "/api/scan");
	assert.deepEqual(scan.body, { box: "B1-56", text: "9789999812252", request: scan.request });
	assert.equal(picture.address, `/api/picture?box=B1-56&request=${picture.request}`);
	assert.equal(picture.body.type, "image/jpeg");
	assert.deepEqual(new Uint8Array(await picture.body.arrayBuffer()), Uint8Array.from([1, 2]));
	assert.notEqual(scan.request, picture.request);
	assert.equal(await waiting(), 0);
});

test("twelve scans without a desk: one probe at a time, each wait twice the one before", async () => {
	const { outbox, clock, log, waiting } = bench(() => NO_ANSWER);
	for (let nth = 0; nth < 12; nth += 1) {
		await outbox.add({ box: "B1-56", text: `${nth}` });
		await clock.advance(9000 / 12);
	}
	assert.deepEqual(
		log.sent.map(({ at }) => at),
		[0, 1000, 3000, 7000],
	);
	assert.equal(new Set(log.sent.map(({ request }) => request)).size, 1, "always the first in the row");
	assert.equal(await waiting(), 12);
});

test("the wait grows to its limit and no further", async () => {
	const { outbox, clock, log } = bench(() => NO_ANSWER);
	await outbox.add({ box: "B1-56", text: "a" });
	await clock.advance(10 * LONGEST_RETRY_MS);
	const waits = log.sent.slice(1).map(({ at }, nth) => at - log.sent[nth].at);
	assert.deepEqual(waits.slice(0, 8), [1000, 2000, 4000, 8000, 16000, 32000, 60000, 60000]);
	assert.equal(Math.max(...waits), LONGEST_RETRY_MS);
});

test("one answer sends all that waits, in order, and the next failure waits the shortest time again", async () => {
	const made = bench(() => NO_ANSWER);
	const { outbox, clock, log, waiting } = made;
	for (const text of ["a", "b", "c"]) await outbox.add({ box: "B1-56", text });
	await clock.advance(2999);
	made.answer = () => GOOD;
	await clock.advance(1);
	assert.deepEqual(
		log.sent.slice(-3).map(({ body, at }) => [body.text, at]),
		[
			["a", 3000],
			["b", 3000],
			["c", 3000],
		],
	);
	assert.equal(await waiting(), 0);
	assert.equal(clock.timers.size, 0);
	made.answer = () => NO_ANSWER;
	await outbox.add({ box: "B1-56", text: "d" });
	await clock.advance(FIRST_RETRY_MS);
	assert.deepEqual(
		log.sent.slice(-2).map(({ at }) => at),
		[3000, 4000],
	);
});

test("when the network is back it is tried at once, and the waits begin anew", async () => {
	const made = bench(() => NO_ANSWER);
	const { outbox, clock, log } = made;
	await outbox.add({ box: "B1-56", text: "a" });
	await clock.advance(10_000);
	await outbox.retry();
	await clock.advance(FIRST_RETRY_MS);
	assert.deepEqual(
		log.sent.slice(-2).map(({ at }) => at),
		[10_000, 11_000],
	);
	assert.equal(clock.timers.size, 1);
});

test("the network is back while a probe is under way: that probe is followed by one more at once", async () => {
	const made = bench();
	const { outbox, clock, log } = made;
	let answerProbe;
	made.answer = () =>
		new Promise((resolve) => {
			answerProbe = resolve;
		});
	const adding = outbox.add({ box: "B1-56", text: "a" });
	await until(() => answerProbe);
	await outbox.retry();
	made.answer = () => GOOD;
	answerProbe(NO_ANSWER);
	await adding;
	assert.equal(log.sent.length, 2);
	assert.equal(log.sent[0].request, log.sent[1].request);
	assert.equal(clock.timers.size, 0);
});

test("that one more probe fails too: then it waits", async () => {
	const made = bench();
	const { outbox, clock, log } = made;
	made.answer = () => {
		if (log.sent.length === 1) outbox.retry();
		return log.sent.length < 9 ? NO_ANSWER : GOOD;
	};
	await outbox.add({ box: "B1-56", text: "a" });
	assert.equal(log.sent.length, 2);
	assert.equal(clock.timers.size, 1);
});

test("an answer makes up for the news that the network is back", async () => {
	const { outbox, clock, log } = bench((request) => {
		if (request === "b") return NO_ANSWER;
		outbox.retry();
		return GOOD;
	});
	for (const request of ["a", "b"]) await outbox.store.add({ box: "B1-56", text: request, request, at: 1 });
	await outbox.send();
	assert.deepEqual(
		log.sent.map(({ request }) => request),
		["a", "b"],
	);
	assert.equal(clock.timers.size, 1);
});

test("each scan that has to wait is shown and signalled at once, an outage once", async () => {
	const { outbox, log, clock } = bench(() => NO_ANSWER);
	await outbox.add({ box: "B1-56", text: "a" });
	const before = log.changes;
	assert.deepEqual([log.failures, log.waits], [[0], 0]);
	await outbox.add({ box: "B1-56", text: "b" });
	assert.ok(before > 0);
	assert.deepEqual([log.changes, log.waits], [before + 1, 1]);
	await clock.advance(10_000);
	assert.deepEqual([log.failures, log.waits], [[0], 1], "a further try is not a new outage");
});

test("a scan that is not answered soon is said to wait, once", async () => {
	const made = bench();
	const { outbox, clock, log } = made;
	let answer;
	made.answer = () =>
		new Promise((resolve) => {
			answer = resolve;
		});
	const adding = outbox.add({ box: "B1-56", text: "a" });
	await until(() => answer);
	await clock.advance(SLOW_MS - 1);
	assert.equal(log.waits, 0);
	await clock.advance(60_000);
	assert.equal(log.waits, 1);
	answer(GOOD);
	await adding;
	assert.deepEqual([log.waits, log.answered.length, clock.timers.size], [1, 1, 0]);
});

test("what is scanned while something is sent follows it", async () => {
	const made = bench();
	const { outbox, log, waiting } = made;
	let later;
	made.answer = (_, { text }) => {
		if (text === "a") later = outbox.add({ box: "B1-56", text: "b" });
		return GOOD;
	};
	await outbox.add({ box: "B1-56", text: "a" });
	await later;
	assert.deepEqual(
		log.sent.map(({ body }) => body.text),
		["a", "b"],
	);
	assert.equal(await waiting(), 0);
});

test("scanned all at once, sent one by one in the order of scanning", async () => {
	let underWay = 0;
	const { outbox, log } = bench(async () => {
		underWay += 1;
		assert.equal(underWay, 1, "one at a time");
		await new Promise(setImmediate);
		underWay -= 1;
		return GOOD;
	});
	const texts = Array.from({ length: 20 }, (_, nth) => `${nth}`);
	await Promise.all(texts.map((text) => outbox.add({ box: "B1-56", text })));
	await until(() => log.sent.length >= texts.length);
	assert.deepEqual(
		log.sent.map(({ body }) => body.text),
		texts,
	);
});

test("a lost answer and a page opened again: the same scan, the same request id", async () => {
	const factory = new IDBFactory();
	const before = bench(() => NO_ANSWER, factory);
	await before.outbox.add({ box: "B1-56", text: "a" });
	const after = bench(() => GOOD, factory);
	await after.outbox.retry();
	assert.deepEqual(
		after.log.sent.map(({ request }) => request),
		[before.log.sent[0].request],
	);
	assert.deepEqual(after.log.answered, [before.log.sent[0].request]);
	assert.equal(await after.waiting(), 0);
});

test("what the desk refuses is kept for a person, and what comes after it is sent", async () => {
	const { outbox, log, waiting } = bench((_, { text }) => (text === "a" ? refusal(409, "Not this box.") : GOOD));
	await outbox.add({ box: "B1-56", text: "a" });
	await outbox.add({ box: "B1-56", text: "b" });
	assert.deepEqual(
		log.sent.map(({ body }) => body.text),
		["a", "b"],
	);
	assert.deepEqual(log.refused, ["Not this box."]);
	assert.equal(await waiting(), 1);
	assert.equal((await outbox.store.all())[0].refused, "Not this box.");
});

test("the fate of a scan by the status of the answer, as RFC 9110 (15.3, 15.5, 15.6) and RFC 6585 mean them", () => {
	const of = (status, failedBefore) => fate({ ok: status >= 200 && status < 300, status }, failedBefore);
	for (const status of [200, 201]) assert.equal(of(status), "done", `${status}`);
	// Of the scan itself: the same request would be refused again.
	for (const status of [400, 404, 405, 409, 410, 411, 413, 414, 415, 422, 431])
		assert.equal(of(status), "aside", `${status}`);
	// Of the browser or of the moment: sent again, however often.
	for (const status of [0, 401, 403, 408, 425, 429, 503]) {
		assert.deepEqual([of(status), of(status, true)], ["later", "later"], `${status}`);
	}
	for (const status of [500, 501, 502, 504, 507]) {
		assert.deepEqual([of(status), of(status, true)], ["later", "aside"], `${status}`);
	}
});

test("what the desk fails at twice is set aside, and the rest goes on; also over a page opened again", async () => {
	const factory = new IDBFactory();
	const answer = (_, { text }) => (text === "odd" ? refusal(500, "It had an error.") : GOOD);
	const { outbox, log, clock, waiting } = bench(answer, factory);
	await outbox.add({ box: "B1-56", text: "odd" });
	await outbox.add({ box: "B1-56", text: "b" });
	assert.deepEqual([log.failures, log.refused, await waiting()], [[500], [], 2]);
	await clock.advance(FIRST_RETRY_MS);
	assert.deepEqual([log.refused, await waiting(), log.answered.length], [["It had an error."], 1, 1]);
	const again = bench(answer, factory);
	await again.outbox.retry();
	assert.equal(again.log.sent.length, 0, "it waits for a person");
	const before = new IDBFactory();
	const first = bench(answer, before);
	await first.outbox.add({ box: "B1-56", text: "odd" });
	const second = bench(answer, before);
	await second.outbox.retry();
	assert.deepEqual([second.log.sent.length, second.log.refused.length], [1, 1]);
});

test("an odd answer without a sentence is set aside too", async () => {
	const { outbox, log } = bench(() => ({ ok: false, status: 422, body: {} }));
	await outbox.add({ box: "B1-56", text: "a" });
	assert.equal(log.refused.length, 1);
	assert.ok((await outbox.store.all())[0].refused);
});

test("which answers are the last word, and after which a scan waits", async () => {
	for (const status of [400, 413, 422]) {
		const { outbox, log, waiting } = bench(() => refusal(status, "no"));
		await outbox.add({ box: "B1-56", text: "a" });
		assert.deepEqual([log.refused, await waiting()], [["no"], 1], `${status}`);
	}
	for (const status of [0, 401, 403, 500, 503]) {
		const { outbox, log, waiting, clock } = bench(() => refusal(status, "no"));
		await outbox.add({ box: "B1-56", text: "a" });
		assert.deepEqual([log.failures, await waiting(), clock.timers.size], [[status], 1, 1], `${status}`);
	}
});

test("a picture that the browser has lost is not sent empty", async () => {
	const factory = new IDBFactory();
	const { outbox, log } = bench(() => GOOD, factory);
	await outbox.store.add({ box: "B1-56", request: "p", at: 1 }, { bytes: new ArrayBuffer(1), type: "" });
	await new Promise((resolve) => {
		factory.open("intake").onsuccess = ({ target: { result: database } }) => {
			const change = database.transaction("pictures", "readwrite");
			change.objectStore("pictures").clear();
			change.oncomplete = () => resolve(database.close());
		};
	});
	await outbox.retry();
	assert.deepEqual(log.sent, []);
	assert.equal(log.refused.length, 1);
	assert.ok((await outbox.store.all())[0].refused);
});
