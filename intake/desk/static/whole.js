// The page of a paper that is being made: it looks again every second until it is.
import { renew } from "./events.js";

const LOOK_MS = 1000;

async function look() {
	if (document.getElementById("whole").dataset.done) return;
	try {
		const answer = await fetch(location.href, { credentials: "same-origin", cache: "no-store" });
		const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
		if (answer.ok) {
			document.getElementById("whole").dataset.done = fresh.getElementById("whole").dataset.done;
			renew(document, fresh);
		}
	} catch {
		/* the next look may be answered */
	}
	setTimeout(look, LOOK_MS);
}
setTimeout(look, LOOK_MS);
