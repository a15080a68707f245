// The page of a paper that is being made: it looks again every second until it is.
import { pageAt, renew } from "./events.js";

const LOOK_MS = 1000;
const whole = document.getElementById("whole");

async function look() {
	if (whole.dataset.done) return;
	const fresh = await pageAt(location.href);
	if (fresh) {
		whole.dataset.done = fresh.getElementById("whole").dataset.done;
		renew(document, fresh);
	}
	setTimeout(look, LOOK_MS);
}
setTimeout(look, LOOK_MS);
