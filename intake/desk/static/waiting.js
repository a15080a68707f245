// The list of what waits to be sent, and of what the desk refused until a person has decided about it.
import { button, element } from "./element.js";
import { answers, listOf } from "./offline_list.js";

const SHOWN = 80;
const KNOWN_SHOWN = 2;

export function waitingWords(count, lasting) {
	const words = count === 1 ? "1 scan waits" : `${count} scans wait`;
	const keep = lasting ? "" : " Keep this page open until then: this browser has no room to store them.";
	return `${words} here and will be sent, once each, when the desk can be reached.${keep}`;
}

// A scan that was refused because it is too long would fill the page.
export function shortened(text) {
	const characters = [...text];
	return characters.length > SHOWN
		? `${characters.slice(0, SHOWN).join("")} … (${characters.length} characters)`
		: text;
}

export class WaitingList {
	#why = "";
	#pairs = false;

	constructor(place, outbox) {
		Object.assign(this, { place, outbox });
	}

	// Shows it with a sentence on what is waited for, and the way to pair this browser where that is it, and brings it
	// into view.
	async showWhy(sentence, pairs = false) {
		this.#why = sentence;
		this.#pairs = pairs;
		await this.show();
		const newest = this.place.querySelector?.(".not-booked") ?? this.place;
		if (!this.place.hidden) newest.scrollIntoView?.({ block: "nearest" });
	}

	async show() {
		const scans = await this.outbox.store.all();
		const refused = scans.filter((scan) => scan.refused);
		const waiting = scans.length - refused.length;
		const parts = refused.map((scan) => this.#refused(scan));
		if (waiting && this.#isLost) parts.unshift(...this.#known(scans.filter((scan) => !scan.refused)));
		if (waiting) {
			const textContent = [waitingWords(waiting, this.outbox.store.lasting), this.#why].filter(Boolean).join(" ");
			const words = element("p", { className: "sheet question", textContent });
			if (this.#pairs) words.append(" ", element("a", { href: "/pair", textContent: "Pair this browser" }));
			parts.unshift(words);
		}
		if (!waiting) {
			this.#why = "";
			this.#pairs = false;
		}
		if (refused.length > 1) {
			parts.push(button(`Send all ${refused.length} again`, () => this.#sendAgain(refused)));
		}
		this.place.hidden = parts.length === 0;
		this.place.replaceChildren(...parts);
	}

	get #isLost() {
		return Boolean(globalThis.document?.getElementById("link")?.classList.contains("lost"));
	}

	// What the list kept here says of the last scans, the latest first: none of it is booked.
	#known(scans) {
		const told = answers(scans, listOf).filter(({ sentence }) => sentence);
		return told
			.slice(-KNOWN_SHOWN)
			.reverse()
			.map(({ scan, line, sentence }) => {
				const what = line?.title ?? shortened(scan.text);
				return element(
					"div",
					{ className: "sheet question stack not-booked" },
					element("p", { className: "mark", textContent: "◷ Not yet booked" }),
					element("p", { className: "title what", dir: "auto", textContent: what }),
					element("p", { className: line ? "goes" : "", dir: "auto", textContent: sentence }),
				);
			});
	}

	async #sendAgain(scans) {
		for (const { refused, failed, ...waiting } of scans) await this.outbox.store.change(waiting);
		await this.outbox.send();
	}

	#refused(scan) {
		const what = scan.hasPicture ? "A picture" : shortened(scan.text);
		const again = button("Send again", () => this.#sendAgain([scan]));
		const discard = button("Throw away", async () => {
			await this.outbox.store.remove(scan);
			await this.show();
		});
		const why = element("p", {}, `${what}: ${scan.refused}`);
		return element("div", { className: "sheet stop row" }, why, again, discard);
	}
}
