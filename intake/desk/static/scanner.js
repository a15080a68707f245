// A handheld scanner types wherever the focus is, faster than a person can: six characters and Enter are a scan.

// On average a scanner's keys follow each other faster than this, a person's never do.
export const FAST_MS = 45;
// A busy device may deliver one key late: only a longer pause begins something new.
const PAUSE_MS = 150;
const SHORTEST_SCAN = 6;

export class Burst {
	#text = "";
	// Of the present or latest burst: its keys, and the times of its first and last in milliseconds.
	#count = 0;
	#first = 0;
	#last = 0;

	// Takes a key and returns what was scanned if it ends a scan, else "".
	press({ key, timeStamp, ctrlKey, metaKey, altKey }) {
		const goesOn = this.#text !== "" && timeStamp - this.#last < PAUSE_MS;
		if (key.length === 1 && !ctrlKey && !metaKey && !altKey) {
			if (!goesOn) {
				this.#text = "";
				this.#first = timeStamp;
			}
			this.#text += key;
			this.#count = this.#text.length;
			this.#last = timeStamp;
			return "";
		}
		if (key === "Shift") return "";
		const ends = key === "Enter" && goesOn && this.#count >= SHORTEST_SCAN && this.#fast;
		const scanned = ends ? this.#text : "";
		this.#text = "";
		return scanned;
	}

	get #fast() {
		return this.#count > 1 && (this.#last - this.#first) / (this.#count - 1) < FAST_MS;
	}

	// Whether a key pressed at a time was one of a fast burst: a scanner's, not a person's.
	includes(timeStamp) {
		return this.#fast && this.#first <= timeStamp && timeStamp <= this.#last;
	}
}

// Listens to a page's keys. Its text field sees to its own Enter; what is typed where no field is goes to it.
export function listen(page, field, onScan) {
	const burst = new Burst();
	const onKey = (event) => {
		const { target, key } = event;
		const scanned = burst.press(event);
		if (scanned && target !== field) {
			event.preventDefault();
			event.stopPropagation();
			if (target.matches("input")) target.value = target.value.replace(scanned, "");
			onScan(scanned);
			return;
		}
		if (key.length !== 1 || key === " " || event.ctrlKey || event.metaKey || event.altKey) return;
		if (!target.closest("input, select, textarea, button, a, summary, [role=option]")) field.focus();
	};
	page.addEventListener("keydown", onKey, true);
	return burst;
}
