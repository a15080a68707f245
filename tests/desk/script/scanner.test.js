// Telling a scanner's keys from a person's. The speeds are from memory: keyboard scanners send a key every 1 to 20 ms;
// a fast typist strikes one every 80 to 100 ms.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Burst, isWhole, listen } from "../../../intake/desk/static/scanner.js";
import { page } from "./page.js";

const NUMBER = "9789999812252";

// Presses keys, each some milliseconds after the one before; returns what the last one made of them.
function press(burst, keys, pauses, from = 1000) {
	let timeStamp = from;
	let scan = null;
	keys.forEach((key, nth) => {
		if (nth > 0) timeStamp += Array.isArray(pauses) ? pauses[nth - 1] : pauses;
		scan = burst.press({ key, timeStamp });
	});
	return { scanned: scan?.text ?? "", timeStamp };
}

test("a scanner's keys and Enter or Tab are a scan, at any of its speeds", () => {
	for (const pause of [0, 1, 5, 20, 40]) {
		for (const end of ["Enter", "Tab"]) {
			assert.equal(press(new Burst(), [...NUMBER, end], pause).scanned, NUMBER, `${pause} ms, ${end}`);
		}
	}
});

test("a person's keys are no scan", () => {
	for (const pause of [60, 80, 100, 140, 400]) {
		assert.equal(press(new Burst(), [...NUMBER, "Enter"], pause).scanned, "", `${pause} ms`);
	}
});

test("one late key does not cut the number", () => {
	for (let late = 0; late < NUMBER.length; late += 1) {
		const pauses = [...NUMBER].map((_, nth) => (nth === late ? 120 : 5));
		assert.equal(press(new Burst(), [...NUMBER, "Enter"], pauses).scanned, NUMBER, `key ${late + 1} late`);
	}
});

test("the shortest label is a scan, what is shorter is not; a key held down is a person's", () => {
	assert.equal(press(new Burst(), [..."S4-75", "Enter"], 5).scanned, "S4-75");
	assert.equal(press(new Burst(), [..."S4-7", "Enter"], 5).scanned, "");
	const burst = new Burst();
	for (let nth = 0; nth < 20; nth += 1) burst.press({ key: "5", timeStamp: 30 * nth, repeat: nth > 0 });
	assert.equal(burst.press({ key: "Enter", timeStamp: 600 }), null);
});

test("letters that a person typed just before a scan are no part of it", () => {
	const burst = new Burst();
	const { timeStamp } = press(burst, [..."gulls"], 110);
	assert.equal(press(burst, [...NUMBER, "Enter"], 5, timeStamp + 100).scanned, NUMBER);
	const long = "a long note that a person types";
	const more = new Burst();
	const last = press(more, [...long], 110).timeStamp;
	assert.equal(press(more, [..."B1-56", "Enter"], 5, last + 100).scanned, "B1-56");
});

test("a label or number that a busy page cuts at one key is whole, and so is one whose Enter is late", () => {
	for (const text of ["A47-33", "S3-84", NUMBER, "0306406152"]) {
		for (let late = 0; late < text.length - 1; late += 1) {
			const pauses = [...text].map((_, nth) => (nth === late ? 700 : 5));
			assert.equal(press(new Burst(), [...text, "Enter"], pauses).scanned, text, `${text}, key ${late + 1}`);
		}
		const pauses = [...text].map((_, nth) => (nth === text.length - 1 ? 300 : 5));
		assert.equal(press(new Burst(), [...text, "Enter"], pauses).scanned, text, `${text}, Enter`);
	}
	const burst = new Burst();
	for (const [nth, key] of [...NUMBER].entries()) burst.press({ key, timeStamp: 5 * nth }, 2000);
	assert.equal(burst.press({ key: "Enter", timeStamp: 900 }, 2000).text, NUMBER, "the page was busy until then");
});

// ISO 2108, 'ISBN-13' example 978-92-95055-02-5; the worked examples of GS1 (EAN-8 and GTIN-13) are from memory.
test("what is whole by its check digit or its form", () => {
	for (const text of [
		"A46-42",
		"b1-56",
		"9789295055025",
		"978-92-95055-02-5",
		"0-306-40615-2",
		"6291041500213",
		"96385074",
	])
		assert.ok(isWhole(text), text);
	for (const text of ["47-33", "AA48-24", "220370132", "9789295055024", "0306406153", "12"])
		assert.ok(!isWhole(text), text);
});

test("a scan that a page is opened amid goes on there", () => {
	const before = new Burst();
	press(before, [..."97899"], 5, 1000);
	const after = new Burst();
	after.resume(before.cut(50_000), 50_900);
	assert.equal(press(after, [..."99812252", "Enter"], 5, 420).scanned, NUMBER);
});

test("what comes without an end is a scan only if it is long and fast", () => {
	const unended = (text, pause) => {
		const burst = new Burst();
		press(burst, [...text], pause);
		return burst.takeUnended()?.text ?? "";
	};
	assert.equal(unended(NUMBER, 5), NUMBER);
	assert.equal(unended("S4-75", 5), "");
	assert.equal(unended(NUMBER, 60), "");
});

test("what a person typed before a pause is no part of a scan", () => {
	const burst = new Burst();
	const { timeStamp } = press(burst, [..."12"], 300);
	assert.equal(press(burst, [...NUMBER, "Enter"], 5, timeStamp + 200).scanned, NUMBER);
});

test("Shift belongs to a scan, other keys end it, and shortcuts are no characters", () => {
	assert.equal(press(new Burst(), ["Shift", "B", "Shift", ..."1-5600", "Enter"], 5).scanned, "B1-5600");
	assert.equal(press(new Burst(), [..."978", "ArrowLeft", ..."1234", "Enter"], 5).scanned, "");
	const burst = new Burst();
	for (const key of NUMBER) burst.press({ key, timeStamp: 0, ctrlKey: true });
	assert.equal(burst.press({ key: "Enter", timeStamp: 1 }), null);
});

test("two scans one after the other are two", () => {
	const burst = new Burst();
	const { scanned, timeStamp } = press(burst, [...NUMBER, "Enter"], 5);
	assert.equal(scanned, NUMBER);
	assert.equal(press(burst, [..."9789999812429", "Enter"], 5, timeStamp + 5).scanned, "9789999812429");
});

test("a key is known as a scanner's also after the scan ended, a person's as a person's", () => {
	const burst = new Burst();
	press(burst, [...NUMBER, "Enter"], 5, 1000);
	assert.ok(burst.includes(1000));
	assert.ok(burst.includes(1060));
	assert.ok(!burst.includes(999));
	press(burst, ["4"], 0, 3000);
	assert.ok(!burst.includes(3000));
	press(burst, ["4", "n", "u"], 100, 5000);
	assert.ok(!burst.includes(5100));
});

// A page with the field for numbers, a note and a button; `type` presses keys on one of them as a browser would.
function entry({ withField = true, opened = 0 } = {}) {
	const { document, Event } = page(
		'<input id="text"><input id="note"><textarea id="long"></textarea><button id="sound"></button><p id="words"></p>' +
			'<form id="form"><input id="copy" data-scan="copy"><input id="shelf" data-scan="shelf"></form>',
	);
	globalThis.Event = Event;
	const at = (id) => document.getElementById(id);
	for (const each of document.querySelectorAll("input, textarea")) each.value ??= "";
	const log = { scans: [], cut: [], focused: [], submitted: 0, timers: [] };
	for (const id of ["text", "shelf"]) at(id).focus = () => log.focused.push(id);
	Object.assign(at("form"), {
		requestSubmit: () => {
			log.submitted += 1;
		},
	});
	for (const id of ["copy", "shelf"]) Object.defineProperty(at(id), "form", { value: at("form") });
	const timers = { setTimeout: (work) => log.timers.push(work), clearTimeout: () => undefined };
	listen(document, (scanned) => log.scans.push(scanned), {
		...{ field: () => (withField ? at("text") : null), timers, opened: () => opened },
		onCut: (heard) => log.cut.push(heard),
	});
	let timeStamp = 1000;
	const type = (id, keys, { pause = 5, first = 100, ...more } = {}) => {
		let event;
		for (const [nth, key] of [...keys].entries()) {
			event = Object.assign(new Event("keydown", { bubbles: true, cancelable: true }), { key, ...more });
			timeStamp += nth ? pause : first;
			Object.defineProperty(event, "timeStamp", { value: timeStamp });
			at(id).dispatchEvent(event);
			const into = log.focused.at(-1) === "text" && id === "words" ? at("text") : at(id);
			if (!event.defaultPrevented && key.length === 1 && into.matches("input, textarea")) into.value += key;
		}
		return event;
	};
	return { at, log, type, Event };
}

test("of a scan that a page is opened amid, a part is told and never taken, nor left in a field", () => {
	// The page hears from 1100 ms on, when the first of these keys comes; all before it may have been lost.
	for (let lost = 0; lost <= NUMBER.length; lost += 1) {
		const { at, log, type } = entry({ opened: 1100 });
		const enter = type("note", [...NUMBER.slice(lost), "Enter"]);
		const whole = lost === 0;
		assert.deepEqual([log.scans, log.cut], whole ? [[NUMBER], []] : [[], [NUMBER.slice(lost)]], `${lost} lost`);
		assert.ok(enter.defaultPrevented);
		assert.equal(at("note").value, "");
	}
});

test("what a person types right after a page was opened, and scans a moment later, are what they are", () => {
	const { log, type, at } = entry({ opened: 1090 });
	assert.ok(!type("note", [..."gull", "Enter"], { pause: 90 }).defaultPrevented);
	assert.equal(at("note").value, "gull");
	type("note", [..."98-76", "Enter"], { first: 200 });
	assert.deepEqual([log.scans, log.cut], [["98-76"], []]);
	for (const [id, key, value] of [
		["note", "Enter", "pasted"],
		["sound", "Enter", ""],
		["words", "Tab", ""],
	]) {
		const soon = entry({ opened: 1090 });
		soon.at(id).value = value;
		assert.ok(!soon.type(id, [key]).defaultPrevented, `${key} alone in ${id}`);
		assert.deepEqual(soon.log.cut, []);
	}
	const held = entry({ opened: 1090 });
	assert.ok(!held.type("sound", ["Enter"], { repeat: true }).defaultPrevented, "Enter held from the page before");
	assert.deepEqual(held.log.cut, []);
});

test("keys carried over from the page before, whose rest was lost, are told", () => {
	for (const rest of [[], [..."12252", "Enter"]]) {
		globalThis.sessionStorage = {
			getItem: () =>
				JSON.stringify([..."97899"].map((key, nth) => ({ key, at: performance.timeOrigin - 60 + 5 * nth }))),
			removeItem: () => undefined,
		};
		const { log, type } = entry({ opened: 1080 });
		delete globalThis.sessionStorage;
		type("note", rest);
		for (const work of log.timers) work();
		assert.deepEqual([log.scans, log.cut], [[], [rest.length ? "12252" : "97899"]]);
	}
});

test("a scan on a button is taken, and the button is not pressed, also not by a second key at its end", () => {
	const { log, type } = entry();
	assert.ok(type("sound", [...NUMBER, "Enter"]).defaultPrevented);
	assert.ok(type("sound", ["Enter"], { first: 10 }).defaultPrevented);
	assert.ok(!type("sound", ["Enter"], { first: 400 }).defaultPrevented);
	assert.deepEqual([log.scans, log.focused], [[NUMBER], []]);
});

test("a scan into any field is taken, and the field keeps what was typed", () => {
	for (const id of ["text", "note", "long"]) {
		const { at, log, type } = entry();
		type(id, [..."torn"], { pause: 120 });
		const enter = type(id, [...NUMBER, "Enter"]);
		assert.ok(enter.defaultPrevented);
		type(id, [..." 3"], { pause: 300 });
		assert.deepEqual([log.scans, at(id).value], [[NUMBER], "torn 3"], id);
	}
});

test("a character that lands elsewhere than its key, because an answer moved the focus, is taken out there too", () => {
	const { at, log, type, Event } = entry();
	type("note", [..."97"]);
	const moved = Object.assign(new Event("beforeinput", { bubbles: true }), { inputType: "insertText" });
	at("long").dispatchEvent(moved);
	at("long").value += "7";
	at("note").value = "97";
	type("long", [...NUMBER.slice(2), "Enter"], { first: 5 });
	assert.deepEqual([log.scans, at("note").value, at("long").value], [[NUMBER], "", ""]);
});

test("a number in the note that a scan repeats is left there", () => {
	const { at, log, type } = entry();
	at("note").value = `as ${NUMBER}: `;
	type("note", [...NUMBER, "Enter"]);
	assert.deepEqual([log.scans, at("note").value], [[NUMBER], `as ${NUMBER}: `]);
});

test("what a person types, and ends with Enter or Tab, stays where it was typed", () => {
	for (const end of ["Enter", "Tab"]) {
		const { at, log, type } = entry();
		const ended = type("note", [...NUMBER, end], { pause: 70 });
		assert.deepEqual([log.scans, at("note").value, ended.defaultPrevented], [[], NUMBER, false]);
	}
});

test("a field that asks for a label or a copy gets it, and the form goes when all are there", () => {
	const { at, log, type } = entry();
	type("copy", [..."A1-59", "Enter"]);
	assert.deepEqual([at("copy").value, log.focused, log.submitted], ["A1-59", ["shelf"], 0]);
	type("shelf", [..."S4-75", "Enter"], { pause: 6 });
	assert.deepEqual([at("shelf").value, log.submitted, log.scans], ["S4-75", 1, []]);
	at("shelf").value = "";
	type("shelf", [...NUMBER, "Enter"]);
	assert.deepEqual([at("shelf").value, log.scans], ["", [NUMBER]], "a book is no shelf");
});

test("a scan without an end is taken where no field is, and stays in a field", () => {
	const { at, log, type } = entry({ withField: false });
	type("words", [...NUMBER]);
	log.timers.at(-1)();
	assert.deepEqual(log.scans, [NUMBER]);
	const before = log.timers.length;
	type("note", [...NUMBER], { pause: 6 });
	assert.deepEqual([log.scans, log.timers.length, at("note").value], [[NUMBER], before, NUMBER]);
});

test("what is typed where no field is goes to the field for numbers; a space and shortcuts do not", () => {
	const { log, type } = entry();
	type("words", [" ", "ArrowDown", "Tab"], { pause: 200, first: 200 });
	for (const held of ["ctrlKey", "metaKey", "altKey"]) type("words", ["c"], { [held]: true });
	assert.deepEqual(log.focused, []);
	type("words", ["c"], { first: 200 });
	assert.deepEqual(log.focused, ["text"]);
});

test("a slow Enter is a person's", () => {
	assert.equal(
		press(
			new Burst(),
			[...NUMBER, "Enter"],
			[...NUMBER].map((_, nth) => (nth === 12 ? 400 : 5)),
		).scanned,
		"",
	);
});
