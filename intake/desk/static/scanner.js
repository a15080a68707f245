// A handheld scanner types wherever the focus is, faster than a person can: five characters, then Enter or Tab, are a scan.

// On average a scanner's keys follow each other faster than this, a person's never do.
export const FAST_MS = 45;
// A busy device may deliver one key late: only a longer pause begins something new, unless what came before it and after it
// is a label or a book's number only together.
const PAUSE_MS = 150;
const LONGEST_PAUSE_MS = 1000;
// So late Enter may come after a whole label or number; a person needs longer to see what came, and to press it.
const LATE_END_MS = 350;
// More keys in a row are a person's, of which only the latest may be a scan.
const MOST_KEYS = 200;
const SHORTEST_SCAN = 5;
// What ends without Enter or Tab is a scan only if it is as long as a book's number, and went into no field.
const SHORTEST_UNENDED = 8;
const TYPED_IN = "input, select, textarea";
const CONTROLS = `${TYPED_IN}, button, a, summary, [role=option]`;

// Whether digits are a number with the check digit of EAN and UPC (GS1 General Specifications, 7.9), or of an ISBN of ten.
function isNumber(text) {
	if (/^\d{9}[\dX]$/i.test(text)) {
		const sum = [...text].reduce(
			(total, digit, nth) => total + (10 - nth) * (/x/i.test(digit) ? 10 : Number(digit)),
			0,
		);
		return sum % 11 === 0;
	}
	if (!/^(\d{8}|\d{12,13})$/.test(text)) return false;
	const sum = [...text].reverse().reduce((total, digit, nth) => total + (nth % 2 ? 3 : 1) * Number(digit), 0);
	return sum % 10 === 0;
}

// Whether a text can only be whole: a label or flag of the collection, or a book's number.
export const isWhole = (text) => isLabel(text) || isNumber(text.replaceAll("-", ""));
const isLabel = (text) => /^[ABS]\d+-\d\d$/i.test(text);
// What is left of a longer number may by chance be a good one of eight or ten digits.
const isSurelyWhole = (text) => isLabel(text) || (isNumber(text) && text.length > 10);

export class Burst {
	// The keys of the present or latest row: {key, at} in milliseconds, and what each field held before the key.
	#keys = [];
	#open = false;
	#ended = Number.NEGATIVE_INFINITY;
	// When the latest key was dealt with: a busy page may make the next one late.
	#dealt = Number.NEGATIVE_INFINITY;

	// Takes a key. Returns {text, keys} if it ends a scan, with the keys of the scan; else null.
	press({ key, timeStamp, ctrlKey, metaKey, altKey, repeat }, now = timeStamp) {
		const since = this.#open ? timeStamp - this.#keys.at(-1).at : Number.POSITIVE_INFINITY;
		const dealt = this.#dealt;
		this.#dealt = now;
		if (key.length === 1 && !ctrlKey && !metaKey && !altKey && !repeat) {
			if (since >= LONGEST_PAUSE_MS) this.#keys = [];
			this.#open = true;
			this.#keys.push({ key, at: timeStamp, before: new Map() });
			if (this.#keys.length > MOST_KEYS) this.#keys.shift();
			return null;
		}
		if (key === "Shift") return null;
		const scan = ["Enter", "Tab"].includes(key) ? this.#ends(since, timeStamp - dealt) : null;
		this.#open = false;
		if (scan) this.#ended = timeStamp;
		return scan;
	}

	#ends(since, sinceDealt) {
		const isLate = since >= LATE_END_MS && sinceDealt >= PAUSE_MS;
		if (since >= LONGEST_PAUSE_MS || isLate) return null;
		const scan = this.#scan(SHORTEST_SCAN);
		return scan && (since < PAUSE_MS || isWhole(scan.text)) ? scan : null;
	}

	// The latest key of the present row.
	get latest() {
		return this.#open ? this.#keys.at(-1) : undefined;
	}

	// How many keys have come in a row.
	get length() {
		return this.#open ? this.#keys.length : 0;
	}

	// Ends the row: a person did something else.
	close() {
		this.#open = false;
	}

	// The keys that are not yet a scan, with their times by the clock of the machine, to go on with on the next page.
	cut(origin) {
		return this.#open ? this.#keys.map(({ key, at }) => ({ key, at: origin + at })) : [];
	}

	resume(keys, origin) {
		for (const { key, at } of keys) this.press({ key, timeStamp: at - origin });
	}

	// What came in a row without an end, if it can only be a scan; it is taken once.
	takeUnended() {
		const scan = this.#open ? this.#scan(SHORTEST_UNENDED) : null;
		if (scan) this.#open = false;
		return scan;
	}

	// When the row began that a key ends, without a pause that only a person makes.
	#began(at) {
		const keys = this.#open ? this.#keys : [];
		return keys.reduceRight((next, key) => (next - key.at < FAST_MS ? key.at : next), at);
	}

	// The row that Enter or Tab ends, if it began before or as the page could first hear: {text, keys} of what was heard.
	amidOpening({ key, timeStamp, repeat }, opened) {
		if (!["Enter", "Tab"].includes(key) || repeat || this.isTail({ key, timeStamp })) return null;
		const began = this.#began(timeStamp);
		if (began >= opened + PAUSE_MS) return null;
		const keys = this.#open ? this.#keys.filter((each) => each.at >= began || each.at < 0) : [];
		return { text: keys.map((each) => each.key).join(""), keys };
	}

	// What of a scan came before this page, and was never ended on it; nothing where there is none.
	takeCarried() {
		if (!this.#open || this.latest.at >= 0 || !this.#isFast(0)) return "";
		this.#open = false;
		return this.#from(0);
	}

	// Whether a key belongs to a scan that has just ended: some scanners send two keys at the end.
	isTail({ key, timeStamp }) {
		return !this.#open && ["Enter", "Tab"].includes(key) && timeStamp - this.#ended < PAUSE_MS;
	}

	#scan(shortest) {
		const begin = this.#begin();
		if (begin < 0 || this.#keys.length - begin < shortest) return null;
		return { text: this.#from(begin), keys: this.#keys.slice(begin) };
	}

	#from(begin) {
		return this.#keys
			.slice(begin)
			.map(({ key }) => key)
			.join("");
	}

	#gap(nth) {
		return this.#keys[nth].at - this.#keys[nth - 1].at;
	}

	// Where the scan begins among the keys that came in a row: a person may have typed right before it. -1 for no scan.
	#begin() {
		const slow = [...this.#keys.keys()].filter((nth) => nth > 0 && this.#gap(nth) >= FAST_MS);
		const whole = [0, ...slow].find((nth) => isWhole(this.#from(nth)) && this.#isMostlyFast(nth));
		if (whole !== undefined) return whole;
		const first = slow.findLast((nth) => this.#gap(nth) >= PAUSE_MS) ?? 0;
		const after = slow.filter((nth) => nth > first && this.#isFast(nth));
		// Letters, a pause that a scanner makes once at most, and then figures only: the letters are the person's.
		const figures = after.find(
			(nth) =>
				this.#keys.length - nth >= SHORTEST_UNENDED &&
				/\D/.test(this.#keys[nth - 1].key) &&
				/^\d+$/.test(this.#from(nth)),
		);
		const last = after.findLast((nth) => this.#keys.length - nth >= SHORTEST_SCAN);
		return figures ?? (this.#isFast(first) ? first : (last ?? -1));
	}

	#isFast(begin) {
		const count = this.#keys.length - begin;
		return count > 1 && (this.#keys.at(-1).at - this.#keys[begin].at) / (count - 1) < FAST_MS;
	}

	// A page that is busy with the answer before makes some keys late, however fast the scanner sends them.
	#isMostlyFast(begin) {
		const gaps = [...this.#keys.keys()].slice(begin + 1).map((nth) => this.#gap(nth));
		return gaps.filter((gap) => gap < FAST_MS).length > gaps.length / 2;
	}

	// Whether a key pressed at a time was one of a fast burst: a scanner's, not a person's.
	includes(timeStamp) {
		const begin = this.#begin();
		return begin >= 0 && this.#keys[begin].at <= timeStamp && timeStamp <= this.#keys.at(-1).at;
	}
}

// What a field holds before a key, to be given back to it exactly.
function kept(field, value = field.value) {
	if (!field.matches(TYPED_IN) || ["checkbox", "file"].includes(field.type)) return () => undefined;
	if (field.type === "radio") {
		const radios = [...(field.form ?? field.ownerDocument).querySelectorAll("input[type=radio]")];
		const chosen = radios.filter(({ checked }) => checked);
		return () => {
			for (const radio of radios) radio.checked = chosen.includes(radio);
		};
	}
	const { selectionStart: from, selectionEnd: to } = field;
	return () => {
		if (field.value === value) return;
		field.value = value;
		if (Number.isInteger(from)) field.setSelectionRange?.(from, to); // a field for a date or a number has no caret
		field.dispatchEvent(new Event("input", { bubbles: true }));
	};
}

function keep(key, field, value) {
	if (key && !key.before.has(field)) key.before.set(field, kept(field, value));
}

// Takes a scan out of the fields that its keys went into, whichever they were.
function giveBack(keys) {
	const first = new Map();
	for (const { before } of keys) for (const [field, back] of before) if (!first.has(field)) first.set(field, back);
	for (const back of first.values()) back();
}

// Whether Enter or Tab alone may be a person's, without any key before it.
const mayPress = ({ target, key }) =>
	key === "Tab" || (target.matches(TYPED_IN) ? target.value : target.closest(CONTROLS));

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

const CUT = "keys of a scan that a page was opened amid";

// When the page had been painted first, in milliseconds since it was begun: until then a browser may drop keys.
const painted = () => globalThis.performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0;

// Goes on with the keys that came before this page's script ran: on the page before, and while this one was opened.
function goOn(burst, press) {
	const { sessionStorage: storage, early = [], performance } = globalThis;
	burst.resume(JSON.parse(storage?.getItem(CUT) ?? "[]"), performance.timeOrigin);
	storage?.removeItem(CUT);
	for (const { event, value } of early.splice(0)) press(event, value);
	globalThis.document?.removeEventListener("keydown", globalThis.hearEarly, true);
	globalThis.addEventListener?.("pagehide", () => {
		const keys = burst.cut(performance.timeOrigin);
		if (keys.length) storage?.setItem(CUT, JSON.stringify(keys));
	});
}

// Listens to a page's keys. What is typed where no field is goes to the field(), if there is one. Of a scan that came while
// the page was opened some keys may be lost: what is not surely whole is given to onCut.
export function listen(
	page,
	onScan,
	{ onCut = () => undefined, field = () => null, timers = globalThis, opened = painted } = {},
) {
	const burst = new Burst();
	let waiting = null;
	const take = ({ text, keys }, target) => {
		giveBack(keys);
		if (isAskedFor(target, text)) fill(target, text);
		else onScan(text);
	};
	const press = (event, value) => {
		const { target, key } = event;
		const amid = burst.amidOpening(event, opened());
		const scan = burst.isTail(event) ? "" : burst.press(event, globalThis.performance.now());
		timers.clearTimeout(waiting);
		if (amid && !(scan ? isSurelyWhole(scan.text) : !amid.text && mayPress(event))) {
			event.preventDefault();
			event.stopPropagation();
			giveBack(amid.keys);
			onCut(amid.text);
			return;
		}
		if (scan !== null) {
			event.preventDefault();
			event.stopPropagation();
			if (scan) take(scan, target);
			return;
		}
		if (key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey) return;
		// A space in a scan presses no button.
		if (key === " " && burst.length > 1 && !target.matches(TYPED_IN)) event.preventDefault();
		let at = target;
		if (field() && key !== " " && !target.closest(CONTROLS)) {
			at = field();
			at.focus();
		}
		keep(burst.latest, at, value);
		if (at.matches(TYPED_IN)) return;
		waiting = timers.setTimeout(() => {
			const unended = burst.takeUnended();
			if (unended) take(unended, target);
		}, PAUSE_MS + FAST_MS);
	};
	page.addEventListener("keydown", (event) => press(event), true);
	// An answer may have moved the focus between the key and its character.
	page.addEventListener(
		"beforeinput",
		({ target, inputType }) => inputType === "insertText" && keep(burst.latest, target),
		true,
	);
	page.addEventListener("pointerdown", () => burst.close(), true);
	goOn(burst, press);
	const tellCarried = () => {
		const heard = burst.takeCarried();
		if (heard) onCut(heard);
	};
	if (burst.latest) timers.setTimeout(tellCarried, LONGEST_PAUSE_MS);
	return burst;
}
