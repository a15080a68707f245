import assert from "node:assert/strict";
import { test } from "node:test";
import { Awake, listenForSleep } from "../../../intake/desk/static/app.js";

test("the screen is kept on once, let go when nothing is touched, and kept anew after that", async () => {
	const asked = [];
	let waiting = null;
	const timers = {
		setTimeout: (work) => {
			waiting = work;
			return 1;
		},
		clearTimeout: () => undefined,
	};
	const wakeLock = {
		async request(kind) {
			const lock = { kind, released: false, release: async () => Object.assign(lock, { released: true }) };
			asked.push(lock);
			return lock;
		},
	};
	const awake = new Awake(wakeLock, timers);
	await awake.touch();
	await awake.touch();
	assert.equal(asked.length, 1);
	waiting();
	assert.equal(asked[0].released, true);
	await awake.touch();
	assert.equal(asked.length, 2);
});

test("a browser without wake lock, or one that refuses it, goes on", async () => {
	const timers = { setTimeout: () => 1, clearTimeout: () => undefined };
	await assert.doesNotReject(new Awake(undefined, timers).touch());
	await assert.doesNotReject(new Awake({ request: () => Promise.reject(new Error("low battery")) }, timers).touch());
});

test("a clock that has gone further than a timer would tells of a sleep", () => {
	let now = 0;
	let tick = null;
	let woken = 0;
	const timers = {
		setInterval: (work) => {
			tick = work;
		},
	};
	listenForSleep(
		() => {
			woken += 1;
		},
		() => now,
		timers,
	);
	now = 15000;
	tick();
	assert.equal(woken, 0);
	now += 3600000;
	tick();
	assert.equal(woken, 1);
});
