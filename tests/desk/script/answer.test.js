// The place of the answers: which kind is signalled, and what a press of a button sends.
import assert from "node:assert/strict";
import { test } from "node:test";
import { AnswerPanel, PAUSE_MS, worst } from "../../../intake/desk/static/answer.js";
import { accepted, click, desk, NO_ANSWER, page, settle } from "./page.js";

const BOOKED = { kind: "good", html: '<h2>Gulls</h2><button data-undo="17">Take this back</button>', copy: "A1-59" };
const LABEL = { kind: "question", html: '<button data-shelf="S4-75" data-last hidden>It stands there</button>' };
const OPTION = '<button data-query="3" data-option="listed:A1-59">Gulls</button>';
const QUESTION = { kind: "question", query: 3, html: OPTION };

function panel(...answers) {
	return panelThat({}, ...answers);
}

function panelThat(more, ...answers) {
	const window = page('<section id="answer"></section>');
	const place = window.document.getElementById("answer");
	const { sent, post } = desk(...answers);
	const signals = [];
	let done = 0;
	const onDone = () => {
		done += 1;
	};
	const made = new AnswerPanel(place, {
		post,
		newId: () => "an id",
		signal: (kind) => signals.push(kind),
		onDone,
		...more,
	});
	const press = async (selector) => {
		click(window, place.querySelector(selector));
		await settle();
	};
	return { made, place, sent, signals, press, done: () => done };
}

test("of several answers the most urgent is signalled", () => {
	const kinds = (...names) => worst(names.map((kind) => ({ kind })));
	assert.equal(kinds("good"), "good");
	assert.equal(kinds("good", "question"), "question");
	assert.equal(kinds("question", "stop", "good"), "stop");
});

test("several books in one picture stand one below the other", () => {
	const { made, place, signals } = panel();
	made.show(accepted({ answers: [BOOKED, QUESTION] }));
	assert.equal(place.className, "sheet answer question");
	assert.deepEqual(
		[...place.children].map((each) => each.tagName),
		["H2", "BUTTON", "HR", "BUTTON"],
	);
	assert.deepEqual(signals, ["question"]);
});

test("an answer without answers stops and shows the desk's sentence as text", () => {
	const { made, place, signals } = panel();
	made.show({ ok: false, status: 422, body: { sentence: "<b>No picture</b>" } });
	assert.equal(place.className, "sheet answer stop");
	assert.equal(place.lastElementChild.textContent, "<b>No picture</b>");
	assert.equal(place.querySelector("b"), null);
	assert.deepEqual(signals, ["stop"]);
});

test("a shelf's label offers the last book only where there is one, and puts that one there", async () => {
	const { made, place, sent, press, done } = panel(accepted({ kind: "good", sentence: "Copy A1-59 stands there." }));
	made.show(accepted({ answers: [LABEL] }));
	assert.equal(place.querySelector("[data-shelf]").hidden, true);
	made.show(accepted({ answers: [BOOKED] }));
	made.show(accepted({ answers: [LABEL] }));
	assert.equal(place.querySelector("[data-shelf]").hidden, false);
	assert.equal(place.querySelector("[data-shelf]").textContent, "Copy A1-59 stands there now");
	await press("[data-shelf]");
	assert.deepEqual(sent, [{ address: "/api/shelve", body: { copy: "A1-59", shelf: "S4-75", request: "an id" } }]);
	assert.equal(place.textContent, "Copy A1-59 stands there.");
	assert.equal(done(), 1);
});

test("a decision is sent as the query and the option, and answered like a scan", async () => {
	const { made, place, sent, signals, press } = panel(accepted({ answers: [BOOKED] }));
	made.show(accepted({ answers: [QUESTION] }));
	await press("[data-option]");
	assert.deepEqual(sent, [{ address: "/api/decide", body: { query: "3", option: "listed:A1-59" } }]);
	assert.equal(place.querySelector("h2").textContent, "Gulls");
	assert.deepEqual(signals, ["question", "good"]);
});

test("without an answer the button stays for another press; two quick presses are one", async () => {
	const { made, place, sent, signals, press, done } = panel(NO_ANSWER, NO_ANSWER, accepted({ sentence: "Took back." }));
	made.show(accepted({ answers: [BOOKED] }));
	press("[data-undo]");
	await press("[data-undo]");
	assert.equal(sent.length, 1);
	assert.equal(place.querySelector("[data-undo]").disabled, false);
	await press("[data-undo]");
	assert.equal(place.querySelectorAll(".warning").length, 1);
	assert.deepEqual([signals.at(-1), done()], ["stop", 0]);
	await press("[data-undo]");
	assert.deepEqual(
		sent.map(({ body }) => body),
		Array(3).fill({ entry: "17" }),
	);
	assert.equal(place.textContent, "Took back.");
	assert.equal(done(), 1);
});

test("what the desk refuses is shown in the desk's words", async () => {
	const { made, place, press, done } = panel({ ok: false, status: 409, body: { sentence: "It was decided before." } });
	made.show(accepted({ answers: [QUESTION] }));
	await press("[data-option]");
	assert.equal(place.lastElementChild.textContent, "It was decided before.");
	assert.equal(done(), 0);
});

test("a shelf's label is never for the book before one that waits for a decision", async () => {
	const { made, place, press, sent } = panel(accepted({ answers: [{ ...BOOKED, copy: "A2-50" }] }), accepted({}));
	const NO_COPY = { ...LABEL, html: `${LABEL.html}<p data-no-copy>Scan the book first.</p>` };
	made.show(accepted({ answers: [BOOKED] }));
	made.show(accepted({ answers: [QUESTION] }));
	made.show(accepted({ answers: [NO_COPY] }));
	assert.equal(place.querySelector("[data-shelf]").hidden, true);
	assert.equal(place.querySelector("[data-no-copy]").hidden, false);
	made.show(accepted({ answers: [QUESTION] }));
	await press("[data-option]");
	made.show(accepted({ answers: [NO_COPY] }));
	assert.equal(place.querySelector("[data-no-copy]").hidden, true);
	// What is scanned while the label's button is shown does not change whom the button means.
	const button = place.querySelector("[data-shelf]");
	made.show(accepted({ answers: [{ ...BOOKED, copy: "A3-41" }] }));
	await made.choose(button);
	assert.deepEqual(sent.at(-1), { address: "/api/shelve", body: { copy: "A2-50", shelf: "S4-75", request: "an id" } });
});

test("what was taken back is not the last book any more", async () => {
	const { made, place, press } = panel(accepted({ sentence: "Took back." }));
	made.show(accepted({ answers: [BOOKED] }));
	await press("[data-undo]");
	made.show(accepted({ answers: [LABEL] }));
	assert.equal(place.querySelector("[data-shelf]").hidden, true);
});

test("a scan while a question is open: it is said to wait, and a press meant for it reaches nothing", async () => {
	const waits = [];
	const timers = { setTimeout: (then, ms) => waits.push([then, ms]) };
	const { made, place, sent, press } = panelThat({ timers }, accepted({ answers: [BOOKED] }));
	const OTHER = { kind: "question", query: 4, html: OPTION.replace('"3"', '"4"') };
	made.show(accepted({ answers: [QUESTION] }));
	made.show(accepted({ answers: [OTHER] }));
	assert.match(place.textContent, /Left open, and waiting on the pile: query 3/);
	assert.equal(place.querySelector("a").getAttribute("href"), "/pile/3");
	await press("[data-option]");
	assert.deepEqual(sent, []);
	const [[then, ms]] = waits;
	assert.equal(ms, PAUSE_MS);
	then();
	await press("[data-option]");
	assert.deepEqual(sent[0].body, { query: "4", option: "listed:A1-59" });
	assert.doesNotMatch(place.textContent, /Left open/, "a decided question is not left open");
});

test("an inspection begun beside an answer is held before anything takes its place, and that is said", async () => {
	const next = {
		"an answer": (made) => made.show(accepted({ answers: [QUESTION] })),
		"a refusal": (made) => made.stop("Not this box."),
		"a step back": async (_, press) => press("[data-undo]"),
	};
	for (const [name, comes] of Object.entries(next)) {
		const held = [];
		const { made, place, press } = panelThat(
			{
				hold() {
					held.push(place.innerHTML);
					return held.length > 1 ? "It stays open below." : "";
				},
			},
			accepted({ sentence: "Took it back." }),
		);
		made.show(accepted({ answers: [BOOKED] }));
		await comes(made, press);
		assert.equal(held.length, 2, name);
		assert.match(held[1], /Gulls/, "it is asked for while the answer still stands there");
		assert.equal(place.lastElementChild.textContent, "It stays open below.", name);
	}
});
