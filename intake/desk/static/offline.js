// The page without a connection: links to the boxes whose pages are kept in this browser.
const place = document.getElementById("kept-pages");
const cache = await caches.open("intake-pages");
for (const { url } of await cache.keys()) {
	const { pathname } = new URL(url);
	const [, box] = /^\/unpack\/([^/]+)$/.exec(pathname) ?? [];
	if (!box) continue;
	const link = Object.assign(document.createElement("a"), {
		href: pathname,
		textContent: `Box ${decodeURIComponent(box)}`,
	});
	const line = document.createElement("li");
	line.append(link);
	place.querySelector("ul").append(line);
	place.hidden = false;
}
