// Telling a scanner's keys from a person's. The speeds are from memory: keyboard scanners send a key every 1 to 20 ms;
// a fast typist strikes one every 80 to 100 ms.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Burst, listen } from "../../../intake/desk/static/scanner.js";
import { page } from "./page.js";

const NUMBER = "9789999812252";

// Presses keys, each some milliseconds after the one before; returns what the last one made of them.
function press(burst, keys, pauses, from = 1000) {
	let timeStamp = from;
	let scanned = "";
	keys.forEach((key, nth) => {
		if (nth > 0) timeStamp += Array.isArray(pauses) ? pauses[nth - 1] : pauses;
		scanned = burst.press({ key, timeStamp });
	});
	return { scanned, timeStamp };
}

test("a scanner's keys and Enter are a scan, at any of its speeds", () => {
	for (const pause of [0, 1, 5, 20, 40]) {
		assert.equal(press(new Burst(), [...NUMBER, "Enter"], pause).scanned, NUMBER, `${pause} ms`);
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

test("six characters are a scan, five are not", () => {
	assert.equal(press(new Burst(), [..."S4-751", "Enter"], 5).scanned, "S4-751");
	assert.equal(press(new Burst(), [..."S4-75", "Enter"], 5).scanned, "");
});

test("what a person typed before a pause is no part of a scan", () => {
	const burst = new Burst();
	const { timeStamp } = press(burst, [..."12"], 300);
	assert.equal(press(burst, [...NUMBER, "Enter"], 5, timeStamp + 200).scanned, NUMBER);
});

test("Shift belongs to a scan, other keys end it, and shortcuts are no characters", () => {
	assert.equal(press(new Burst(), ["Shift", "B", "Shift", ..."1-5600", "Enter"], 5).scanned, "B1-5600");
	assert.equal(press(new Burst(), [..."978", "Tab", ..."12345", "Enter"], 5).scanned, "");
	const burst = new Burst();
	for (const key of NUMBER) burst.press({ key, timeStamp: 0, ctrlKey: true });
	assert.equal(burst.press({ key: "Enter", timeStamp: 1 }), "");
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

// A page with the field for numbers, a note and a button; `type` presses keys on one of them.
function entry() {
	const { document, Event } = page('<input id="text"><input id="note"><button id="sound"></button><p id="words"></p>');
	const at = (id) => document.getElementById(id);
	const log = { scans: [], focused: 0 };
	at("text").focus = () => {
		log.focused += 1;
	};
	listen(document, at("text"), (scanned) => log.scans.push(scanned));
	let timeStamp = 1000;
	const type = (id, keys, more = {}) => {
		let event;
		for (const key of keys) {
			event = Object.assign(new Event("keydown", { bubbles: true, cancelable: true }), { key, ...more });
			timeStamp += 5;
			Object.defineProperty(event, "timeStamp", { value: timeStamp });
			at(id).dispatchEvent(event);
		}
		return event;
	};
	return { at, log, type };
}

test("a scan on a button is taken, and the button is not pressed", () => {
	const { log, type } = entry();
	const enter = type("sound", [...NUMBER, "Enter"]);
	assert.deepEqual(log.scans, [NUMBER]);
	assert.ok(enter.defaultPrevented);
	assert.equal(log.focused, 0);
});

test("a scan into another field is taken out of it again", () => {
	const { at, log, type } = entry();
	at("note").value = `torn${NUMBER}`;
	type("note", [...NUMBER, "Enter"]);
	assert.deepEqual(log.scans, [NUMBER]);
	assert.equal(at("note").value, "torn");
});

test("the field for numbers sees to its own Enter", () => {
	const { log, type } = entry();
	const enter = type("text", [...NUMBER, "Enter"]);
	assert.deepEqual(log.scans, []);
	assert.ok(!enter.defaultPrevented);
});

test("what is typed where no field is goes to the field for numbers; a space and shortcuts do not", () => {
	const { log, type } = entry();
	type("words", [" ", "ArrowDown", "Tab"]);
	type("words", ["c"], { ctrlKey: true });
	type("words", ["c"], { metaKey: true });
	type("words", ["c"], { altKey: true });
	assert.equal(log.focused, 0);
	type("words", ["c"]);
	assert.equal(log.focused, 1);
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
