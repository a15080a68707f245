// The open box's list, kept in this browser: while the desk cannot be reached, a scan is answered from it at once, as not
// yet booked. The desk books it when it has it, and its answer counts.

const KEY = "box-list:";

const plain = (text) => text.toUpperCase().replace(/[\s-]/g, "");

// The 13 digits that an ISBN-10 stands for (ISO 2108); any other text as it is.
export function thirteen(text) {
	const number = plain(text);
	if (!/^\d{9}[\dX]$/.test(number)) return number;
	const body = `978${number.slice(0, 9)}`;
	const sum = [...body].reduce((total, digit, nth) => total + Number(digit) * (nth % 2 ? 3 : 1), 0);
	return `${body}${(10 - (sum % 10)) % 10}`;
}

// What the list has under a scan that is not among those taken for earlier scans: {line, alike}, or null for nothing.
export function lookUp(lines, text, taken = new Set()) {
	const number = thirteen(text);
	// A scanner may read the add-on of five or two digits with the number.
	const is = (line) =>
		plain(line.copy) === number ||
		(line.number &&
			(plain(line.number) === number || (/^\d{15}$|^\d{18}$/.test(number) && number.startsWith(line.number))));
	const found = lines.filter(is);
	const line = found.find(({ copy }) => !taken.has(copy)) ?? null;
	return line ? { line, alike: found.length } : null;
}

// A number, or a label of the collection; anything else is words.
const isNumber = (text) => /^([\dX]{8,18}|[ABS]\d{3,})$/.test(plain(text));
const folded = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
const wordsOf = (text) => folded(text).match(/[\p{L}\p{N}]+/gu) ?? [];

// The only line whose title has all these words; null for none, or several.
function titled(lines, text, taken) {
	const words = wordsOf(text);
	const found = lines.filter(
		({ copy, title }) => !taken.has(copy) && words.every((word) => folded(title).includes(word)),
	);
	return words.length && found.length === 1 ? found[0] : null;
}

function missed(lines, text, taken) {
	if (isNumber(text)) return { line: null, sentence: "It is not on the list of this box as kept here." };
	const line = titled(lines, text, taken);
	return { line, sentence: line ? "Perhaps this one: the desk will tell." : "The desk will look for it by its title." };
}

// What is said of each waiting scan of a box, in their order: {scan, line, sentence}.
export function answers(scans, listOf) {
	const taken = new Set();
	return scans.map((scan) => {
		const lines = scan.text && scan.box ? listOf(scan.box) : null;
		const found = lines && lookUp(lines, scan.text, taken);
		if (!found) return { scan, ...(lines ? missed(lines, scan.text, taken) : { line: null, sentence: "" }) };
		taken.add(found.line.copy);
		const goes = found.line.goes ? `Probably goes to ${found.line.goes}.` : "Where it goes is told by the desk.";
		return { scan, line: found.line, sentence: goes };
	});
}

export function listOf(box, storage = globalThis.localStorage) {
	try {
		return JSON.parse(storage.getItem(KEY + box))?.lines ?? null;
	} catch {
		return null;
	}
}

export function forgetLists(storage = globalThis.localStorage) {
	for (const key of Object.keys(storage)) if (key.startsWith(KEY)) storage.removeItem(key);
}

// Fetches the list anew and keeps it, and forgets those of other boxes: the list of one box is small, of all it is not.
export async function keepList(box, storage = globalThis.localStorage, signal = undefined) {
	try {
		const answer = await fetch(`/api/box-list?${new URLSearchParams({ box })}`, { signal });
		if (!answer.ok) return;
		const list = await answer.text();
		forgetLists(storage);
		storage.setItem(KEY + box, list);
	} catch {
		/* the one that was kept last stays; a full or closed storage keeps none */
	}
}
