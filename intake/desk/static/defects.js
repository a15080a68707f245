// Defects by touching the drawing of a book: the part, then the trade's word, which goes into the form's own field. Each is
// a numbered line with a photograph of that number.
import { button, element } from "./element.js";
import { sendPicture } from "./inspection.js";

export function wordsIn(field) {
	const words = (field?.value ?? "").split(";").map((word) => word.trim());
	return words.filter(Boolean);
}

const fieldOf = (form, part) => form.querySelector(`[name="part-${part}"]`);

// Says a defect of a part, or takes it back.
export function toggle(form, part, word) {
	const field = fieldOf(form, part);
	const words = wordsIn(field);
	field.value = (words.includes(word) ? words.filter((each) => each !== word) : [...words, word]).join("; ");
	field.dispatchEvent(new Event("input", { bubbles: true }));
}

export function choose(book, region) {
	for (const each of book.querySelectorAll("[data-region]")) {
		const chosen = each.dataset.region === region;
		each.classList.toggle("chosen", chosen);
		if (each.matches("button")) each.setAttribute("aria-pressed", String(chosen));
	}
	for (const group of book.querySelectorAll("[data-words]")) group.hidden = group.dataset.words !== region;
}

// Shows the defects that the form states.
export function show(form, post) {
	const book = form.querySelector("[data-book]");
	if (!book) return;
	const list = book.querySelector("[data-chips]");
	const stated = [...form.querySelectorAll("[name^='part-']")].flatMap((field) =>
		wordsIn(field).map((word) => ({ part: field.name.slice("part-".length), word })),
	);
	for (const button of book.querySelectorAll("[data-defect]")) {
		const { part, defect } = button.dataset;
		button.setAttribute("aria-pressed", String(wordsIn(fieldOf(form, part)).includes(defect)));
	}
	list.replaceChildren(...stated.map((defect, nth) => chip(form, post, defect, nth + 1, list.dataset.copy)));
}

function chip(form, post, { part, word }, number, copy) {
	const input = element("input", { type: "file", accept: "image/*" });
	input.setAttribute("capture", "environment");
	Object.assign(input.dataset, { copy, note: `${number} ${part}: ${word}` });
	const report = element("span", { className: "quiet small" });
	report.setAttribute("role", "status");
	input.addEventListener("change", () =>
		sendPicture(input, post, (words) => {
			report.textContent = words;
		}),
	);
	const photograph = element("label", { className: "button file small" }, `Photograph ${number}`, input);
	const remove = button("Remove", () => toggle(form, part, word), "small");
	remove.setAttribute("aria-label", `Remove ${part}: ${word}`);
	return element("li", {}, element("span", { className: "grow" }, `${part}: ${word}`), photograph, remove, report);
}

export function drawnBooks(page, post) {
	page.addEventListener("click", (event) => {
		const book = event.target.closest("[data-book]");
		if (!book) return;
		const region = event.target.closest("[data-region]");
		if (region) choose(book, region.dataset.region);
		const word = event.target.closest("[data-defect]");
		if (word) toggle(word.form, word.dataset.part, word.dataset.defect);
	});
	page.addEventListener("input", (event) => {
		if (event.target.name?.startsWith("part-")) show(event.target.form, post);
	});
	// What is recorded already is shown when the form is opened.
	const onToggle = ({ target }) => {
		for (const form of target.querySelectorAll?.("form[data-facts]") ?? []) show(form, post);
	};
	page.addEventListener("toggle", onToggle, true);
}
