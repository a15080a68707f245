// What was scanned goes to the desk in the order of scanning, one at a time, and leaves the store when the desk has
// answered. The request id of a scan stays the same however often it is sent, so the desk books it once.

import { newId } from "./request.js";

export const FIRST_RETRY_MS = 1000;
export const LONGEST_RETRY_MS = 60000;

// A scan that is not answered after this time is said to wait.
export const SLOW_MS = 1500;

// Answers that are about this browser or this moment, not about the scan, and may be others later: it is to be paired
// anew (401, 403), too much or too early (408, 425, 429), busy (503). RFC 9110, 15.5 and 15.6; RFC 6585, 4; RFC 8470, 5.2.
const MAY_CHANGE = [0, 401, 403, 408, 425, 429, 503];

// What becomes of a scan by the desk's answer: it is "done", is set "aside" for a person to decide about, or is sent again
// "later". An error of the desk itself is tried twice: the second time it is taken to be the scan's.
export function fate({ ok, status }, failedBefore = false) {
	if (ok) return "done";
	if (MAY_CHANGE.includes(status)) return "later";
	return status < 500 || failedBefore ? "aside" : "later";
}

export class Outbox {
	#sending = false;
	#round = Promise.resolve();
	#added = false;
	#urgent = false;
	#failures = 0;
	#timer = null;

	// Calls back with onAnswer(answer, scan); onRefused(sentence, scan) for what is set aside; onFailure(answer) for the first of
	// several answers that may change; onWaiting() for each scan that is not answered at once; onChange() when what waits
	// has changed.
	constructor(store, post, { onAnswer, onRefused, onFailure, onWaiting, onChange }, timers = globalThis) {
		Object.assign(this, { store, post, onAnswer, onRefused, onFailure, onWaiting, onChange, timers });
	}

	// Keeps a scan {box or shelf, text} or a picture {bytes, type} and sends it, unless earlier ones wait for the next try.
	async add(scan, picture) {
		await this.keep(scan, picture);
		await this.#round;
	}

	// Keeps it, and begins to send it without waiting for the answer.
	async keep(scan, picture) {
		await this.store.add({ request: newId(), at: Date.now(), ...scan }, picture);
		if (this.#failures > 0) {
			this.onChange();
			this.onWaiting();
		}
		if (this.#timer === null) this.send();
	}

	// Resolves when everything kept is answered, or waits for the next try.
	get idle() {
		return this.#round;
	}

	// Sends at once what waits: the desk may be back.
	async retry() {
		this.#failures = 0;
		this.#urgent = this.#sending;
		await this.send();
	}

	async send() {
		this.#added = true;
		if (this.#sending) return;
		this.#round = this.#sendAll();
		await this.#round;
	}

	async #sendAll() {
		this.#sending = true;
		this.#urgent = false;
		this.timers.clearTimeout(this.#timer);
		this.#timer = null;
		try {
			while (await this.#sendNext());
		} finally {
			this.#sending = false;
		}
		this.onChange();
	}

	// Returns whether to go on.
	async #sendNext() {
		this.#added = false;
		const scan = await this.store.next();
		if (!scan) return this.#added;
		const answer = await this.#deliverInTime(scan);
		const now = fate(answer, scan.failed);
		if (now === "later") return this.#later(scan, answer);
		if (now === "aside") {
			const sentence = answer.body.sentence ?? "The desk did not take it, and did not say why.";
			await this.store.change({ ...scan, refused: sentence });
			this.onRefused(sentence, scan);
		} else {
			await this.store.remove(scan);
			this.onAnswer(answer, scan);
		}
		this.#failures = 0;
		this.#urgent = false;
		return true;
	}

	async #later(scan, answer) {
		if (answer.status >= 500 && answer.status !== 503) await this.store.change({ ...scan, failed: true });
		if (this.#failures === 0) this.onFailure(answer);
		return this.#again();
	}

	// Says that the scan waits where the answer is slow.
	async #deliverInTime(scan) {
		const slow = this.#failures === 0 ? this.timers.setTimeout(() => this.onWaiting(), SLOW_MS) : null;
		try {
			return await this.#deliver(scan);
		} finally {
			this.timers.clearTimeout(slow);
		}
	}

	#again() {
		const now = this.#urgent;
		this.#urgent = false;
		if (now) return true;
		const wait = Math.min(FIRST_RETRY_MS * 2 ** this.#failures, LONGEST_RETRY_MS);
		this.#failures += 1;
		this.#timer = this.timers.setTimeout(() => this.send(), wait);
		return false;
	}

	async #deliver(scan) {
		const { box, shelf, text, request } = scan;
		if (!scan.hasPicture) return this.post("/api/scan", { box, ...(shelf ? { shelf } : {}), text, request });
		const picture = await this.store.picture(scan);
		if (!picture)
			return { ok: false, status: 409, body: { sentence: "This browser has lost the picture. Take it again." } };
		const blob = new Blob([picture.bytes], { type: picture.type || "application/octet-stream" });
		return this.post(`/api/picture?${new URLSearchParams({ box, request })}`, blob);
	}
}
