// What every page does: it listens to the desk, and sends a form once.
import { drawnBooks } from "./defects.js";
import { dictate } from "./dictation.js";
import { at } from "./element.js";
import { listen, wakeUp } from "./events.js";
import { filterAsTyped } from "./filter.js";
import { listenForWays, onPage } from "./page.js";
import { post } from "./request.js";
import { takeScans } from "./scans.js";
import { helpTyping } from "./typed_help.js";

// What only works with scripts is shown where they run.
document.documentElement.classList.add("js");

// A form sent twice by an impatient finger would be refused the second time, which only frightens.
document.addEventListener("submit", (event) => {
	if (event.defaultPrevented) return;
	const buttons = event.target.querySelectorAll("button");
	setTimeout(() => {
		for (const button of buttons) button.disabled = true;
	});
});
window.addEventListener("pageshow", () => {
	for (const button of document.querySelectorAll("form button:disabled")) button.disabled = false;
});

onPage(import.meta.url, () => {
	const main = at("main");
	drawnBooks(main, post);
	helpTyping(main);
	dictate(main);
	// The unpacking page has no dock: it takes scans in its own way.
	const dock = at("dock");
	if (dock) takeScans({ ...dock.dataset, onShown: (place) => place.scrollIntoView({ block: "nearest" }) });
	for (const form of document.querySelectorAll("form[data-filter]")) filterAsTyped(form);
});

document.addEventListener("visibilitychange", wakeUp);
listen();
listenForWays();
