// What was scanned, in the order of scanning, taken one by one and by none but the first page that can: what follows a label
// belongs where the label leads, to the page that it opens. A scan is {request, text, place}, its place {box, shelf}.
import { newId } from "./request.js";
import { labelKind } from "./scanner.js";

const KEPT = "scans to be taken";

export class ScanQueue {
	#scans;
	#working = false;
	// Whether a label's page is being opened: it takes the rest.
	#leaving = false;
	// Where what is scanned belongs: {box, shelf}.
	place = {};

	// take(scan) resolves when a scan is answered, or kept for the desk, to whether the scans after it belong to this page;
	// those that belong nowhere, because the label before them led nowhere, are given to onLost(scan).
	constructor({ take, onLost, storage }) {
		Object.assign(this, { take, onLost, storage });
		this.#scans = JSON.parse(storage?.getItem(KEPT) ?? "[]");
	}

	get requests() {
		return this.#scans.map(({ request }) => request);
	}

	// Adds a scan, and returns its request id, under which it counts once.
	add(text) {
		const isAfterLabel = this.#leaving || this.#scans.some((scan) => labelKind(scan.text));
		const scan = { request: newId(), text, place: isAfterLabel ? null : this.place };
		this.#keep([...this.#scans, scan]);
		return scan.request;
	}

	leave() {
		this.#leaving = true;
	}

	// The label's page stands, with its place; or it could not be opened, and what was meant for it is lost.
	arrive(stands) {
		this.#leaving = false;
		if (!stands) this.#lose();
		return this.work();
	}

	#keep(scans) {
		this.#scans = scans;
		this.storage?.setItem(KEPT, JSON.stringify(scans));
	}

	async work() {
		if (this.#working) return;
		this.#working = true;
		try {
			while (this.#scans.length && !this.#leaving) {
				const [scan] = this.#scans;
				const isHere = await this.take({ ...scan, place: scan.place ?? this.place });
				this.#keep(this.#scans.filter(({ request }) => request !== scan.request));
				if (!isHere && !this.#leaving) this.#lose();
			}
		} finally {
			this.#working = false;
		}
	}

	#lose() {
		const next = this.#scans.findIndex((scan) => labelKind(scan.text));
		const lost = this.#scans.slice(0, next < 0 ? undefined : next).filter(({ place }) => !place);
		this.#keep(this.#scans.filter((scan) => !lost.includes(scan)));
		for (const scan of lost) this.onLost(scan);
	}
}
