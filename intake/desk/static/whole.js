// The page of a paper that is being made: it looks again every second until it is.
import { at } from "./element.js";
import { refresh } from "./events.js";
import { onPage } from "./page.js";

const LOOK_MS = 1000;

onPage(import.meta.url, (signal) => {
	const whole = at("whole");

	async function look() {
		if (signal.aborted || whole.dataset.done) return;
		const fresh = await refresh();
		if (!signal.aborted && fresh) whole.dataset.done = fresh.getElementById("whole").dataset.done;
		setTimeout(look, LOOK_MS);
	}
	setTimeout(look, LOOK_MS);
});
