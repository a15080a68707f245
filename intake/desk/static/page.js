// How a page starts: each module that its head names says once what it does on a page, begin(signal). It is done at once on
// the page that is loaded, before a key can come, and again when a page takes the place of another in the same document,
// which hears keys all the while. The signal tells that the next one does.
import { at } from "./element.js";
import { refresh, renew } from "./events.js";
import { TIMEOUT_MS } from "./request.js";

// An opening that takes longer is said.
const SEEN_MS = 150;
const PARTS = ["title", "meta[name=form-token]", "main", "nav.places"];

const begins = new Map();
let standing = new AbortController();
let names = null;
let path = "";
let turn = Promise.resolve();

const modulesOf = (page) => [...page.querySelectorAll("script[type=module]")].map(({ src }) => src);

const pathOf = ({ pathname, search }) => pathname + search;

// What a module, by its address, does on each page that names it.
export function onPage(module, begin) {
	names ??= modulesOf(document);
	begins.set(module, begin);
	if (names.includes(module)) begin(standing.signal);
}

export function listenForWays() {
	path = pathOf(location);
	// A page that was left is opened as any other; a link within a page leaves none.
	window.addEventListener("popstate", () => pathOf(location) === path || location.reload());
}

// The page of the desk that a click leads to; null where the browser is to do what it does with a click.
export function pageOf({ target, button, ctrlKey, metaKey, shiftKey, altKey, defaultPrevented }) {
	const link = target.closest?.("a[href]");
	if (!link || defaultPrevented || button || ctrlKey || metaKey || shiftKey || altKey) return null;
	if (link.hasAttribute("download") || link.hasAttribute("target")) return null;
	const address = new URL(link.getAttribute("href"), location.href);
	const isWithin = address.hash && pathOf(address) === pathOf(location);
	return address.origin === location.origin && !isWithin ? address : null;
}

// Opens a page in place of the one that stands, in turn, unless that is to stay by then. Resolves to whether it stands now;
// null where the browser goes there instead: it is led on, it is no page, or the scripts are another version's of the desk.
export function open(address, isToStay) {
	const opened = turn.then(() => replace(new URL(address, location.href), isToStay));
	turn = opened.catch(() => undefined);
	return opened;
}

async function ask(address) {
	try {
		const answer = await fetch(address, { cache: "no-store", signal: AbortSignal.timeout?.(TIMEOUT_MS) });
		if (!answer.ok) return {};
		if (!answer.headers.get("Content-Type")?.startsWith("text/html")) return { isOther: true };
		const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
		const modules = modulesOf(fresh);
		if (answer.redirected || !modules.includes(modulesOf(document)[0])) return { isOther: true };
		await Promise.all(modules.map((module) => import(module)));
		return { fresh, modules };
	} catch {
		return {};
	}
}

async function replace(address, isToStay) {
	const say = (textContent, className = "") => Object.assign(at("opening"), { textContent, className });
	const name = decodeURIComponent(address.pathname.split("/").at(-1)) || "the first page";
	const slow = setTimeout(say, SEEN_MS, `Opening ${name}, wait …`);
	const { seq } = document.documentElement.dataset;
	const { fresh, modules, isOther } = await ask(address);
	clearTimeout(slow);
	say("");
	if (isOther) {
		window.addEventListener("pageshow", () => location.reload()); // come back to
		location.assign(address);
		return null;
	}
	if (!fresh || isToStay()) return false;
	stand(fresh, address, modules);
	// Where the page takes the focus itself, its name would not be read out.
	if (!document.activeElement.matches("h1, h2")) say(document.title, "unseen");
	if (seq !== document.documentElement.dataset.seq) refresh();
	return true;
}

function stand(fresh, address, modules) {
	standing.abort();
	history[address.href === location.href ? "replaceState" : "pushState"](null, "", address);
	for (const each of fresh.querySelectorAll("noscript")) each.remove();
	for (const part of PARTS) document.querySelector(part).replaceWith(fresh.querySelector(part));
	renew(document, fresh); // what is above the page
	scrollTo(0, 0);
	const heading = at(address.hash.slice(1)) ?? document.querySelector("h1");
	heading.tabIndex = -1;
	heading.focus();
	if (address.hash) heading.scrollIntoView();
	standing = new AbortController();
	names = modules;
	path = pathOf(location);
	for (const module of modules) begins.get(module)?.(standing.signal);
}
