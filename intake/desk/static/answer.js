// The one place where the desk's answers appear, and what an answer offers: a decision, a step back, a shelf.

const paragraph = (textContent, className = "") =>
	Object.assign(document.createElement("p"), { textContent, className });

// Of several answers the most urgent kind is signalled.
export const worst = (answers) =>
	["stop", "question", "good"].find((kind) => answers.some((answer) => answer.kind === kind));

export class AnswerPanel {
	#lastCopy = null;

	constructor(place, { post, signal, onDone }) {
		Object.assign(this, { place, post, signal, onDone });
		place.addEventListener("click", (event) => {
			const button = event.target.closest("button[data-undo], button[data-option], button[data-shelf]");
			if (button && !button.disabled) this.choose(button);
		});
	}

	show({ body }) {
		const answers = body.answers ?? [];
		if (!answers.length) {
			this.stop(body.sentence ?? "The desk gave no answer. Scan it again.");
			return;
		}
		const kind = worst(answers);
		this.place.className = `sheet answer ${kind}`;
		// The desk has escaped what is in it; several books in one picture stand one below the other.
		this.place.innerHTML = answers.map((answer) => answer.html).join("<hr>");
		this.#lastCopy = answers.filter((answer) => answer.copy).at(-1)?.copy ?? this.#lastCopy;
		for (const button of this.place.querySelectorAll("[data-shelf]")) button.hidden = !this.#lastCopy;
		this.signal(kind);
	}

	stop(sentence) {
		this.place.className = "sheet answer stop";
		this.place.replaceChildren(paragraph("■ Stop", "mark"), paragraph(sentence));
		this.signal("stop");
	}

	async choose(button) {
		button.disabled = true;
		const { undo, shelf, query, option } = button.dataset;
		const [address, fields] = undo
			? ["/api/undo", { entry: undo }]
			: shelf
				? ["/api/shelve", { copy: this.#lastCopy, shelf }]
				: ["/api/decide", { query, option }];
		const answer = await this.post(address, fields);
		if (answer.status === 0) {
			button.disabled = false;
			this.#warn("The desk did not answer. Press again when it is back; it counts once.");
		} else if (!answer.ok) {
			this.stop(answer.body.sentence);
		} else {
			if (answer.body.answers) this.show(answer);
			else this.#confirm(answer.body.sentence);
			this.onDone();
		}
	}

	// Says it above the answer, which stays for another try.
	#warn(sentence) {
		this.place.querySelector(".warning")?.remove();
		this.place.prepend(paragraph(sentence, "warning"));
		this.place.className = "sheet answer stop";
		this.signal("stop");
	}

	#confirm(sentence) {
		this.place.className = "sheet answer";
		this.place.replaceChildren(paragraph(sentence));
		this.signal("good");
	}
}
