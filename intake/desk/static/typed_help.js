// Fields that are looked at while they are typed: number lines, years, collected parts; what each states, or contradicts.

const WAIT_MS = 250;
const ASKED = { number_line: "/api/imprint", year: "/api/imprint", collects: "/api/collects" };
let timer = 0;
let asked = 0;

function reportBeside(input) {
	const id = `${input.id}-help`;
	const known = document.getElementById(id);
	if (known) return known;
	const report = Object.assign(document.createElement("p"), { id, className: "quiet small" });
	report.setAttribute("role", "status");
	input.after(report);
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
		const answer = await fetch(`${ASKED[input.name]}?${query}`, { credentials: "same-origin" });
		const { message } = await answer.json();
		if (mine === asked && answer.ok) reportBeside(input).textContent = message;
	} catch {
		/* no help without the desk; what is typed is checked when it is saved */
	}
}

export function helpTyping(page) {
	page.addEventListener("input", ({ target }) => {
		if (!(target.name in ASKED)) return;
		clearTimeout(timer);
		timer = setTimeout(() => ask(target), WAIT_MS);
	});
}
