// What makes an app of the desk's pages: the service worker, a screen that stays on while scanning, and waking from sleep.
import { settled, wakeUp } from "./events.js";
import { forgetLists, keepList } from "./offline_list.js";
import { onPage } from "./page.js";

const AWAKE_MS = 10 * 60 * 1000;
const LOOK_MS = 15000;
const SLEPT_MS = 45000;
const SETTLE_MS = 1500;

// Resolves when all that the page names has come: what has not is in no list of what it has loaded.
const whole = () =>
	document.readyState === "complete" || new Promise((done) => addEventListener("load", done, { once: true }));

// The page and what it has loaded are kept from the first visit on.
async function keepPage() {
	if (!navigator.serviceWorker) return; // no TLS, and not the desk's own computer
	try {
		await navigator.serviceWorker.register("/worker.js");
		const [{ active }] = await Promise.all([navigator.serviceWorker.ready, whole()]);
		const loaded = performance.getEntriesByType("resource").map(({ name }) => name);
		active.postMessage({ keep: [...new Set([location.href, ...loaded])] });
	} catch {
		/* a certificate that the browser does not trust: the desk works without */
	}
}

// The screen stays on for ten minutes after the last touch or key, so that a phone beside the box does not fall asleep.
export class Awake {
	#lock = null;
	#timer = null;

	constructor(wakeLock, timers = globalThis) {
		Object.assign(this, { wakeLock, timers });
	}

	async touch() {
		this.timers.clearTimeout(this.#timer);
		this.#timer = this.timers.setTimeout(() => this.#release(), AWAKE_MS);
		if (this.#lock && !this.#lock.released) return;
		this.#lock = (await this.wakeLock?.request("screen").catch(() => null)) ?? null;
	}

	#release() {
		this.#lock?.release().catch(() => undefined);
		this.#lock = null;
	}
}

// A machine that slept is told by its clock: it has gone further than a timer would.
export function listenForSleep(woke, now = Date.now, timers = globalThis) {
	let last = now();
	timers.setInterval(() => {
		if (now() - last > SLEPT_MS) woke();
		last = now();
	}, LOOK_MS);
}

let awake = null;
if (globalThis.document) {
	awake = new Awake(navigator.wakeLock);
	listenForSleep(wakeUp);
	onPage(import.meta.url, begin);
	document.addEventListener("resume", wakeUp);
	document.addEventListener("submit", ({ target }) => {
		if (target.getAttribute("action") === "/sign-out") forgetLists();
	});
}

function begin(signal) {
	keepPage();
	const bench = document.getElementById("bench");
	if (!bench) return;
	const listen = (kind, heard) => document.addEventListener(kind, heard, { signal });
	const touch = () => document.hidden || awake.touch();
	for (const kind of ["pointerdown", "keydown", "visibilitychange"]) listen(kind, touch);
	const keep = () => keepList(bench.dataset.box, localStorage, signal);
	const renew = settled(keep, SETTLE_MS);
	keep();
	listen("desk:changed", renew);
	listen("desk:reached", renew);
}
