// The one place where the desk's answers appear, and what an answer offers: a decision, a step back, a shelf.
import { element } from "./element.js";

const paragraph = (textContent, className = "") => element("p", { textContent, className });

// Of several answers the most urgent kind is signalled.
export const worst = (answers) =>
	["stop", "question", "good"].find((kind) => answers.some((answer) => answer.kind === kind));

// How long the buttons of an answer wait that has taken the place of an open question: a finger may be on its way to one.
export const PAUSE_MS = 700;

export class AnswerPanel {
	#lastCopy = null;
	#open = [];

	// Before an answer goes, hold() takes the inspection begun beside it to a place of its own, and says so in a sentence;
	// an empty one where none was begun.
	// onShow gets the answers that stand in the place now; onResult what a press of a button made: {undo, query, copy} as they were sent, and the desk's answer as body.
	constructor(
		place,
		{
			post,
			newId,
			signal,
			onDone,
			onShow = () => undefined,
			onResult = () => undefined,
			hold = () => "",
			timers = globalThis,
		},
	) {
		Object.assign(this, { place, post, newId, signal, onDone, onShow, onResult, hold, timers });
		place.addEventListener("click", (event) => {
			const button = event.target.closest(
				"button[data-undo], button[data-option], button[data-shelf], button[data-unpack]",
			);
			if (!button) return;
			event.preventDefault(); // without scripts it sends its form
			if (!button.disabled) this.choose(button);
		});
	}

	// The last book scanned, which the label of a shelf may be meant for.
	get lastCopy() {
		return this.#lastCopy;
	}

	// Shows answers; `decided` is the query that they decide, which is no longer open.
	show({ body }, decided = null) {
		const answers = body.answers ?? [];
		if (!answers.length) {
			this.stop(body.sentence ?? "The desk gave no answer. Scan it again.");
			return;
		}
		const open = this.#open.filter((query) => query !== decided);
		this.#open = answers.filter(({ query }) => query).map(({ query }) => String(query));
		const held = this.hold();
		const kind = worst(answers);
		this.place.className = `sheet answer ${kind}`;
		// The desk has escaped what is in it; several books in one picture stand one below the other.
		this.place.innerHTML = answers.map((answer) => answer.html).join("<hr>");
		this.#remember(answers);
		this.#offerShelf();
		if (open.length) this.#leaveOpen(open);
		this.#sayHeld(held);
		this.onShow(answers);
		this.signal(kind);
	}

	// The last book scanned, for the label of a shelf; none while it waits for a decision.
	#remember(answers) {
		for (const { copy, query } of answers) {
			if (copy) this.#lastCopy = copy;
			else if (query) this.#lastCopy = null;
		}
	}

	// The button names the copy and keeps it: what is scanned later does not change whom it means.
	#offerShelf() {
		for (const button of this.place.querySelectorAll("[data-shelf][data-last]")) {
			button.hidden = !this.#lastCopy;
			if (this.#lastCopy) {
				button.dataset.copy = this.#lastCopy;
				button.textContent = `Copy ${this.#lastCopy} stands there now`;
			}
		}
		for (const words of this.place.querySelectorAll("[data-no-copy]")) words.hidden = Boolean(this.#lastCopy);
	}

	// Says that questions were left open, and lets no press that was meant for them reach what stands there now.
	#leaveOpen(queries) {
		const words = paragraph(
			queries.length === 1
				? "Left open, and waiting on the pile: query "
				: "Left open, and waiting on the pile: queries ",
			"small",
		);
		for (const [nth, query] of queries.entries()) {
			if (nth) words.append(", ");
			words.append(element("a", { href: `/pile/${query}`, textContent: query }));
		}
		this.place.append(words);
		const buttons = [...this.place.querySelectorAll("button")].filter((button) => !button.disabled);
		for (const button of buttons) button.disabled = true;
		this.timers.setTimeout(() => {
			for (const button of buttons) button.disabled = false;
		}, PAUSE_MS);
	}

	#sayHeld(sentence) {
		if (sentence) this.place.append(paragraph(sentence, "quiet small"));
	}

	stop(sentence) {
		const held = this.hold();
		this.place.className = "sheet answer stop";
		this.place.replaceChildren(paragraph("■ Stop", "mark"), paragraph(sentence));
		this.#sayHeld(held);
		this.signal("stop");
	}

	async choose(button) {
		button.disabled = true;
		const { undo, query, copy } = button.dataset;
		const [address, fields] = this.#order(button);
		const answer = await this.post(address, fields);
		if (answer.status === 0) {
			button.disabled = false;
			this.#warn("The desk did not answer. Press again when it is back; it counts once.");
		} else if (!answer.ok) {
			this.stop(answer.body.sentence);
		} else {
			if (undo) this.#lastCopy = null;
			this.onResult({ undo, query, copy, body: answer.body });
			if (answer.body.answers) this.show(answer, query);
			else this.#confirm(answer.body);
			this.onDone();
		}
	}

	// What a button sends, and where. A press that is repeated because no answer came is the same request.
	#order({ dataset }) {
		const { undo, shelf, unpack, copy, query, option } = dataset;
		if (undo) return ["/api/undo", { entry: undo }];
		if (query) return ["/api/decide", { query, option }];
		dataset.request ??= this.newId();
		const { request } = dataset;
		return unpack ? ["/api/scan", { box: unpack, text: copy, request }] : ["/api/shelve", { copy, shelf, request }];
	}

	// Says it above the answer, which stays for another try.
	#warn(sentence) {
		this.place.querySelector(".warning")?.remove();
		this.place.prepend(paragraph(sentence, "warning"));
		this.place.className = "sheet answer stop";
		this.signal("stop");
	}

	#confirm({ sentence, kind }) {
		this.#open = [];
		const held = this.hold();
		this.place.className = `sheet answer${kind === "question" ? " question" : ""}`;
		this.place.replaceChildren(paragraph(sentence));
		this.#sayHeld(held);
		this.signal(kind === "question" ? kind : "good");
	}
}
