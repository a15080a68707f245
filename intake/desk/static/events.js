// What the desk reports while a page is open: it says whether the desk can be reached, and loads anew what a change touches.

const SETTLE_MS = 200;
let stream = null;
let signedOut = false;
let trouble = "";
let waiting = 0;

// An event stream in this state was refused by the desk: it does not try again.
const REFUSED = 2;

// What the page says of its connection: a desk that can be reached is of no use while its library cannot be read.
export function stateWords({ reached, signedOut, trouble }) {
	if (signedOut) return "signed out";
	if (!reached) return "no connection";
	return trouble ? "no library" : "connected";
}

export function reached(yes) {
	const link = document.getElementById("link");
	if (!yes && !link.classList.contains("lost")) document.dispatchEvent(new Event("desk:lost"));
	link.classList.toggle("lost", !yes || signedOut || trouble !== "");
	link.textContent = stateWords({ reached: yes, signedOut, trouble });
}

// Says why the library cannot be read, or, with nothing, that it can again; then what waits is sent.
function tellTrouble(sentence) {
	trouble = sentence;
	reached(true);
	const news = document.getElementById("news");
	news.textContent = sentence || "The library can be read again.";
	news.classList.add("told");
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
		const news = document.getElementById("news");
		news.textContent = JSON.parse(event.data).sentence;
		news.classList.add("told");
		refreshSoon();
	});
	stream.addEventListener("change", (event) => {
		const change = JSON.parse(event.data);
		const news = document.getElementById("news");
		if (change.station !== news.dataset.station) {
			news.textContent = `${change.station}: ${change.what} ${change.of}`;
			news.classList.remove("told");
		}
		document.documentElement.dataset.seq = change.seq;
		document.dispatchEvent(new Event("desk:changed"));
		refreshSoon();
	});
}

function refreshSoon() {
	clearTimeout(waiting);
	waiting = setTimeout(refresh, SETTLE_MS);
}

// Streams of hidden pages would use up the few connections that a browser opens to one machine.
export function pauseWhileHidden() {
	document.addEventListener("visibilitychange", () => {
		if (document.hidden) {
			stream?.close();
			stream = null;
		} else {
			listen();
			refresh();
		}
	});
}

// After a sleep the stream may be dead without knowing it.
export function wakeUp() {
	stream?.close();
	stream = null;
	if (document.hidden) return;
	listen();
	refresh();
}

async function refresh() {
	if (!document.querySelector("[data-live]")) return;
	try {
		const answer = await fetch(location.href, { credentials: "same-origin", cache: "no-store" });
		if (!answer.ok || answer.redirected) return;
		renew(document, new DOMParser().parseFromString(await answer.text(), "text/html"));
	} catch {
		// The stream reports that the desk cannot be reached.
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
