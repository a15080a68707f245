// Fields that are looked at while they are typed: number lines, years, collected parts; what each states, or contradicts.
import { element } from "./element.js";
import { settled } from "./events.js";
import { get } from "./request.js";

const WAIT_MS = 250;
const ASKED = { number_line: "/api/imprint", year: "/api/imprint", collects: "/api/collects" };
let asked = 0;

function reportBeside(input) {
	const id = `${input.id}-help`;
	const known = document.getElementById(id);
	if (known) return known;
	const report = element("p", { id, className: "quiet small" });
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
	const { ok, body } = await get(`${ASKED[input.name]}?${query}`);
	// No help without the desk: what is typed is checked when it is saved.
	if (mine === asked && ok) reportBeside(input).textContent = body.message;
}

export function helpTyping(page) {
	const askSoon = settled(ask, WAIT_MS);
	page.addEventListener("input", ({ target }) => target.name in ASKED && askSoon(target));
}
