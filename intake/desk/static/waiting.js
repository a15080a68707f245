// The list of what waits to be sent, and of what the desk refused until a person has decided about it.

const element = (name, properties) => Object.assign(document.createElement(name), properties);

export function waitingWords(count, lasting) {
	const words = count === 1 ? "1 scan waits" : `${count} scans wait`;
	const keep = lasting ? "" : " Keep this page open until then: this browser has no room to store them.";
	return `${words} here and will be sent, once each, when the desk can be reached.${keep}`;
}

export class WaitingList {
	constructor(place, outbox) {
		Object.assign(this, { place, outbox });
	}

	async show() {
		const scans = await this.outbox.store.all();
		const refused = scans.filter((scan) => scan.refused);
		const waiting = scans.length - refused.length;
		const parts = refused.map((scan) => this.#refused(scan));
		if (waiting) {
			const textContent = waitingWords(waiting, this.outbox.store.lasting);
			parts.unshift(element("p", { className: "sheet question", textContent }));
		}
		this.place.hidden = parts.length === 0;
		this.place.replaceChildren(...parts);
	}

	#refused(scan) {
		const part = element("div", { className: "sheet stop row" });
		const what = scan.hasPicture ? "A picture" : scan.text;
		const again = element("button", { type: "button", textContent: "Send again" });
		again.addEventListener("click", async () => {
			const { refused, ...waiting } = scan;
			await this.outbox.store.change(waiting);
			await this.outbox.send();
		});
		const discard = element("button", { type: "button", textContent: "Throw away" });
		discard.addEventListener("click", async () => {
			await this.outbox.store.remove(scan);
			await this.show();
		});
		part.append(element("p", { textContent: `${what}: ${scan.refused}` }), again, discard);
		return part;
	}
}
