// The service worker: pages and scripts come from the desk as long as it answers; what is kept here answers where it does
// not. Kept are the start page, the boxes that were opened to be unpacked, and what all pages load. Nothing else is.
const PAGES = "intake-pages";
const PARTS = "intake-parts";
const OFFLINE = "/offline";
const PATIENCE_MS = 6000;

const isKept = ({ pathname }) => pathname === "/" || /^\/unpack\/[^/]+$/.test(pathname);

self.addEventListener("install", (event) => {
	event.waitUntil(keep(PARTS, [OFFLINE, "/static/desk.css", "/static/offline.js", "/static/icon.svg"]));
	self.skipWaiting();
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// What a page had loaded before it had a worker, and the page itself.
self.addEventListener("message", (event) => {
	const addresses = (event.data?.keep ?? []).map((address) => new URL(address)).filter(isOurs);
	const parts = addresses.filter(({ pathname }) => pathname.startsWith("/static/"));
	event.waitUntil(Promise.all([keep(PARTS, parts), keep(PAGES, addresses.filter(isKept))]));
});

const isOurs = ({ origin }) => origin === self.location.origin;

async function keep(name, addresses) {
	const cache = await caches.open(name);
	await Promise.all(addresses.map((address) => cache.add(address).catch(() => undefined)));
}

// A part at the address of its version never changes.
const isLasting = ({ pathname }) => /^\/static\/[^/]+\//.test(pathname);
const part = async (request) => (await caches.match(request)) ?? fromDesk(request, PARTS);

self.addEventListener("fetch", (event) => {
	const { request } = event;
	const address = new URL(request.url);
	if (!isOurs(address)) return;
	// Who signs out leaves nothing of the library behind.
	if (request.method === "POST" && address.pathname === "/sign-out") event.waitUntil(caches.delete(PAGES));
	if (request.method !== "GET") return;
	if (isLasting(address)) event.respondWith(part(request));
	else if (address.pathname.startsWith("/static/")) event.respondWith(fromDesk(request, PARTS));
	else if (request.mode === "navigate") event.respondWith(page(request, address));
});

async function page(request, address) {
	const answer = await fromDesk(request, isKept(address) ? PAGES : null);
	if (answer.type !== "error") return answer;
	return (await caches.match(OFFLINE)) ?? answer;
}

// The desk's answer, which is kept; else the one that was kept last. A desk that is slow is not waited for where one was.
async function fromDesk(request, name) {
	const kept = name
		? await caches.open(name).then((cache) => cache.match(request, { ignoreSearch: name === PAGES }))
		: null;
	try {
		const asked = fetch(request);
		const answer = await (kept ? Promise.race([asked, late()]) : asked);
		if (answer.status === 401 && request.mode === "navigate") await caches.delete(PAGES);
		if (name && answer.ok && answer.type === "basic" && !answer.redirected) {
			const cache = await caches.open(name);
			await cache.put(request, answer.clone());
		}
		return answer;
	} catch {
		return kept ?? Response.error();
	}
}

const late = () => new Promise((_, refuse) => setTimeout(() => refuse(new Error("late")), PATIENCE_MS));
