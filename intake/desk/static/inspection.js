// The facts about a copy that need a person: condition, jacket, wrapping, printing, and pictures of damage.

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
	const answer = await post(`/api/photograph?copy=${encodeURIComponent(input.dataset.copy)}`, file);
	input.value = "";
	report(answer.body.sentence ?? "The picture could not be sent. Take it again.");
	return answer;
}

// The form of facts below an answer. The answers come and go, so the place where they appear listens.
export class Inspection {
	#touched = false;

	constructor(place, { post, newId, signal, burst, onDone }) {
		Object.assign(this, { place, post, newId, signal, burst, onDone });
		place.addEventListener("submit", (event) => {
			if (event.target.id !== "facts") return;
			event.preventDefault();
			this.save(event.target);
		});
		place.addEventListener("keydown", (event) => this.press(event));
		place.addEventListener("input", (event) => {
			if (event.target.closest("#facts")) this.#touched = true;
		});
		place.addEventListener("change", (event) => {
			if (event.target.id === "damage") sendPicture(event.target, post, (words) => this.#report(words));
		});
	}

	open() {
		const facts = this.#part("facts-open");
		if (!facts) return;
		facts.open = true;
		facts.querySelector("input:not([type=hidden])").focus();
	}

	// Saves what was begun about a copy before another answer takes its place; says so in a sentence.
	async keep() {
		const form = this.#part("facts");
		if (!form || !this.#touched) return "";
		this.#touched = false;
		const fields = Object.fromEntries(new FormData(form));
		const answer = await this.#send(fields);
		if (answer.ok) return `What was entered about copy ${fields.copy} is saved.`;
		const why = answer.body.sentence ?? "The desk cannot be reached.";
		return `What was entered about copy ${fields.copy} is not saved. ${why}`;
	}

	#send(fields) {
		return this.post("/api/facts", { ...fields, request: this.newId() });
	}

	async save(form) {
		this.#touched = false;
		const answer = await this.#send(Object.fromEntries(new FormData(form)));
		this.#report(answer.body.sentence ?? "Not saved: the desk cannot be reached. Press Save again.");
		this.signal(answer.ok ? "good" : "stop");
		if (!answer.ok) {
			this.#touched = true;
			return;
		}
		this.#part("facts-open").open = false;
		this.onDone();
	}

	press(event) {
		const form = event.target.closest("#facts");
		if (!form || event.ctrlKey || event.metaKey || event.altKey) return;
		if (event.key === "Escape") {
			this.#part("facts-open").open = false;
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
			const choice = this.burst.includes(timeStamp) ? null : choiceFor(form, key);
			if (!choice) return;
			choice.checked = true;
			this.#touched = true;
			choice.focus();
		}, FAST_MS + 15);
	}

	#part(id) {
		return this.place.querySelector(`#${id}`);
	}

	#report(words) {
		const place = this.#part("facts-message");
		if (place) place.textContent = words;
	}
}
