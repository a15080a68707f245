// The page of one copy: adding a picture.
import { at } from "./element.js";
import { sendPicture } from "./inspection.js";
import { onPage } from "./page.js";
import { post } from "./request.js";

onPage(import.meta.url, (signal) => {
	const report = at("facts-message");
	// A copy that left the collection is not photographed.
	at("damage")?.addEventListener("change", async (event) => {
		const answer = await sendPicture(event.target, post, (words) => {
			report.textContent = words;
		});
		if (answer?.ok && !signal.aborted) location.reload();
	});
});
