// What the desk reports while a page is open: it says whether the desk can be reached, and loads anew what a change touches.
import { at } from "./element.js";

const SETTLE_MS = 200;
let stream = null;
let signedOut = false;
let trouble = "";

// An event stream in this state was refused by the desk: it does not try again.
const REFUSED = 2;

// What the page says of its connection: a desk that can be reached is of no use while its library cannot be read.
export function stateWords({ reached, signedOut, trouble }) {
	if (signedOut) return "signed out";
	if (!reached) return "no connection";
	return trouble ? "no library" : "connected";
}

export function reached(yes) {
	const link = at("link");
	if (!yes && !link.classList.contains("lost")) document.dispatchEvent(new Event("desk:lost"));
	link.classList.toggle("lost", !yes || signedOut || trouble !== "");
	link.textContent = stateWords({ reached: yes, signedOut, trouble });
}

// Says a sentence in whole; what is only news may be cut off at the end of its line.
function tell(sentence, whole = true) {
	const news = at("news");
	news.textContent = sentence;
	news.classList.toggle("told", whole);
}

// Says why the library cannot be read, or, with nothing, that it can again; then what waits is sent.
function tellTrouble(sentence) {
	trouble = sentence;
	reached(true);
	tell(sentence || "The library can be read again.");
	if (sentence) return;
	refresh();
	document.dispatchEvent(new Event("desk:reached"));
}

export function listen() {
	if (stream) return;
	stream = new EventSource("/events");
	let dropped = false;
	stream.onopen = () => {
		signedOut = false;
		trouble = ""; // where it lasts, the desk says so again
		reached(true);
		// What happened while the page did not listen was not reported.
		if (dropped) refresh();
		document.dispatchEvent(new Event("desk:reached"));
	};
	stream.onerror = () => {
		dropped = true;
		signedOut = stream?.readyState === REFUSED;
		reached(false);
	};
	stream.addEventListener("library", (event) => tellTrouble(JSON.parse(event.data).sentence));
	stream.addEventListener("door", (event) => {
		tell(JSON.parse(event.data).sentence);
		refreshSoon();
	});
	stream.addEventListener("change", (event) => {
		const change = JSON.parse(event.data);
		const { station } = at("news").dataset;
		if (change.station !== station) tell(`${change.station}: ${change.what} ${change.of}`, false);
		document.documentElement.dataset.seq = change.seq;
		document.dispatchEvent(new Event("desk:changed"));
		refreshSoon();
	});
}

// Does something once, when it has not been asked for again for a while.
export function settled(work, wait) {
	let timer = 0;
	return (...asked) => {
		clearTimeout(timer);
		timer = setTimeout(() => work(...asked), wait);
	};
}

const refreshSoon = settled(refresh, SETTLE_MS);

// Begins to listen anew, unless the page is hidden: streams of hidden pages would use up the few connections that a browser
// opens to one machine, and after a sleep the stream may be dead without knowing it.
export function wakeUp() {
	stream?.close();
	stream = null;
	if (document.hidden) return;
	listen();
	refresh();
}

// Loads anew what is live on the page; resolves to the page as it is now, or null where none came.
export async function refresh() {
	const address = location.href;
	const fresh = document.querySelector("[data-live]") && (await pageAt(address));
	if (address !== location.href) return refresh(); // another page stands there by now
	if (fresh) renew(document, fresh);
	return fresh;
}

// The page at an address as it is now; null where the desk gives none. That it cannot be reached, the stream reports.
export async function pageAt(address) {
	try {
		const answer = await fetch(address, { cache: "no-store" });
		if (!answer.ok || answer.redirected) return null;
		return new DOMParser().parseFromString(await answer.text(), "text/html");
	} catch {
		return null;
	}
}

const CONTROLS = "input, select, textarea";

// Whether a person has changed what a field shows, or is in it.
export function isTouched(field) {
	if (field === field.ownerDocument.activeElement) return true;
	if (["checkbox", "radio"].includes(field.type)) return field.checked !== field.defaultChecked;
	if (field.matches("select")) return [...field.options].some((option) => option.selected !== option.defaultSelected);
	return field.value !== field.defaultValue;
}

// Replaces the live parts of a page that changed, but never what is being filled in.
export function renew(page, fresh) {
	for (const old of page.querySelectorAll("[data-live]")) {
		const next = fresh.querySelector(`[data-live="${old.dataset.live}"]`);
		const busy = [...old.querySelectorAll(CONTROLS)].some((field) => field.type !== "hidden" && isTouched(field));
		if (next && !busy && next.innerHTML !== old.innerHTML) replace(old, next, page.activeElement);
	}
}

function replace(old, next, focused) {
	const address = old.contains(focused) ? focused.getAttribute("href") : null;
	const open = [...old.querySelectorAll("details")].map((part) => part.open);
	old.replaceChildren(...next.childNodes);
	old.querySelectorAll("details").forEach((part, nth) => {
		part.open = open[nth] ?? part.open;
	});
	if (address) [...old.querySelectorAll("a")].find((link) => link.getAttribute("href") === address)?.focus();
}
