// What was scanned goes to the desk in the order of scanning, one at a time, and leaves the store when the desk has
// answered. The request id of a scan stays the same however often it is sent, so the desk books it once.

import { newId } from "./request.js";

export const FIRST_RETRY_MS = 1000;
export const LONGEST_RETRY_MS = 60000;

// Whether an answer is the last word on a scan. A desk that is not reached, is busy, or no longer knows this browser may
// answer differently later; what it refuses (409) is kept until a person has seen it.
const settled = (answer) => answer.ok || [400, 413, 422].includes(answer.status);

export class Outbox {
	#sending = false;
	#added = false;
	#urgent = false;
	#failures = 0;
	#timer = null;

	// Calls back with onAnswer(answer, scan), onRefused(sentence), onFailure(answer), and onChange() when what waits has changed.
	constructor(store, post, { onAnswer, onRefused, onFailure, onChange }, timers = globalThis) {
		Object.assign(this, { store, post, onAnswer, onRefused, onFailure, onChange, timers });
	}

	// Keeps a scan {box, text} or a picture {bytes, type} and sends it, unless earlier ones wait for the next try.
	async add(scan, picture) {
		await this.store.add({ request: newId(), at: Date.now(), ...scan }, picture);
		if (this.#failures > 0) this.onChange();
		if (this.#timer === null) await this.send();
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
		const answer = await this.#deliver(scan);
		if (settled(answer)) {
			await this.store.remove(scan);
			this.onAnswer(answer, scan);
		} else if (answer.status === 409) {
			await this.store.change({ ...scan, refused: answer.body.sentence });
			this.onRefused(answer.body.sentence);
		} else {
			this.onFailure(answer);
			return this.#again();
		}
		this.#failures = 0;
		this.#urgent = false;
		return true;
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
		const { box, text, request } = scan;
		if (!scan.hasPicture) return this.post("/api/scan", { box, text, request });
		const picture = await this.store.picture(scan);
		if (!picture)
			return { ok: false, status: 409, body: { sentence: "This browser has lost the picture. Take it again." } };
		const blob = new Blob([picture.bytes], { type: picture.type || "application/octet-stream" });
		return this.post(`/api/picture?${new URLSearchParams({ box, request })}`, blob);
	}
}
