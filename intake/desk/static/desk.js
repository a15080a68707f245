// What every page does: it listens to the desk, and sends a form once.
import { drawnBooks } from "./defects.js";
import { listen, pauseWhileHidden } from "./events.js";
import { scanHere } from "./here.js";
import { checkImprints } from "./imprint.js";
import { post } from "./request.js";

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

drawnBooks(document, post);
checkImprints(document);
const dock = document.getElementById("dock");
if (dock) scanHere(dock);
pauseWhileHidden();
listen();
