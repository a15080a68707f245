// The facts about a copy that need a person: condition, jacket, wrapping, printing, and pictures of damage.
import { button, element } from "./element.js";
import { FAST_MS } from "./scanner.js";

// One key each, while the focus is on one of the choices; a digit chooses a grade.
const KEYS = { j: ["has_jacket", "yes"], n: ["has_jacket", "no"], w: ["wrapped", "yes"], u: ["wrapped", "no"] };

export function choiceFor(form, key) {
	if (/^[1-9]$/.test(key)) return form.querySelectorAll("input[name=grade]")[key - 1];
	const [name, value] = KEYS[key] ?? [];
	return name && form.querySelector(`input[name=${name}][value=${value}]`);
}

// Sends the picture chosen in a file field, and reports in words what became of it.
export async function sendPicture(input, post, report) {
	const [file] = input.files;
	if (!file) return undefined;
	report("Sending the picture…");
	const { copy, note, damage } = input.dataset;
	const about = note ? `&note=${encodeURIComponent(note)}` : damage === undefined ? "" : "&damage=yes";
	const answer = await post(`/api/photograph?copy=${encodeURIComponent(copy)}${about}`, file);
	input.value = "";
	report(answer.body.sentence ?? "The picture could not be sent. Take it again.");
	return answer;
}

// The form of facts below an answer. The answers come and go, so the places where it may stand listen. An inspection that
// was begun stays on the screen: when another answer comes it is held in a place of its own until a person ends it.
export class Inspection {
	#touched = new WeakSet();

	constructor(place, held, { post, newId, signal, isScanned, onDone, onSaved = () => undefined }) {
		Object.assign(this, { place, held, post, newId, signal, isScanned, onDone, onSaved });
		for (const each of [place, held]) {
			each.addEventListener("submit", (event) => {
				if (!event.target.matches("[data-facts]")) return;
				event.preventDefault();
				this.save(event.target);
			});
			each.addEventListener("keydown", (event) => this.press(event));
			each.addEventListener("input", (event) => {
				const form = event.target.closest("[data-facts]");
				if (form) this.#touched.add(form);
			});
		}
		place.addEventListener("change", (event) => {
			if (event.target.matches("[data-damage]")) this.#photographDamage(event.target);
		});
	}

	// A picture alone reports nothing to the carrier: the way to report the damage stands beside what is said of it.
	async #photographDamage(input) {
		const report = this.place.querySelector("[data-facts-message]");
		const clean = this.place.querySelector("[data-clean]");
		const answer = await sendPicture(input, this.post, (words) => {
			if (report) report.textContent = words;
		});
		if (!answer?.ok) return;
		// One touch says that a book is as it was: not while its damage is photographed.
		clean?.remove();
		const href = answer.body.report;
		if (href) report?.append(" ", element("a", { href, className: "button main", textContent: "Report this damage" }));
	}

	open() {
		const facts = this.place.querySelector("[data-inspection]");
		if (!facts) return;
		facts.open = true;
		facts.querySelector("input:not([type=hidden])").focus();
	}

	// Whether anything is being noted that another page would lose.
	get begun() {
		return this.held.children.length > 0 || this.#begunPart !== null;
	}

	// The inspection beside the answer that was begun; null for none.
	get #begunPart() {
		const part = this.place.querySelector("[data-inspection]");
		return part?.open || this.#touched.has(part?.querySelector("[data-facts]")) ? part : null;
	}

	// Takes an inspection that was begun out of the way of the next answer; says so in a sentence, an empty one for none.
	hold() {
		const part = this.#begunPart;
		const form = part?.querySelector("[data-facts]");
		if (!form) return "";
		const { copy } = part.dataset;
		const focused = form.contains(document.activeElement) ? document.activeElement : null;
		const report = this.place.querySelector("[data-facts-message]");
		const heading = element("h2", { textContent: `Copy ${copy}, still being looked at` });
		const close = button("Close without saving", () => this.#end(sheet));
		const parts = [heading, part, report, close].filter(Boolean);
		const sheet = element("section", { className: "sheet act stack" }, ...parts);
		rename(part, copy);
		part.open = true;
		this.held.append(sheet);
		this.held.hidden = false;
		focused?.focus({ preventScroll: true });
		return `What you were noting about copy ${copy} stays open below.`;
	}

	#end(sheet) {
		sheet.remove();
		this.held.hidden = this.held.children.length === 0;
		this.onDone();
	}

	async save(form) {
		const sheet = this.held.contains(form) ? form.closest("section") : null;
		const report = (sheet ?? this.place).querySelector("[data-facts-message]");
		const fields = Object.fromEntries(new FormData(form));
		const answer = await this.post("/api/facts", { ...fields, request: this.newId() });
		if (report) report.textContent = answer.body.sentence ?? "Not saved: the desk cannot be reached. Press Save again.";
		this.signal(answer.ok ? "good" : answer.body.html ? "question" : "stop");
		// Another has changed the same copy meanwhile: the desk sends a form with both values. It has escaped what is in it.
		if (answer.body.html) form.outerHTML = answer.body.html;
		if (!answer.ok) return;
		this.#touched.delete(form);
		const part = form.closest("[data-inspection]");
		if (part) part.open = false;
		// One touch says that a book is clean; once anything is saved of it, it is not asked again.
		if (!sheet) this.place.querySelector("[data-clean]")?.remove();
		this.onSaved({ copy: fields.copy, grade: fields.grade, entry: answer.body.entry });
		if (sheet) this.#end(sheet);
		else this.onDone();
	}

	press(event) {
		const form = event.target.closest("[data-facts]");
		if (!form || event.ctrlKey || event.metaKey || event.altKey) return;
		if (event.key === "Escape") {
			form.closest("[data-inspection]").open = false;
			this.onDone();
		} else if (!event.target.matches("input[type=radio]")) return;
		else if (event.key === "Enter") {
			event.preventDefault();
			form.requestSubmit();
		} else this.#choose(form, event);
	}

	// Waits until it is clear whether a person or a scanner pressed the key.
	#choose(form, { key, timeStamp }) {
		setTimeout(() => {
			const choice = this.isScanned(timeStamp) ? null : choiceFor(form, key);
			if (!choice) return;
			choice.checked = true;
			this.#touched.add(form);
			choice.focus();
		}, FAST_MS + 15);
	}
}

// Gives the parts of an inspection names of their own: the next answer has the same.
export function rename(part, copy) {
	for (const attribute of ["id", "for", "list", "aria-describedby"]) {
		for (const each of part.querySelectorAll(`[${attribute}]`)) {
			each.setAttribute(attribute, `${each.getAttribute(attribute)}-${copy}`);
		}
	}
}
