// A list that is filtered while one types: the same page is asked for again, and only its list is replaced.
import { pageAt, renew, settled } from "./events.js";

const WAIT_MS = 150;

// The address of a list with what a form asks for; an empty field asks for nothing.
export function addressOf(path, fields) {
	const asked = new URLSearchParams([...fields].filter(([, value]) => value !== "")).toString();
	return asked ? `${path}?${asked}` : path;
}

function show(address, fresh) {
	renew(document, fresh);
	history.replaceState(null, "", address);
}

export function filterAsTyped(form, ask = pageAt, found = show, fieldsOf = (of) => new FormData(of)) {
	let latest = 0;

	async function filter() {
		const mine = ++latest;
		const address = addressOf(form.getAttribute("action"), fieldsOf(form));
		const text = form.isConnected ? await ask(address) : null;
		// An answer that was overtaken, or whose page was, is of no use; without one the button sends the form all the same.
		if (text !== null && mine === latest && form.isConnected) found(address, text);
	}

	form.addEventListener("input", settled(filter, WAIT_MS));
	return filter;
}
