// A list that is filtered while one types: the same page is asked for again, and only its list is replaced.
import { renew } from "./events.js";

const WAIT_MS = 150;

export function addressOf(form) {
	const fields = new URLSearchParams(new FormData(form));
	for (const [name, value] of [...fields]) if (value === "") fields.delete(name);
	const asked = fields.toString();
	return asked ? `${new URL(form.action).pathname}?${asked}` : new URL(form.action).pathname;
}

export function filterAsTyped(form) {
	let timer = 0;
	let asked = 0;

	async function show() {
		const mine = ++asked;
		const address = addressOf(form);
		try {
			const answer = await fetch(address, { credentials: "same-origin", cache: "no-store" });
			if (!answer.ok || answer.redirected) return;
			const text = await answer.text();
			if (mine !== asked) return;
			renew(document, new DOMParser().parseFromString(text, "text/html"));
			history.replaceState(null, "", address);
		} catch {
			// The stream reports that the desk cannot be reached; the button sends the form all the same.
		}
	}

	form.addEventListener("input", () => {
		clearTimeout(timer);
		timer = setTimeout(show, WAIT_MS);
	});
}

for (const form of document.querySelectorAll("form[data-filter]")) filterAsTyped(form);
