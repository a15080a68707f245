// Help while typing: what is wrong with a number, and the titles that begin with the words typed. The pattern is the ARIA combobox with a list.
import { element } from "./element.js";
import { get } from "./request.js";

const WAIT_MS = 70;

export function typing(input, list, report, onChoose) {
	let timer = 0;
	let asked = 0;
	let chosen = -1;

	function clear() {
		clearTimeout(timer);
		asked += 1;
		chosen = -1;
		list.replaceChildren();
		list.hidden = true;
		report.textContent = "";
		input.setAttribute("aria-expanded", "false");
		input.removeAttribute("aria-activedescendant");
	}

	function mark(nth) {
		chosen = nth;
		for (const [i, item] of [...list.children].entries()) item.setAttribute("aria-selected", String(i === nth));
		if (nth >= 0) input.setAttribute("aria-activedescendant", list.children[nth].id);
		else input.removeAttribute("aria-activedescendant");
	}

	function option(words, quiet, value, nth) {
		const title = element("span", { className: "title" }, words);
		const item = element(
			"li",
			{ id: `title-${nth}`, dir: "auto" },
			title,
			" ",
			element("span", { className: "quiet" }, quiet),
		);
		item.setAttribute("role", "option");
		item.setAttribute("aria-selected", "false");
		item.dataset.value = value;
		return item;
	}

	async function ask() {
		const mine = ++asked;
		const typed = input.value.trim();
		if (typed.length < 2) {
			clear();
			return;
		}
		const { ok, body: help } = await get(`/api/typing?${new URLSearchParams({ text: typed })}`);
		if (mine !== asked || !ok) return; // no help without the desk; what is typed can still be sent
		const more = help.more ? "The first of several are shown: type on to see fewer." : "";
		const message = help.message ? `${help.good ? "✓" : "?"} ${help.message}${more ? "." : ""}` : "";
		report.textContent = [message, more].filter(Boolean).join(" ");
		const items = [
			...help.repairs.map((repair, nth) => option(repair.number, repair.how, repair.number, nth)),
			...help.titles.map((match, nth) =>
				option(match.title, match.edition, match.number || match.title, nth + help.repairs.length),
			),
		];
		list.replaceChildren(...items);
		list.hidden = items.length === 0;
		input.setAttribute("aria-expanded", String(items.length > 0));
		mark(-1);
	}

	input.addEventListener("input", () => {
		clearTimeout(timer);
		timer = setTimeout(ask, WAIT_MS);
	});
	input.addEventListener("keydown", (event) => {
		const count = list.hidden ? 0 : list.children.length;
		if (event.key === "Escape") clear();
		if (!count || !["ArrowDown", "ArrowUp"].includes(event.key)) return;
		event.preventDefault();
		mark(event.key === "ArrowDown" ? (chosen + 1) % count : (chosen - 1 + count) % count);
	});
	list.addEventListener("click", (event) => {
		const item = event.target.closest("li");
		if (item) {
			const value = item.dataset.value;
			clear();
			onChoose(value);
		}
	});

	return { clear, chosen: () => (chosen >= 0 ? list.children[chosen].dataset.value : null) };
}
