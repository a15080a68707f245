// How a page starts: each module that its head names has begin(signal), called when the page is loaded, and when it takes
// the place of another in the same document, which hears keys all the while. The signal tells that the next one does.
import { at } from "./element.js";
import { refresh, renew } from "./events.js";
import { TIMEOUT_MS } from "./request.js";

// An opening that takes longer is said.
const SEEN_MS = 150;
const PARTS = ["title", "meta[name=form-token]", "main", "nav.places"];

let standing = null;
let path = "";
let turn = Promise.resolve();

const modulesOf = (page) => [...page.querySelectorAll("script[type=module]")].map(({ src }) => src);
const load = (addresses) => Promise.all(addresses.map((address) => import(address)));

function begin(modules) {
	standing = new AbortController();
	path = location.pathname;
	for (const module of modules) module.begin?.(standing.signal);
}

export async function start() {
	begin(await load(modulesOf(document)));
	// A page that was left is opened as any other; a link within a page leaves none.
	window.addEventListener("popstate", () => location.pathname === path || location.reload());
}

// Opens a page in place of the one that stands, in turn, unless that is to stay by then. Resolves to whether it stands now;
// null where the browser goes there instead: it is led on, or the scripts are those of another version of the desk.
export function open(address, isToStay) {
	const opened = turn.then(() => replace(new URL(address, location.href), isToStay));
	turn = opened.catch(() => undefined);
	return opened;
}

async function ask(address) {
	try {
		const answer = await fetch(address, { cache: "no-store", signal: AbortSignal.timeout?.(TIMEOUT_MS) });
		if (!answer.ok) return {};
		const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
		const names = modulesOf(fresh);
		if (answer.redirected || !names.includes(modulesOf(document)[0])) return { isOther: true };
		return { fresh, modules: await load(names) };
	} catch {
		return {};
	}
}

async function replace(address, isToStay) {
	const say = (textContent, className = "") => Object.assign(at("opening"), { textContent, className });
	const slow = setTimeout(say, SEEN_MS, `Opening ${decodeURIComponent(address.pathname.split("/").at(-1))}, wait …`);
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
	if (!document.activeElement.matches("h1")) say(document.title, "unseen");
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
	const heading = document.querySelector("h1");
	heading.tabIndex = -1;
	heading.focus();
	begin(modules);
}
