// A number line or a year is looked at while it is typed: what it states, and what it contradicts.

const WAIT_MS = 250;
let timer = 0;
let asked = 0;

function reportBeside(input) {
	const id = `${input.id}-imprint`;
	let report = document.getElementById(id);
	if (!report) {
		report = Object.assign(document.createElement("p"), { id, className: "quiet small" });
		report.setAttribute("role", "status");
		input.after(report);
	}
	return report;
}

async function ask(input) {
	const mine = ++asked;
	const query = new URLSearchParams({ text: input.value, field: input.name });
	const copy = input.form?.querySelector("[name=copy]")?.value;
	const edition = /^\/editions\/(\d+)/.exec(location.pathname)?.[1];
	if (copy) query.set("copy", copy);
	if (edition) query.set("edition", edition);
	try {
		const answer = await fetch(`/api/imprint?${query}`, { credentials: "same-origin" });
		const { message } = await answer.json();
		if (mine === asked && answer.ok) reportBeside(input).textContent = message;
	} catch {
		/* no help without the desk */
	}
}

export function checkImprints(page) {
	page.addEventListener("input", ({ target }) => {
		if (!target.matches?.("input[name=number_line], input[name=year]")) return;
		clearTimeout(timer);
		timer = setTimeout(() => ask(target), WAIT_MS);
	});
}
