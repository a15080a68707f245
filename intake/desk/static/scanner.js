// A handheld scanner types wherever the focus is, faster than a person can: five characters, then Enter or Tab, are a scan.

// On average a scanner's keys follow each other faster than this, a person's never do.
export const FAST_MS = 45;
// A busy device may deliver one key late: only a longer pause begins something new.
const PAUSE_MS = 150;
const SHORTEST_SCAN = 5;
// What ends without Enter or Tab is a scan only if it is as long as a book's number, and went into no field.
const SHORTEST_UNENDED = 8;
const TYPED_IN = "input, select, textarea";
const CONTROLS = `${TYPED_IN}, button, a, summary, [role=option]`;

export class Burst {
	// The keys of the present or latest burst, and the time of each in milliseconds.
	#keys = [];
	#times = [];
	#open = false;
	#ended = Number.NEGATIVE_INFINITY;

	// Takes a key. Returns {text, head} if it ends a scan, with what a person typed just before it as head; else null.
	press({ key, timeStamp, ctrlKey, metaKey, altKey, repeat }) {
		const goesOn = this.#open && timeStamp - this.#times.at(-1) < PAUSE_MS;
		if (key.length === 1 && !ctrlKey && !metaKey && !altKey && !repeat) {
			if (!goesOn) {
				this.#keys = [];
				this.#times = [];
			}
			this.#open = true;
			this.#keys.push(key);
			this.#times.push(timeStamp);
			return null;
		}
		if (key === "Shift") return null;
		const scan = goesOn && ["Enter", "Tab"].includes(key) ? this.#scan(SHORTEST_SCAN) : null;
		this.#open = false;
		if (scan) this.#ended = timeStamp;
		return scan;
	}

	// How many keys have come in a row.
	get length() {
		return this.#open ? this.#keys.length : 0;
	}

	// What came in a row without an end, if it can only be a scan; it is taken once.
	takeUnended() {
		const scan = this.#open ? this.#scan(SHORTEST_UNENDED) : null;
		if (scan) this.#open = false;
		return scan;
	}

	// Whether a key belongs to a scan that has just ended: some scanners send two keys at the end.
	isTail({ key, timeStamp }) {
		return !this.#open && ["Enter", "Tab"].includes(key) && timeStamp - this.#ended < PAUSE_MS;
	}

	#scan(shortest) {
		const begin = this.#begin();
		if (begin < 0 || this.#keys.length - begin < shortest) return null;
		return { text: this.#keys.slice(begin).join(""), head: this.#keys.slice(0, begin).join("") };
	}

	// Where the scan begins among the keys that came in a row: a person may have typed right before it. -1 for no scan.
	#begin() {
		const slow = [...this.#keys.keys()].filter((nth) => nth > 0 && this.#times[nth] - this.#times[nth - 1] >= FAST_MS);
		const after = slow.filter((nth) => this.#isFast(nth));
		// Letters, a pause that a scanner makes once at most, and then figures only: the letters are the person's.
		const figures = after.find(
			(nth) =>
				this.#keys.length - nth >= SHORTEST_UNENDED &&
				/\D/.test(this.#keys[nth - 1]) &&
				this.#keys.slice(nth).every((key) => /\d/.test(key)),
		);
		const last = after.findLast((nth) => this.#keys.length - nth >= SHORTEST_SCAN);
		return figures ?? (this.#isFast(0) ? 0 : (last ?? -1));
	}

	#isFast(begin) {
		const count = this.#keys.length - begin;
		return count > 1 && (this.#times.at(-1) - this.#times[begin]) / (count - 1) < FAST_MS;
	}

	// Whether a key pressed at a time was one of a fast burst: a scanner's, not a person's.
	includes(timeStamp) {
		const begin = this.#begin();
		return begin >= 0 && this.#times[begin] <= timeStamp && timeStamp <= this.#times.at(-1);
	}
}

// What a field held before a burst, to be given back to it.
function kept(field) {
	if (!field.matches(TYPED_IN) || ["radio", "checkbox", "file"].includes(field.type)) return () => undefined;
	const { value, selectionStart: from, selectionEnd: to } = field;
	return (head) => {
		const isText = Number.isInteger(from); // a field for a date or a number has no caret
		const text = isText ? value.slice(0, from) + head + value.slice(head ? to : from) : value + head;
		if (field.value === text) return;
		field.value = text;
		if (isText) field.setSelectionRange?.(from + head.length, from + head.length);
		field.dispatchEvent(new Event("input", { bubbles: true }));
	};
}

// Which label a text is: "B" of a box, "S" of a shelf; undefined for anything else.
export const labelKind = (text) => /^\s*([BS])[\s-]*\d+-\d\d\s*$/i.exec(text)?.[1].toUpperCase();

// Whether a field asks for what was scanned: a shelf's label, or a copy.
export function isAskedFor(field, text) {
	const label = labelKind(text);
	if (field.dataset?.scan === "shelf") return label === "S";
	return field.dataset?.scan === "copy" && label === undefined;
}

// Fills a field that asks for it, and goes on to the next that does; after the last the form is sent.
function fill(field, text) {
	field.value = text;
	field.dispatchEvent(new Event("input", { bubbles: true }));
	const next = [...field.form.querySelectorAll("[data-scan]")].find((each) => each.value === "");
	if (next) next.focus();
	else field.form.requestSubmit();
}

// Listens to a page's keys. What is typed where no field is goes to the field, if there is one.
export function listen(page, onScan, { field = null, timers = globalThis } = {}) {
	const burst = new Burst();
	let before = new Map();
	let waiting = null;
	const take = ({ text, head }, target) => {
		for (const giveBack of before.values()) giveBack(head);
		if (isAskedFor(target, text)) fill(target, text);
		else onScan(text);
	};
	page.addEventListener(
		"keydown",
		(event) => {
			const { target, key } = event;
			const scan = burst.isTail(event) ? "" : burst.press(event);
			timers.clearTimeout(waiting);
			if (scan !== null) {
				event.preventDefault();
				event.stopPropagation();
				if (scan) take(scan, target);
				return;
			}
			if (key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey) return;
			if (burst.length === 1) before = new Map();
			// A space in a scan presses no button.
			if (key === " " && burst.length > 1 && !target.matches(TYPED_IN)) event.preventDefault();
			let at = target;
			if (field && key !== " " && !target.closest(CONTROLS)) {
				field.focus();
				at = field;
			}
			if (!before.has(at)) before.set(at, kept(at));
			if (at.matches(TYPED_IN)) return;
			waiting = timers.setTimeout(() => {
				const unended = burst.takeUnended();
				if (unended) take(unended, target);
			}, PAUSE_MS + FAST_MS);
		},
		true,
	);
	return burst;
}
