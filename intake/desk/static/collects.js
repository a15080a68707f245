// The page of an edition: while its collected parts are typed, what is understood of them, or where they are not.

const WAIT_MS = 250;

const input = document.getElementById("collects");
const report = document.getElementById("collects-help");
let timer = 0;
let asked = 0;

async function ask() {
	const mine = ++asked;
	try {
		const query = new URLSearchParams({ text: input.value });
		const answer = await fetch(`/api/collects?${query}`, { credentials: "same-origin" });
		const help = await answer.json();
		if (mine === asked && answer.ok) report.textContent = help.message;
	} catch {
		/* no help without the desk; what is typed is checked when it is saved */
	}
}

input.addEventListener("input", () => {
	clearTimeout(timer);
	timer = setTimeout(ask, WAIT_MS);
});
