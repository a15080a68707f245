// A page for tests: linkedom's document, with what it leaves out of the parts that the desk's script uses.
import { parseHTML } from "linkedom";

export function page(body) {
	const window = parseHTML(`<!doctype html><html><head></head><body>${body}</body></html>`);
	globalThis.document = window.document;
	return window;
}

export const click = (window, element) => element.dispatchEvent(new window.Event("click", { bubbles: true }));

// Lets everything that waits for an answer go on.
export const settle = () => new Promise(setImmediate);

// A desk that gives the answers in turn, and remembers what it was sent.
export function desk(...answers) {
	const sent = [];
	const post = async (address, body) => {
		sent.push({ address, body });
		return answers.shift();
	};
	return { sent, post };
}

export const accepted = (body) => ({ ok: true, status: 200, body });
export const NO_ANSWER = { ok: false, status: 0, body: {} };
