// The facts about a copy: one key each, saving, and pictures of damage.
import assert from "node:assert/strict";
import { test } from "node:test";
import { choiceFor, Inspection, sendPicture } from "../../../intake/desk/static/inspection.js";
import { accepted, click, desk, NO_ANSWER, page, settle } from "./page.js";

const GRADES = ["As New", "Fine", "Near Fine"];
const FORM = `
<section id="answer"><details id="facts-open" data-inspection data-copy="A1-59"><form id="facts" data-facts><input type="hidden" name="copy" value="A1-59">
${GRADES.map((grade) => `<input type="radio" name="grade" value="${grade}">`).join("")}
${["has_jacket", "wrapped"].map((name) => `<input type="radio" name="${name}" value="yes"><input type="radio" name="${name}" value="no">`).join("")}
<label for="binding">Binding</label><input id="binding" name="binding" value=""></form></details><p id="facts-message" data-facts-message></p></section><div id="held" hidden></div>`;

// The form's fields as a browser gives them; linkedom has no FormData.
class Fields {
	constructor(form) {
		this.form = form;
	}
	*[Symbol.iterator]() {
		for (const { name, value, type, checked } of this.form.querySelectorAll("input")) {
			if (type !== "radio" || checked) yield [name, value];
		}
	}
}

function inspection({ scanning = false } = {}, ...answers) {
	const window = page(FORM);
	globalThis.FormData = Fields;
	const place = window.document.getElementById("answer");
	const { sent, post } = desk(...answers);
	const log = { signals: [], done: 0, submitted: 0 };
	const held = window.document.getElementById("held");
	const made = new Inspection(place, held, {
		post,
		newId: () => "an id",
		signal: (kind) => log.signals.push(kind),
		isScanned: () => scanning,
		onDone: () => {
			log.done += 1;
		},
	});
	const form = window.document.getElementById("facts");
	form.requestSubmit = () => {
		log.submitted += 1;
	};
	const radio = form.querySelector("input[type=radio]");
	const press = async (key, target = radio, more = {}) => {
		made.press({ key, timeStamp: 0, target, preventDefault() {}, ...more });
		await new Promise((resolve) => setTimeout(resolve, 80));
	};
	const checked = () => [...form.querySelectorAll("input")].filter((each) => each.checked).map((each) => each.value);
	return {
		made,
		window,
		place,
		held,
		form,
		sent,
		log,
		press,
		checked,
		details: window.document.getElementById("facts-open"),
	};
}

test("a digit chooses the grade at its place, a letter the jacket or the wrapping", () => {
	const { form } = inspection();
	const chosen = (key) => {
		const choice = choiceFor(form, key);
		return choice && [choice.name, choice.value];
	};
	assert.deepEqual(
		GRADES.map((_, nth) => chosen(`${nth + 1}`)),
		GRADES.map((grade) => ["grade", grade]),
	);
	assert.deepEqual(chosen("j"), ["has_jacket", "yes"]);
	assert.deepEqual(chosen("n"), ["has_jacket", "no"]);
	assert.deepEqual(chosen("w"), ["wrapped", "yes"]);
	assert.deepEqual(chosen("u"), ["wrapped", "no"]);
	for (const key of ["0", "4", "x", "Tab"]) assert.equal(chosen(key), undefined, key);
});

test("a person's key chooses, a scanner's does not", async () => {
	const person = inspection();
	await person.press("2");
	assert.deepEqual(person.checked(), ["Fine"]);
	const scanner = inspection({ scanning: true });
	await scanner.press("2");
	assert.deepEqual(scanner.checked(), []);
});

test("in a field for text, or with Ctrl, keys are only keys", async () => {
	const { press, checked, form } = inspection();
	await press("2", form.querySelector("input[name=binding]"));
	await press("2", undefined, { ctrlKey: true });
	assert.deepEqual(checked(), []);
});

test("Enter on a choice saves, Escape closes", async () => {
	const { press, log, details } = inspection();
	details.open = true;
	await press("Enter");
	assert.equal(log.submitted, 1);
	await press("Escape");
	assert.equal(details.open, false);
	assert.equal(log.done, 1);
});

test("the facts are sent once with an id, and the form closes when they are saved", async () => {
	const { window, form, sent, log, details, place } = inspection({}, accepted({ sentence: "Saved." }));
	details.open = true;
	choiceFor(form, "1").checked = true;
	const submit = new window.Event("submit", { bubbles: true, cancelable: true });
	form.dispatchEvent(submit);
	await settle();
	assert.ok(submit.defaultPrevented);
	const body = { copy: "A1-59", grade: "As New", binding: "", request: "an id" };
	assert.deepEqual(sent, [{ address: "/api/facts", body }]);
	assert.equal(place.querySelector("#facts-message").textContent, "Saved.");
	assert.deepEqual([details.open, log.done, log.signals], [false, 1, ["good"]]);
});

test("the place listens for keys, for pictures of damage, and for no other form", async () => {
	const { window, place, form, sent, press, checked } = inspection(
		{},
		accepted({ sentence: "Kept.", report: "/steps/damage?copy=A1-59" }),
	);
	await press("9");
	const key = Object.assign(new window.Event("keydown", { bubbles: true }), { key: "3" });
	form.querySelector("input[type=radio]").dispatchEvent(key);
	await new Promise((resolve) => setTimeout(resolve, 80));
	assert.deepEqual(checked(), ["Near Fine"]);
	const other = window.document.createElement("form");
	const damage = Object.assign(window.document.createElement("input"), { id: "damage", files: ["a picture"] });
	damage.setAttribute("data-copy", "A1-59");
	damage.setAttribute("data-damage", "");
	const clean = window.document.createElement("form");
	clean.setAttribute("data-clean", "");
	place.append(other, damage, clean);
	const submit = new window.Event("submit", { bubbles: true, cancelable: true });
	other.dispatchEvent(submit);
	assert.ok(!submit.defaultPrevented);
	damage.dispatchEvent(new window.Event("change", { bubbles: true }));
	await settle();
	assert.deepEqual(sent, [{ address: "/api/photograph?copy=A1-59&damage=yes", body: "a picture" }]);
	assert.equal(place.querySelector("#facts-message").textContent, "Kept. Report this damage");
	assert.equal(place.querySelector("#facts-message a").getAttribute("href"), "/steps/damage?copy=A1-59");
	assert.equal(place.querySelector("[data-clean]"), null, "a book whose damage is photographed is not clean");
});

test("what could not be saved stays open", async () => {
	const { made, form, log, details } = inspection({}, NO_ANSWER);
	details.open = true;
	await made.save(form);
	assert.deepEqual([details.open, log.done, log.signals], [true, 0, ["stop"]]);
});

test("a picture goes to its copy and the field is ready for the next", async () => {
	const { sent, post } = desk(accepted({ sentence: "The picture of A1/59 is kept." }));
	const file = new Blob(["a"]);
	const input = { files: [file], value: "a.jpg", dataset: { copy: "A1/59" } };
	const reported = [];
	const answer = await sendPicture(input, post, (words) => reported.push(words));
	assert.ok(answer.ok);
	assert.deepEqual(sent, [{ address: "/api/photograph?copy=A1%2F59", body: file }]);
	assert.equal(input.value, "");
	assert.equal(reported.at(-1), "The picture of A1/59 is kept.");
	assert.equal(await sendPicture({ files: [] }, post, assert.fail), undefined);
});

// As the answer to the next scan does, with the same names.
const next = (place) => {
	place.innerHTML = FORM.slice(FORM.indexOf("<details"), FORM.indexOf("</section>")).replaceAll("A1-59", "A2-50");
};

test("an inspection that was begun stays on the screen when another answer comes; one that was not goes", async () => {
	const { made, window, place, held, form, sent, log, details } = inspection({}, accepted({ sentence: "Saved." }));
	assert.equal(made.hold(), "", "nothing was begun");
	const binding = form.querySelector("input[name=binding]");
	binding.value = "cloth";
	binding.dispatchEvent(new window.Event("input", { bubbles: true }));
	assert.match(made.hold(), /copy A1-59 stays open/);
	next(place);
	assert.equal(held.hidden, false);
	assert.ok(held.contains(form));
	assert.deepEqual([details.open, binding.value], [true, "cloth"]);
	assert.equal(window.document.querySelectorAll("#binding").length, 1, "the next answer's names are its own");
	assert.equal(held.querySelector("label").getAttribute("for"), binding.id);
	assert.equal(made.hold(), "", "it is held once");
	form.dispatchEvent(new window.Event("submit", { bubbles: true, cancelable: true }));
	await settle();
	assert.deepEqual(sent, [{ address: "/api/facts", body: { copy: "A1-59", binding: "cloth", request: "an id" } }]);
	assert.deepEqual([held.children.length, held.hidden, log.signals], [0, true, ["good"]]);
	assert.equal(place.querySelector("input[name=copy]").value, "A2-50", "the next answer stays as it is");
});

test("several are held one below the other; a failed save keeps its own; one is closed without saving", async () => {
	const { made, window, place, held, log } = inspection({}, NO_ANSWER);
	place.querySelector("[data-inspection]").open = true;
	made.hold();
	next(place);
	place.querySelector("[data-inspection]").open = true;
	assert.match(made.hold(), /copy A2-50/);
	const [first, second] = held.children;
	second.querySelector("form").dispatchEvent(new window.Event("submit", { bubbles: true, cancelable: true }));
	await settle();
	assert.match(second.querySelector("[data-facts-message]").textContent, /Not saved/);
	assert.equal(first.querySelector("[data-facts-message]").textContent, "");
	assert.deepEqual([held.children.length, log.signals], [2, ["stop"]]);
	const buttons = first.querySelectorAll("button");
	click(window, buttons[buttons.length - 1]);
	assert.deepEqual([held.children.length, held.firstElementChild === second], [1, true]);
});

test("another has changed the same copy: the desk's form with both values takes the place of the form", async () => {
	const html = '<form id="facts" data-facts><input type="hidden" name="version" value="9"></form>';
	const { made, form, place, log, details } = inspection(
		{},
		{ ok: false, status: 409, body: { sentence: "Choose.", html } },
	);
	details.open = true;
	await made.save(form);
	assert.equal(place.querySelector("[data-facts] input").value, "9");
	assert.equal(place.querySelector("[data-facts-message]").textContent, "Choose.");
	assert.deepEqual([details.open, log.signals], [true, ["question"]]);
});
