// The list of what waits to be sent, and of what the desk refused until a person has decided about it.

const element = (name, properties) => Object.assign(document.createElement(name), properties);

export function waitingWords(count, lasting) {
	const words = count === 1 ? "1 scan waits" : `${count} scans wait`;
	const keep = lasting ? "" : " Keep this page open until then: this browser has no room to store them.";
	return `${words} here and will be sent, once each, when the desk can be reached.${keep}`;
}

export class WaitingList {
	#why = "";

	constructor(place, outbox) {
		Object.assign(this, { place, outbox });
	}

	// Shows it with a sentence on what is waited for, and brings it into view.
	async showWhy(sentence) {
		this.#why = sentence;
		await this.show();
		if (!this.place.hidden) this.place.scrollIntoView?.({ block: "nearest" });
	}

	async show() {
		const scans = await this.outbox.store.all();
		const refused = scans.filter((scan) => scan.refused);
		const waiting = scans.length - refused.length;
		const parts = refused.map((scan) => this.#refused(scan));
		if (waiting) {
			const textContent = [waitingWords(waiting, this.outbox.store.lasting), this.#why].filter(Boolean).join(" ");
			parts.unshift(element("p", { className: "sheet question", textContent }));
		}
		if (!waiting) this.#why = "";
		if (refused.length > 1) parts.push(this.#allAgain(refused));
		this.place.hidden = parts.length === 0;
		this.place.replaceChildren(...parts);
	}

	#allAgain(scans) {
		const all = element("button", { type: "button", textContent: `Send all ${scans.length} again` });
		all.addEventListener("click", () => this.#sendAgain(scans));
		return all;
	}

	async #sendAgain(scans) {
		for (const { refused, failed, ...waiting } of scans) await this.outbox.store.change(waiting);
		await this.outbox.send();
	}

	#refused(scan) {
		const part = element("div", { className: "sheet stop row" });
		const what = scan.hasPicture ? "A picture" : scan.text;
		const again = element("button", { type: "button", textContent: "Send again" });
		again.addEventListener("click", () => this.#sendAgain([scan]));
		const discard = element("button", { type: "button", textContent: "Throw away" });
		discard.addEventListener("click", async () => {
			await this.outbox.store.remove(scan);
			await this.show();
		});
		part.append(element("p", { textContent: `${what}: ${scan.refused}` }), again, discard);
		return part;
	}
}
