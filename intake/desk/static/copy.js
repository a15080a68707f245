// The page of one copy: adding a picture.
import { sendPicture } from "./inspection.js";
import { post } from "./request.js";

const report = document.getElementById("facts-message");
document.getElementById("damage").addEventListener("change", async (event) => {
	const answer = await sendPicture(event.target, post, (words) => {
		report.textContent = words;
	});
	if (answer?.ok) location.reload();
});
