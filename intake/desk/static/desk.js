// What every page does: it listens to the desk, and sends a form once.
import { listen, pauseWhileHidden } from "./events.js";

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

pauseWhileHidden();
listen();
